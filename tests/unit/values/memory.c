/* Every free function takes NULL, a zeroed value, a full value, and (where the value stays with the
 * caller) the same value twice. LeakSanitizer tells what a free function forgets. */
#include "beamtally/finding.h"
#include "beamtally/page.h"

#include <criterion/criterion.h>
#include <stdlib.h>

static void *some(size_t size) {
  void *memory = bt_new(2, size);
  cr_assert_not_null(memory);
  return memory;
}

static char *word(const char *text) {
  char *copy = bt_copy(text);
  cr_assert_not_null(copy);
  return copy;
}

Test(memory, null_and_zeroed) {
  bt_cusum cusum = {0};
  bt_ewma ewma = {0};
  bt_fills fills = {0};
  bt_history history = {0};
  bt_series series = {0};
  bt_settings settings = {0};
  bt_baseline baseline = {0};
  bt_reading_choices choices = {0};
  bt_document document = {0};
  for (int twice = 0; twice < 2; twice++) {
    bt_cusum_free(twice == 0 ? NULL : &cusum);
    bt_ewma_free(twice == 0 ? NULL : &ewma);
    bt_fills_free(twice == 0 ? NULL : &fills);
    bt_history_free(twice == 0 ? NULL : &history);
    bt_series_free(twice == 0 ? NULL : &series);
    bt_settings_free(twice == 0 ? NULL : &settings);
    bt_baseline_free(twice == 0 ? NULL : &baseline);
    bt_reading_choices_free(twice == 0 ? NULL : &choices);
    bt_document_free(twice == 0 ? NULL : &document);
  }
  bt_study_free(NULL);
  bt_unit_study_free(NULL);
  bt_study_free(some(sizeof(bt_study)));
  bt_unit_study_free(some(sizeof(bt_unit_study)));
}

Test(memory, series) {
  bt_series series;
  cr_assert(bt_series_new(&series, 3));
  cr_assert_eq(series.n, 3);
  for (size_t i = 0; i < 3; i++)
    cr_assert(series.at[i] == 0 && series.sequence[i] == 0 && series.source[i] == 0 &&
              series.line[i] == 0 && series.raw[i] == 0.0 && series.value[i] == 0.0 &&
              series.fill_age_days[i] == 0.0 && series.fill[i] == 0 && series.segment[i] == 0 &&
              series.checks[i] == 0 && series.flags[i] == 0);
  bt_series_free(&series);
  cr_assert(series.n == 0 && series.at == NULL && series.flags == NULL);
  bt_series_free(&series);
  cr_assert(bt_series_new(&series, 0));
  bt_series_free(&series);
}

static bt_history full_history(void) {
  bt_history history = {.unit = word("Suite North"),
                        .n = 2,
                        .at = some(sizeof *history.at),
                        .sequence = some(sizeof *history.sequence),
                        .source = some(sizeof *history.source),
                        .line = some(sizeof *history.line),
                        .present = some(sizeof *history.present),
                        .state = some(1),
                        .refill = some(1),
                        .has_clock = some(1),
                        .events_n = 2,
                        .events = some(sizeof *history.events)};
  for (size_t r = 0; r < BT_READING_COUNT; r++)
    history.reading[r] = some(sizeof(double));
  for (size_t f = 0; f < BT_FIELD_COUNT; f += 2) { /* the others: no check has the field */
    history.text[f] = some(sizeof(char *));
    history.text[f][1] = word("as written");
  }
  history.events[0].unit = word("Suite North");
  history.events[1].unit = word("Suite North");
  history.events[1].note = word("two bottles");
  return history;
}

static bt_settings full_settings(void) {
  bt_settings settings = {.units_n = 2,
                          .units = some(sizeof *settings.units),
                          .tolerances_n = 2,
                          .tolerances = some(sizeof *settings.tolerances),
                          .tell = word("the physicist on call"),
                          .clinic = word("Clinic")};
  settings.units[0].name = word("Suite North");
  settings.tolerances[1].unit = word("Suite North");
  settings.tolerances[1].source = word("instructions for use");
  return settings;
}

static bt_study *full_study(void) {
  bt_study *study = bt_new(1, sizeof *study);
  cr_assert_not_null(study);
  cr_assert(bt_series_new(&study->checks, 2));
  cr_assert(bt_series_new(&study->points, 2));
  study->z = some(sizeof *study->z);
  study->moving_range = some(sizeof *study->moving_range);
  study->has_range = some(1);
  study->judged = some(1);
  study->rules[BT_LOW] = some(1);
  study->rules[BT_HIGH] = some(1);
  study->strength = some(1);
  study->cusum = (bt_cusum){.high = some(sizeof(double)),
                            .low = some(sizeof(double)),
                            .run_high = some(sizeof(uint32_t)),
                            .run_low = some(sizeof(uint32_t)),
                            .excursions_n = 2,
                            .excursions = some(sizeof(bt_excursion)),
                            .restarts_n = 2,
                            .restarts = some(sizeof(bt_restart))};
  study->ewma = (bt_ewma){
      .value = some(sizeof(double)), .lcl = some(sizeof(double)), .ucl = some(sizeof(double))};
  study->segments_n = 2;
  study->segments = some(sizeof *study->segments);
  for (size_t i = 0; i < 2; i++) {
    study->segments[i].baseline.by = word("a.b.");
    study->segments[i].baseline.why = word("first baseline");
    study->segments[i].exclusions_n = 2;
    study->segments[i].exclusions = some(sizeof(bt_exclusion));
  }
  study->episodes_n = 2;
  study->episodes = some(sizeof *study->episodes);
  return study;
}

Test(memory, full_values) {
  bt_history history = full_history();
  bt_history_free(&history);
  cr_assert(history.n == 0 && history.unit == NULL && history.events == NULL);
  bt_history_free(&history);

  bt_settings settings = full_settings();
  bt_settings_free(&settings);
  cr_assert(settings.units_n == 0 && settings.tolerances == NULL && settings.tell == NULL);
  bt_settings_free(&settings);

  bt_study_free(full_study());

  bt_unit_study *unit = bt_new(1, sizeof *unit);
  cr_assert_not_null(unit);
  unit->studies_n = 2;
  unit->studies = some(sizeof *unit->studies);
  unit->studies[0] = full_study();
  unit->studies[1] = full_study();
  unit->fills = (bt_fills){.n = 2, .fill = some(sizeof(bt_fill))};
  unit->history = full_history();
  unit->settings = full_settings();
  bt_unit_study_free(unit);
}

Test(memory, full_choices) {
  bt_reading_choices choices = {.encoding = word("UTF-8"),
                                .unit = word("Suite North"),
                                .columns_n = 2,
                                .columns = some(sizeof *choices.columns),
                                .values_n = 2,
                                .values = some(sizeof *choices.values)};
  choices.columns[1] = (bt_column_choice){
      .key = word("energy_mj"), .header = word("Energie"), .from_unit = word("J")};
  choices.values[0] = (bt_value_choice){.key = word("event.gas_refill"),
                                        .header = word("Gaswechsel"),
                                        .value = word("ja"),
                                        .result = word("before")};
  bt_reading_choices_free(&choices);
  cr_assert(choices.columns_n == 0 && choices.values == NULL && choices.encoding == NULL);
  bt_reading_choices_free(&choices);
}

Test(memory, full_document) {
  bt_document document = {.title = word("Report"),
                          .author = word("Clinic"),
                          .subject = word("Suite North"),
                          .pages_n = 2,
                          .pages = some(sizeof *document.pages)};
  for (size_t p = 0; p < 2; p++) {
    bt_page *page = &document.pages[p];
    page->title = word("Summary");
    page->name = word("summary");
    page->boxes_n = page->lines_n = page->panes_n = page->texts_n = 2;
    page->boxes = some(sizeof *page->boxes);
    page->lines = some(sizeof *page->lines);
    page->texts = some(sizeof *page->texts);
    page->texts[1].text = word("NOTICE");
    page->texts[1].link = word("energy");
    page->panes = some(sizeof *page->panes);
    bt_pane *pane = &page->panes[0];
    pane->spans = some(sizeof *pane->spans);
    pane->bands = some(sizeof *pane->bands);
    pane->bars = some(sizeof *pane->bars);
    pane->levels = some(sizeof *pane->levels);
    pane->verticals = some(sizeof *pane->verticals);
    pane->x_ticks = some(sizeof *pane->x_ticks);
    pane->y_ticks = some(sizeof *pane->y_ticks);
    pane->lines_n = pane->marks_n = 2;
    pane->lines = some(sizeof *pane->lines);
    pane->lines[1].x = some(sizeof(double));
    pane->lines[1].y = some(sizeof(double));
    pane->marks = some(sizeof *pane->marks);
    pane->marks[1].x = some(sizeof(double));
    pane->marks[1].y = some(sizeof(double));
  }
  bt_document_free(&document);
  cr_assert(document.pages_n == 0 && document.pages == NULL && document.title == NULL);
  bt_document_free(&document);
}
