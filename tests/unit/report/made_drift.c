/* A drift made by hand, and what is said of it. */
#include "made_drift.h"
#include "fixture.h"

#include <criterion/criterion.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { VALUES = MADE_DRIFT_VALUES, FILLS = 30 };

static const double first_day = MADE_DRIFT_FROM, slope = -0.0002;

static void fill_values(bt_drift *drift) {
  bt_drift_values *values = &drift->values;
  *values = (bt_drift_values){.n = VALUES,
                              .day = fixture_filled(VALUES, sizeof(double)),
                              .raw = fixture_filled(VALUES, sizeof(double)),
                              .value = fixture_filled(VALUES, sizeof(double)),
                              .age_days = fixture_filled(VALUES, sizeof(double)),
                              .fill = fixture_filled(VALUES, sizeof(int32_t)),
                              .stretch = fixture_filled(VALUES, sizeof(int32_t)),
                              .known = fixture_filled(VALUES, 1),
                              .point = fixture_filled(VALUES, sizeof(size_t)),
                              .row = fixture_filled(VALUES, sizeof(size_t))};
  for (int i = 0; i < VALUES; i++) {
    values->day[i] = first_day + i;
    values->value[i] = 1 + slope * fmax(i - 40, 0);
    values->age_days[i] = i % 3;
    values->raw[i] = values->value[i] - 0.004 * (i % 3);
    values->fill[i] = i / 3;
    values->known[i] = 1;
  }
  drift->levels.n = FILLS;
  drift->level = fixture_filled(FILLS, sizeof *drift->level);
  for (int f = 0; f < FILLS; f++)
    drift->level[f] = (bt_level){
        .fill = f, .n = 3, .day = first_day + 3 * f + 1, .value = values->value[3 * f + 1]};
}

static void fill_change(bt_drift *drift) {
  drift->moved = (bt_moved){.looked_at = true,
                            .changed = true,
                            .kind = BT_CHANGE_HINGE,
                            .sign = -1,
                            .from = first_day + 30,
                            .to = first_day + 50};
  drift->change = (bt_change){.n = VALUES,
                              .kind = BT_CHANGE_HINGE,
                              .likelihood_ratio = 80,
                              .from = first_day + 30,
                              .to = first_day + 50,
                              .day = first_day + 40,
                              .now = 1 + 49 * slope,
                              .gone = 49 * slope,
                              .gone_low = 49 * 1.1 * slope,
                              .gone_high = 49 * 0.9 * slope,
                              .hinge = {.given = true,
                                        .day = first_day + 40,
                                        .before = 1,
                                        .per_day = slope,
                                        .low = 1.1 * slope,
                                        .high = 0.9 * slope}};
  drift->gone_per_cent = 100 * 49 * slope;
  drift->trend = (bt_trend){.given = true,
                            .has_interval = true,
                            .slope = slope,
                            .low = 1.1 * slope,
                            .high = 0.9 * slope,
                            .from_day = first_day + 40,
                            .to_day = first_day + 89,
                            .from_value = 1,
                            .to_value = 1 + 49 * slope};
  drift->forecast = (bt_forecast){.use = BT_FORECAST_GIVEN,
                                  .side = BT_LOW,
                                  .limit = 0.96,
                                  .has_fail_5 = true,
                                  .has_fail_50 = true,
                                  .fail_5 = first_day + 150,
                                  .fail_50 = first_day + 180,
                                  .mean_at = first_day + 220,
                                  .mean_from = first_day + 200,
                                  .mean_to = first_day + 250,
                                  .has_mean_to = true};
  drift->causes_n = 2;
  drift->causes[0] = (bt_cause){.kind = BT_CAUSE_NOT_RESTORED_BY_REFILL,
                                .strength = BT_CAUSE_STRONG,
                                .evidence = BT_FACT_LEVELS_FALL | BT_FACT_LOSS_UNCHANGED};
  drift->causes[1] = (bt_cause){.kind = BT_CAUSE_METER,
                                .strength = BT_CAUSE_WEAK,
                                .evidence = BT_FACT_ENERGY_STEPS | BT_FACT_METER_THEN,
                                .against = BT_FACT_VOLTAGE_CLIMBS};
}

bt_unit_study *made_drift(bool changed, bt_report_request *request) {
  fixture_plan plan = fixture_usual();
  return made_drift_of(&plan, changed, request);
}

bt_unit_study *made_drift_of(const fixture_plan *plan, bool changed, bt_report_request *request) {
  bt_unit_study *unit = fixture_make(plan, request);
  bt_unit_drift *all = fixture_filled(1, sizeof *all);
  all->n = 1;
  all->drift = fixture_filled(1, sizeof *all->drift);
  bt_drift *drift = all->drift;
  drift->characteristic = BT_ENERGY_RATIO;
  drift->study = unit->studies[0];
  drift->loss = -1;
  drift->sigma = 0.004;
  drift->centre = 1;
  fill_values(drift);
  drift->look =
      (bt_look){.given = true, .n = VALUES, .charts = 5, .looks_a_year = 250, .threshold = 20.8};
  drift->now = 0.9902;
  drift->now_low = 0.9892;
  drift->now_high = 0.9912;
  drift->from_first = -0.0098;
  drift->last_day = first_day + VALUES - 1;
  drift->oldest_now = 0.986;
  drift->window = (bt_window){.event = BT_NONE};
  drift->tolerance = unit->studies[0]->tolerance.now;
  drift->fills_before = drift->fills_since = FILLS / 2;
  drift->fills_tell = true;
  drift->slope = drift->baseline_slope =
      (bt_slope){.use = BT_AGE_USED, .df = 50, .per_day = -0.004, .low = -0.0045, .high = -0.0035};
  drift->forecast.use = BT_FORECAST_NO_DRIFT;
  drift->fill_days.use = BT_FILL_NO_SLOPE;
  if (changed)
    fill_change(drift);
  unit->drift = all;
  return unit;
}

/* The page of that name; NULL: there is none. */
const bt_page *made_drift_page(const bt_document *document) {
  for (size_t p = 0; p < document->pages_n; p++)
    if (strcmp(document->pages[p].name, "drift") == 0)
      return &document->pages[p];
  return NULL;
}

/* Lines of at most 80 columns; no word that promises anything of a laser. */
void must_be_plain(const char *text) {
  static const char *const never[] = {"safe", "steady", " OK"};
  for (size_t k = 0; k < sizeof never / sizeof *never; k++)
    cr_expect_null(strstr(text, never[k]), "%s", never[k]);
  for (const char *line = text; *line != '\0';) {
    const char *end = strchr(line, '\n');
    size_t bytes = end == NULL ? strlen(line) : (size_t)(end - line), columns = 0;
    for (size_t i = 0; i < bytes; i++)
      columns += ((unsigned char)line[i] & 0xC0) != 0x80;
    cr_expect_leq(columns, 80, "%.*s", (int)bytes, line);
    line += bytes + (end != NULL);
  }
}

size_t count_of(const char *text, const char *words) {
  size_t n = 0;
  for (const char *at = text; (at = strstr(at, words)) != NULL; at++)
    n++;
  return n;
}

void on_one_line(const char *text, bt_text *flat) {
  bool blank = false;
  for (const char *at = text; *at != '\0'; at++) {
    bool goes_on = at[0] == '\\' && at[1] == '\n'; /* a command does, in the next line */
    bool here = goes_on || *at == ' ' || *at == '\n';
    if (!here)
      bt_text_add_bytes(flat, at, 1);
    else if (!blank && at[strspn(at, " \n")] != '\0')
      bt_text_add(flat, " ");
    blank = here;
  }
}

/* What `drift` prints of it, on one line, blanks and line breaks as one blank. Owned. */
char *made_drift_printed(const bt_unit_study *unit, bool one) {
  bt_error error;
  bt_text text = {0}, flat = {0};
  cr_assert_eq(bt_report_drift(unit, one ? unit->drift->drift : NULL, &text, &error), BT_OK);
  must_be_plain(bt_text_get(&text));
  on_one_line(bt_text_get(&text), &flat);
  bt_text_free(&text);
  return bt_text_take(&flat);
}

void must_say(const char *text, const char *words) {
  cr_expect_not_null(strstr(text, words), "\"%s\" is not in: %s", words, text);
}

/* The texts of the page, a line each. Owned. */
char *made_drift_page_text(const bt_unit_study *unit, const bt_report_request *request) {
  bt_document document;
  bt_error error;
  bt_text text = {0};
  cr_assert_eq(bt_report_month(unit, request, &fixture_measure, &document, &error), BT_OK);
  const bt_page *page = made_drift_page(&document);
  cr_assert_not_null(page);
  for (size_t i = 0; i < page->texts_n; i++)
    bt_text_format(&text, "%s\n", page->texts[i].text);
  bt_document_free(&document);
  return bt_text_take(&text);
}
