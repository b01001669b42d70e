/* The legend of a chart names what is drawn, all of it and nothing else; what lies beyond the axis
 * is marked at its edge and counted; a correction is marked on the charts that it touched alone. */
#include "fixture.h"
#include "report_pages.h"
#include "said.h"

#include <criterion/criterion.h>
#include <string.h>

static const bt_pane *main_of(const bt_page *page) {
  for (size_t i = 0; i < page->panes_n; i++)
    if (page->panes[i].framed)
      return &page->panes[i];
  return NULL;
}

static size_t marks_of(const bt_pane *pane, bt_shape shape, bt_ink ink) {
  size_t n = 0;
  for (size_t i = 0; i < pane->marks_n; i++)
    n += pane->marks[i].shape == shape && pane->marks[i].ink == ink ? pane->marks[i].n : 0;
  return n;
}

/* Curves of the main chart: lines of two points or more in that ink, thinner than a limit's. */
static size_t curves_of(const bt_pane *pane, bt_ink ink) {
  static const double limit = 0.3;
  size_t n = 0;
  for (size_t i = 0; i < pane->lines_n; i++)
    n += pane->lines[i].ink == ink && pane->lines[i].n > 1 && pane->lines[i].width_mm < limit;
  return n;
}

static size_t rings_of(const bt_pane *pane) {
  return marks_of(pane, BT_SHAPE_RING, BT_INK_SERIES);
}

static void agrees(const fixture_plan *plan, const char *name) {
  bt_report_request request;
  bt_document document;
  bt_unit_study *unit = fixture_make(plan, &request);
  const bt_study *of = unit->studies[0];
  bt_text said = said_of_one(unit, of, &request);
  const char *text = bt_text_get(&said);
  fixture_chart(unit, of, &request, &document);
  const bt_pane *chart = main_of(&document.pages[0]);
  cr_assert_not_null(chart);
  const struct {
    const char *words;
    size_t drawn;
  } items[] = {{"Dark curve: EWMA", curves_of(chart, BT_INK_CENTRE)},
               {"Pale line: as measured", curves_of(chart, BT_INK_RAW)},
               {"Rings: ", rings_of(chart)},
               {"Crosses: ", marks_of(chart, BT_SHAPE_CROSS, BT_INK_TEXT)},
               {"◆ a check outside tolerance", marks_of(chart, BT_SHAPE_DIAMOND, BT_INK_ALARM)},
               {"Squares at the foot", marks_of(chart, BT_SHAPE_SQUARE, BT_INK_TEXT)},
               {"Small dots: single checks", marks_of(chart, BT_SHAPE_DOT, BT_INK_RAW)}};
  for (size_t k = 0; k < sizeof items / sizeof *items; k++)
    cr_expect_eq(strstr(text, items[k].words) != NULL, items[k].drawn > 0, "%s: %s, %zu drawn",
                 name, items[k].words, items[k].drawn);
  bt_document_free(&document);
  bt_text_free(&said);
  bt_unit_study_free(unit);
}

Test(legend, names_what_is_drawn_and_nothing_else) {
  fixture_plan plan = fixture_usual();
  agrees(&plan, "usual");
  plan.baseline_n = plan.points - 1;
  agrees(&plan, "one point behind the baseline: no curve");
  plan.baseline_n = plan.points - 2;
  agrees(&plan, "two points behind it");
  plan.baseline_n = plan.points;
  agrees(&plan, "all of them the baseline's");
  plan = fixture_usual();
  plan.adjusted = true;
  plan.corrections = 2;
  plan.tolerance_half = 2;
  agrees(&plan, "adjusted, corrected, outside tolerance");
  plan.points = 1;
  plan.baseline_n = 0;
  agrees(&plan, "one point: no line");
  plan = fixture_usual();
  plan.retests = 2;
  plan.within = true;
  agrees(&plan, "retests, several a day");
  plan = fixture_usual();
  plan.unknown_age = 140;
  agrees(&plan, "unknown ages");
}

Test(legend, rings_are_what_was_drawn_as_rings) {
  for (int kind = 0; kind < 3; kind++) {
    bt_report_request request;
    fixture_plan plan = fixture_usual();
    plan.retests = kind != 1 ? 2 : 0;
    plan.unknown_age = kind != 0 ? 140 : 0;
    bt_unit_study *unit = fixture_make(&plan, &request);
    bt_text said = said_of_one(unit, unit->studies[0], &request);
    said_is(&said, kind == 0 ? "Rings: a retest. "
                   : kind == 1
                       ? "Rings: gas of unknown age, or too old to be judged. "
                       : "Rings: a retest, or gas of unknown age, or too old to be judged. ");
    bt_text_free(&said);
    bt_unit_study_free(unit);
  }
}

/* A slope that is carried on to an age that nobody knows it for may put a good reading at the
 * tolerance's line. */
Test(legend, a_ring_that_is_moved_too_far_is_told) {
  for (int adjusted = 0; adjusted < 2; adjusted++) {
    bt_report_request request;
    fixture_plan plan = fixture_usual();
    plan.adjusted = adjusted;
    bt_unit_study *unit = fixture_make(&plan, &request);
    bt_study *of = unit->studies[0];
    of->points.flags[of->points.n - 1] |= BT_POINT_TOO_OLD;
    bt_text said = said_of_one(unit, of, &request);
    said_is(&said, adjusted
                       ? "Rings: gas of unknown age, or too old to be judged or rightly moved. "
                       : "Rings: gas of unknown age, or too old to be judged. ");
    bt_text_free(&said);
    bt_unit_study_free(unit);
  }
}

/* The EWMA jumps to the centre at a restart, as if something had been repaired. */
Test(legend, a_restart_is_no_repair) {
  for (int restarted = 0; restarted < 2; restarted++) {
    bt_report_request request;
    fixture_plan plan = fixture_usual();
    plan.restarted = restarted;
    bt_unit_study *unit = fixture_make(&plan, &request);
    bt_text said = said_of_one(unit, unit->studies[0], &request);
    cr_expect_eq(said_times(&said, "Broken upright: CUSUM and EWMA restarted, no repair."),
                 restarted ? 1 : 0);
    bt_text_free(&said);
    bt_unit_study_free(unit);
  }
}

/* Retests far out stand at the edge under a dark triangle, inside the pane, and are told. */
Test(legend, single_checks_beyond_the_axis_are_marked_and_told) {
  static const double far[] = {1.21, 1.19, 0.7};
  for (size_t n = 0; n <= 3; n++) {
    bt_report_request request;
    bt_document document;
    fixture_plan plan = fixture_usual();
    plan.retests = 3;
    bt_unit_study *unit = fixture_make(&plan, &request);
    bt_study *of = unit->studies[0];
    for (size_t k = 0; k < n; k++)
      of->checks.value[of->checks.n - 1 - k] = of->checks.raw[of->checks.n - 1 - k] = far[k];
    bt_text said = said_of_one(unit, of, &request);
    if (n == 0)
      said_never(&said, "beyond the axis");
    if (n == 1)
      said_is(&said, "1 single check lies beyond the axis (dark ▲▼ at its edge), highest 1.2100 on "
                     "27 Sep 2026.");
    if (n == 2)
      said_is(&said, "2 single checks lie beyond the axis (dark ▲▼ at its edge), highest 1.2100 on "
                     "27 Sep 2026.");
    if (n == 3)
      said_is(&said, "3 single checks lie beyond the axis (dark ▲▼ at its edge), highest 1.2100 on "
                     "27 Sep 2026, lowest 0.7000 on 27 Sep 2026.");
    fixture_chart(unit, of, &request, &document);
    const bt_pane *chart = main_of(&document.pages[0]);
    cr_expect_eq(marks_of(chart, BT_SHAPE_UP, BT_INK_TEXT), n < 2 ? n : 2);
    cr_expect_eq(marks_of(chart, BT_SHAPE_DOWN, BT_INK_TEXT), n == 3);
    cr_expect(chart->y_high < 1.19 && chart->y_low > 0.7, "the axis is of the other readings");
    bt_document_free(&document);
    bt_text_free(&said);
    bt_unit_study_free(unit);
  }
}

/* A single check of a day that has several, out of the points' range but not far, widens the axis.
 */
Test(legend, the_axis_holds_single_checks_that_are_not_far_out) {
  bt_report_request request;
  fixture_plan plan = fixture_usual();
  bt_unit_study *unit = fixture_make(&plan, &request);
  bt_study *of = unit->studies[0];
  of->checks.at[of->checks.n - 1] = of->checks.at[of->checks.n - 2] + BT_HOUR; /* two of one day */
  report_chart chart = {
      .unit = unit, .of = of, .from = request.from, .to = request.to, .width = 100};
  report_chart_prepare(&chart);
  cr_assert(report_is_repeat(&chart, of->checks.n - 1));
  of->checks.value[of->checks.n - 1] = plan.centre + 9 * plan.sigma;
  double low = 0, high = 0;
  report_main_reach(&chart, 60, &low, &high);
  cr_expect_gt(high, plan.centre + 9 * plan.sigma);
  bt_unit_study_free(unit);
}

/* Readings that never move, however low they lie: an axis that has a height and holds them. */
Test(legend, the_axis_of_a_constant_low_series) {
  static const double values[] = {0, 1e-9, 0.0004, 0.02, -3};
  for (size_t k = 0; k < sizeof values / sizeof *values; k++)
    for (int outside = 0; outside < 2; outside++) {
      bt_report_request request;
      bt_document document;
      bt_text complaints = {0};
      fixture_plan plan = fixture_usual();
      plan.flat = true;
      plan.adjusted = plan.tolerance = false;
      plan.centre = values[k];
      plan.state = BT_CHART_RESOLUTION;
      bt_unit_study *unit = fixture_make(&plan, &request);
      bt_study *of = unit->studies[0];
      of->episodes_n = 0;
      for (size_t i = 0; i < of->checks.n && outside; i++)
        of->checks.flags[i] |= BT_POINT_OUT_OF_TOLERANCE;
      for (size_t i = 0; i < of->points.n && outside; i++)
        of->rules[BT_LOW][i] = BT_TOLERANCE_FAILED;
      cr_expect_eq(report_is_constant(of, &request), !outside);
      fixture_chart(unit, of, &request, &document);
      fixture_check(&document, &complaints);
      cr_expect_eq(complaints.length, 0, "%g: %s", values[k], bt_text_get(&complaints));
      const bt_pane *chart = main_of(&document.pages[0]);
      cr_expect_gt(chart->y_high - chart->y_low, 0, "%g", values[k]);
      cr_expect(chart->y_low < values[k] && values[k] < chart->y_high, "%g", values[k]);
      cr_expect_eq(marks_of(chart, BT_SHAPE_DIAMOND, BT_INK_ALARM) > 0, outside);
      cr_expect_gt(marks_of(chart, BT_SHAPE_DOT, BT_INK_SERIES), 100);
      bt_text_free(&complaints);
      bt_document_free(&document);
      bt_unit_study_free(unit);
    }
}

/* The plot of T² names the marks that it has. */
Test(legend, the_plot_of_t2_names_the_marks_that_it_has) {
  for (unsigned bits = 0; bits < 8; bits++) {
    bt_report_request request;
    fixture_plan plan = fixture_usual();
    plan.characteristic = BT_TRACKER_VECTOR;
    plan.centre = 6;
    plan.sigma = 3;
    plan.drift = 0;
    plan.adjusted = plan.tolerance = false;
    plan.axes = true;
    bt_unit_study *unit = fixture_make(&plan, &request);
    bt_study *of = unit->studies[0];
    memset(of->rules[BT_LOW], 0, of->points.n * sizeof(bt_rules));
    memset(of->rules[BT_HIGH], 0, of->points.n * sizeof(bt_rules));
    of->rules[BT_HIGH][of->points.n - 1] = (bits & 1) != 0 ? BT_WE1 : 0;
    of->rules[BT_HIGH][of->points.n - 2] = (bits & 2) != 0 ? BT_ALARM_LIMIT : 0;
    for (size_t i = 0; i < of->points.n; i++)
      of->points.flags[i] &= (uint8_t)~BT_POINT_SCREENED;
    if ((bits & 4) != 0)
      of->points.flags[3] |= BT_POINT_SCREENED;
    bt_text said = said_of_one(unit, of, &request);
    cr_expect_eq(strstr(bt_text_get(&said), "squares are notices") != NULL, (bits & 1) != 0);
    cr_expect_eq(strstr(bt_text_get(&said), "diamonds are alarms") != NULL, (bits & 2) != 0);
    cr_expect_eq(strstr(bt_text_get(&said), "crosses were left out of it") != NULL,
                 (bits & 4) != 0);
    bt_text_free(&said);
    bt_unit_study_free(unit);
  }
}

/* A check beyond the axis whose day's own mark stands there has no mark under it. */
Test(legend, a_mark_that_another_would_hide_is_not_drawn) {
  bt_report_request request;
  fixture_plan plan = fixture_usual();
  plan.retests = 1;
  bt_unit_study *unit = fixture_make(&plan, &request);
  bt_study *of = unit->studies[0];
  size_t last = of->points.n - 1;
  of->checks.value[of->checks.n - 1] = of->checks.raw[of->checks.n - 1] = 1.21;
  of->points.value[last] = of->points.raw[last] = of->checks.value[last] = 1.2;
  of->rules[BT_HIGH][last] = BT_WE1;
  bt_text said = said_of_one(unit, of, &request);
  said_is(&said,
          "1 point and 1 single check lie beyond the axis, drawn at its edge, highest 1.2100");
  bt_text_free(&said);
  bt_unit_study_free(unit);
}

/* The fixture's corrections are of energy_mj. */
Test(legend, a_correction_is_marked_on_the_charts_that_it_touched) {
  enum { NO_READING = BT_READING_COUNT };
  static const struct {
    bt_characteristic of;
    int reading, other; /* that were touched */
    bool place, refill;
    bt_correction_kind kind;
    bool marked;
  } cases[] = {
      {BT_ENERGY_RATIO, BT_READING_ENERGY_MJ, NO_READING, false, false, BT_CORRECTED, true},
      {BT_ENERGY_RATIO, BT_READING_TARGET_MJ, NO_READING, false, false, BT_CORRECTED, true},
      {BT_ENERGY_RATIO, BT_READING_ENERGY_PCT, NO_READING, false, false, BT_CORRECTED, true},
      {BT_ENERGY_RATIO, BT_READING_OFFSET_X_UM, NO_READING, false, false, BT_CORRECTED, false},
      {BT_ENERGY_RATIO, NO_READING, NO_READING, false, false, BT_CORRECTED, false},
      {BT_ENERGY_RATIO, NO_READING, NO_READING, false, true, BT_CORRECTED, false},
      {BT_TRACKER_X, BT_READING_ENERGY_MJ, NO_READING, false, false, BT_CORRECTED, false},
      {BT_TRACKER_X, BT_READING_OFFSET_Y_UM, NO_READING, false, false, BT_CORRECTED, false},
      {BT_TRACKER_X, BT_READING_OFFSET_X_UM, NO_READING, false, false, BT_CORRECTED, true},
      {BT_TRACKER_RADIAL, BT_READING_OFFSET_Y_UM, NO_READING, false, false, BT_CORRECTED, true},
      {BT_TRACKER_X, NO_READING, NO_READING, true, false, BT_CORRECTED, true},
      {BT_TRACKER_X, BT_READING_TARGET_MJ, BT_READING_ENERGY_MJ, false, true, BT_WITHDRAWN, false},
      {BT_TRACKER_X, BT_READING_TARGET_MJ, BT_READING_OFFSET_X_UM, false, false, BT_WITHDRAWN,
       true},
      {BT_TRACKER_X, BT_READING_ENERGY_MJ, NO_READING, false, false, BT_SETTLED, true},
      {BT_TRACKER_X, NO_READING, NO_READING, false, true, BT_SETTLED, true},
      {BT_TRACKER_X, NO_READING, NO_READING, false, false, BT_SETTLED,
       false}, /* what stood stays */
      {BT_FLUENCE, BT_READING_FLUENCE_MJ_CM2, NO_READING, false, false, BT_CORRECTED, true},
      {BT_FLUENCE, BT_READING_ENERGY_MJ, NO_READING, false, false, BT_CORRECTED, false},
      {BT_HIGH_VOLTAGE, BT_READING_HV_KV, NO_READING, false, false, BT_CORRECTED, true},
      {BT_ENERGY_SPREAD, BT_READING_ENERGY_SD_PCT, NO_READING, false, false, BT_CORRECTED, true},
      {BT_DEMAND, BT_READING_TARGET_MJ, NO_READING, false, false, BT_CORRECTED, true},
      {BT_TEMPERATURE, BT_READING_TEMP_C, NO_READING, false, false, BT_CORRECTED, true}};
  bt_report_request request;
  fixture_plan plan = fixture_usual();
  bt_unit_study *unit = fixture_make(&plan, &request);
  bt_study *of = unit->studies[0];
  const uint32_t readings = (1U << BT_READING_COUNT) - 1;
  of->adjusted = false;
  for (size_t k = 0; k < sizeof cases / sizeof *cases; k++) {
    bt_correction correction = {
        .kind = cases[k].kind,
        .touched = {.readings = (1U << cases[k].reading | 1U << cases[k].other) & readings,
                    .place = cases[k].place,
                    .refill = cases[k].refill}};
    of->characteristic = cases[k].of;
    of->quantity.key = bt_characteristic_key(cases[k].of);
    cr_expect_eq(report_correction_touches(unit, of, &correction), cases[k].marked, "case %zu", k);
  }

  char force[] = "door_force";
  char *own[] = {force};
  bt_correction correction = {.kind = BT_WITHDRAWN, .touched = {.own_n = 1, .own = own}};
  of->characteristic = BT_CHARACTERISTIC_COUNT;
  of->quantity.key = "door_force";
  cr_expect(report_correction_touches(unit, of, &correction));
  of->quantity.key = "door_force_2";
  cr_expect_not(report_correction_touches(unit, of, &correction));
  of->characteristic = BT_ENERGY_RATIO;
  of->adjusted = true;
  correction = (bt_correction){.kind = BT_CORRECTED, .touched = {.refill = true}};
  cr_expect(report_correction_touches(unit, of, &correction), "fill ages move with a refill");
  bt_unit_study_free(unit);
}
