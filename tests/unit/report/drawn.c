/* What a page draws of the findings: each signal's mark, limits, averages, rings, the plot of T².
 */
#include "fixture.h"
#include "report_chart.h"

#include <criterion/criterion.h>
#include <math.h>
#include <string.h>

static size_t marks_of(const bt_pane *pane, bt_shape shape, bt_ink ink) {
  size_t n = 0;
  for (size_t i = 0; i < pane->marks_n; i++)
    n += pane->marks[i].shape == shape && pane->marks[i].ink == ink ? pane->marks[i].n : 0;
  return n;
}

/* The lane of a chart has no frame and levels; the fills' pane has neither. */
static const bt_pane *lane_of(const bt_page *page) {
  for (size_t i = 0; i < page->panes_n; i++)
    if (!page->panes[i].framed && page->panes[i].levels_n > 0)
      return &page->panes[i];
  return NULL;
}

static const bt_pane *main_of(const bt_page *page) {
  for (size_t i = 0; i < page->panes_n; i++)
    if (page->panes[i].framed)
      return &page->panes[i];
  return NULL;
}

/* A bar of that ink in that row of the lane, over that time. */
static bool has_bar(const bt_pane *lane, size_t row, double x, bt_ink ink) {
  for (size_t i = 0; i < lane->bars_n; i++)
    if (lane->bars[i].ink == ink && lane->bars[i].x1 <= x && lane->bars[i].x2 >= x &&
        -lane->bars[i].y2 >= (double)row && -lane->bars[i].y1 <= (double)row + 1)
      return true;
  return false;
}

typedef struct counted {
  size_t signals, alarms, beyond, beyond_alarm, failed;
} counted;

static void count_marks(const bt_study *of, size_t i, const bt_pane *lane, counted *seen) {
  double x = (double)of->points.at[i] / (double)BT_DAY;
  bt_rules rules = of->rules[BT_LOW][i] | of->rules[BT_HIGH][i];
  bool tolerance = (rules & BT_TOLERANCE_FAILED) != 0, alarm = (rules & BT_ALARM_LIMIT) != 0;
  seen->failed += tolerance;
  seen->beyond += (rules & BT_WE1) != 0 && !tolerance && !alarm;
  seen->beyond_alarm += alarm && !tolerance;
  size_t row = 0;
  for (size_t r = 0; r < BT_RULE_COUNT; r++) {
    const bt_rule *rule = &bt_rule_table[r];
    if (rule->label == NULL) /* it stands in the row of the one that it goes beyond */
      continue;
    bool is_alarm = (rules & (rule->beyond | (rule->bit & BT_ALARM_RULES))) != 0;
    if (is_alarm || (rules & rule->bit) != 0) {
      seen->signals++;
      seen->alarms += is_alarm;
      cr_expect(has_bar(lane, row, x, is_alarm ? BT_INK_ALARM : BT_INK_NOTICE),
                "point %zu, row %zu", i, row);
    }
    row++;
  }
}

Test(drawn, each_signal_has_its_mark) {
  fixture_plan plan = fixture_usual();
  plan.drift = -0.08;
  plan.tolerance_half = 5.5;
  plan.alarms = true;
  bt_report_request request;
  bt_document document;
  bt_unit_study *unit = fixture_make(&plan, &request);
  const bt_study *of = unit->studies[0];
  fixture_chart(unit, of, &request, &document);
  const bt_pane *lane = lane_of(&document.pages[0]), *chart = main_of(&document.pages[0]);
  cr_assert_not_null(lane);
  counted seen = {0};
  for (size_t i = 0; i < of->points.n; i++)
    if (of->points.at[i] >= request.from && of->points.at[i] < request.to)
      count_marks(of, i, lane, &seen);
  cr_expect(seen.signals > 50 && seen.alarms > 5 && seen.beyond > 0 && seen.beyond_alarm > 0 &&
            seen.failed > 0);
  cr_expect_eq(marks_of(chart, BT_SHAPE_DOWN, BT_INK_NOTICE) +
                   marks_of(chart, BT_SHAPE_UP, BT_INK_NOTICE),
               seen.beyond);
  cr_expect_eq(marks_of(chart, BT_SHAPE_DOWN, BT_INK_ALARM) +
                   marks_of(chart, BT_SHAPE_UP, BT_INK_ALARM),
               seen.beyond_alarm);
  cr_expect_eq(marks_of(chart, BT_SHAPE_DIAMOND, BT_INK_ALARM), seen.failed);
  bt_document_free(&document);
  bt_unit_study_free(unit);
}

/* How many diamonds stand at that value on the point's day. */
static size_t diamonds_at(const bt_pane *chart, bt_time at, double value) {
  size_t n = 0;
  for (size_t m = 0; m < chart->marks_n; m++)
    for (size_t i = 0; chart->marks[m].shape == BT_SHAPE_DIAMOND && i < chart->marks[m].n; i++)
      n += fabs(chart->marks[m].x[i] - (double)at / (double)BT_DAY) < 0.01 &&
           fabs(chart->marks[m].y[i] - value) < 1e-9;
  return n;
}

/* A mark of tolerance stands at the reading that failed on its side, as measured, wherever the
 * point, their mean, is moved to; at a retest where nothing else of the day failed. */
Test(drawn, a_failed_check_is_marked_at_its_reading) {
  enum { F = BT_POINT_OUT_OF_TOLERANCE, R = BT_POINT_RETEST };
  static const struct {
    double first, second; /* in half widths of the tolerance from its middle */
    uint16_t flags, then;
    double low, high; /* where the diamonds stand; 0: none does */
  } days[] = {{-1.1, 0.2, F, 0, -1.1, 0},      {0.2, 1.1, 0, F, 0, 1.1},
              {-1.1, 1.2, F, F, -1.1, 1.2},    {1.2, -1.1, F, F, -1.1, 1.2},
              {-0.9, -1.3, 0, R | F, -1.3, 0}, {-1.1, -1.3, F, R | F, -1.1, 0},
              {-1.1, 1.3, F, R | F, -1.1, 1.3}};
  for (size_t d = 0; d < sizeof days / sizeof *days; d++) {
    fixture_plan plan = fixture_usual();
    plan.adjusted = true;
    plan.tolerance_half = 2; /* so that the axis holds all of them */
    bt_report_request request;
    bt_document document;
    bt_unit_study *unit = fixture_make(&plan, &request);
    bt_study *of = unit->studies[0];
    size_t point = of->points.n - 3, check = bt_series_from(&of->checks, of->points.at[point]);
    bt_time at = of->points.at[point];
    double low = of->tolerance.now->low, high = of->tolerance.now->high;
    double middle = (low + high) / 2, half = (high - low) / 2;
    cr_assert_lt(check + 1, of->checks.n);
    of->checks.at[check + 1] = of->checks.at[check] + 900;
    of->checks.raw[check] = middle + days[d].first * half;
    of->checks.raw[check + 1] = middle + days[d].second * half;
    of->checks.flags[check] = days[d].flags;
    of->checks.flags[check + 1] = days[d].then;
    of->points.raw[point] = of->points.value[point] = middle;
    of->rules[BT_LOW][point] = days[d].low < 0 ? BT_TOLERANCE_FAILED : 0;
    of->rules[BT_HIGH][point] = days[d].high > 0 ? BT_TOLERANCE_FAILED : 0;
    fixture_chart(unit, of, &request, &document);
    const bt_pane *chart = main_of(&document.pages[0]);
    cr_expect_eq(diamonds_at(chart, at, middle), 0, "day %zu", d);
    if (days[d].low < 0)
      cr_expect_eq(diamonds_at(chart, at, middle + days[d].low * half), 1, "day %zu, low", d);
    if (days[d].high > 0)
      cr_expect_eq(diamonds_at(chart, at, middle + days[d].high * half), 1, "day %zu, high", d);
    bt_document_free(&document);
    bt_unit_study_free(unit);
  }
}

/* Lines of that ink in the pane whose first point stands at that value. */
static size_t lines_at(const bt_pane *pane, bt_ink ink, double at) {
  size_t n = 0;
  for (size_t i = 0; i < pane->lines_n; i++)
    n += pane->lines[i].ink == ink && pane->lines[i].n > 0 && fabs(pane->lines[i].y[0] - at) < 1e-9;
  return n;
}

Test(drawn, alarm_limits_and_the_average_are_drawn) {
  fixture_plan plan = fixture_usual();
  plan.alarms = true;
  bt_report_request request;
  bt_document document;
  bt_unit_study *unit = fixture_make(&plan, &request);
  const bt_study *of = unit->studies[0];
  fixture_chart(unit, of, &request, &document);
  const bt_page *page = &document.pages[0];
  const bt_pane *chart = main_of(page), *sums = &page->panes[page->panes_n - 1];
  double half = FIXTURE_ALARM_LIMIT * plan.sigma;
  cr_expect_eq(lines_at(chart, BT_INK_ALARM, plan.centre - half), 1);
  cr_expect_eq(lines_at(chart, BT_INK_ALARM, plan.centre + half), 1);
  cr_expect_eq(lines_at(sums, BT_INK_ALARM, FIXTURE_ALARM_H), 1);
  cr_expect_eq(lines_at(sums, BT_INK_ALARM, -FIXTURE_ALARM_H), 1);
  size_t averaged = 0, judged = 0;
  for (size_t i = 0; i < chart->lines_n; i++)
    if (chart->lines[i].ink == BT_INK_CENTRE && chart->lines[i].n > 2)
      for (size_t p = 0; p < chart->lines[i].n; p++, averaged++)
        cr_expect(fabs(chart->lines[i].y[p] - plan.centre) < 3 * plan.sigma);
  for (size_t i = 0; i < of->points.n; i++)
    judged += of->judged[i] == 1 && of->points.at[i] >= request.from;
  cr_expect_eq(averaged, judged, "every judged point that is shown: %zu of %zu", averaged, judged);
  bt_document_free(&document);

  plan.alarms = false; /* none without a budget */
  bt_unit_study_free(unit);
  unit = fixture_make(&plan, &request);
  fixture_chart(unit, unit->studies[0], &request, &document);
  chart = main_of(&document.pages[0]);
  for (size_t i = 0; i < chart->lines_n; i++)
    cr_expect_neq(chart->lines[i].ink, BT_INK_ALARM);
  bt_document_free(&document);
  bt_unit_study_free(unit);
}

/* The ellipse passes where T² is at its limit, by the definition of T². */
Test(drawn, the_ellipse_of_t2_is_its_limit) {
  fixture_plan plan = fixture_usual();
  plan.characteristic = BT_TRACKER_VECTOR;
  plan.centre = 6;
  plan.sigma = 3;
  plan.adjusted = plan.tolerance = false;
  plan.axes = true;
  bt_report_request request;
  bt_document document;
  bt_unit_study *unit = fixture_make(&plan, &request);
  const bt_study *of = unit->studies[0];
  const bt_vector *vector = &of->segments[0].vector;
  fixture_chart(unit, of, &request, &document);
  const bt_page *page = &document.pages[0];
  const bt_pane *plot = &page->panes[page->panes_n - 1];
  cr_expect_float_eq(plot->width, plot->height, 1e-9);
  cr_expect_float_eq(plot->x_high - plot->x_low, plot->y_high - plot->y_low, 1e-9, "one scale");
  double determinant = vector->var_x * vector->var_y - vector->cov_xy * vector->cov_xy;
  size_t corners = 0;
  for (size_t i = 0; i < plot->lines_n; i++)
    for (size_t p = 0; plot->lines[i].ink == BT_INK_LIMIT && p < plot->lines[i].n; p++, corners++) {
      double x = plot->lines[i].x[p] - vector->mean_x, y = plot->lines[i].y[p] - vector->mean_y;
      double t2 = (vector->var_y * x * x - 2 * vector->cov_xy * x * y + vector->var_x * y * y) /
                  determinant;
      cr_expect_float_eq(t2, vector->phase2_limit, 1e-9 * t2);
    }
  cr_expect(corners > 100);
  cr_expect_eq(marks_of(plot, BT_SHAPE_DOT, BT_INK_RAW), plan.baseline_n, "the baseline's points");
  bt_document_free(&document);
  bt_unit_study_free(unit);
}

Test(drawn, marks_of_signals_are_never_thinned) {
  fixture_plan plan = fixture_usual();
  plan.points = 5000;
  plan.shown_days = 6000;
  bt_document document;
  fixture_compose(&plan, BT_PAPER_A4, &document);
  const bt_pane *lane = lane_of(&document.pages[1]), *chart = main_of(&document.pages[1]);
  cr_expect(lane->bars_n > 20);
  double least = 0.85 / chart->width * (chart->x_high - chart->x_low);
  for (size_t i = 0; i < lane->bars_n; i++)
    if (lane->bars[i].x1 > lane->x_low && lane->bars[i].x2 < lane->x_high)
      cr_expect(lane->bars[i].x2 - lane->bars[i].x1 >= least, "a single day must be visible");
  cr_expect(marks_of(chart, BT_SHAPE_DOWN, BT_INK_NOTICE) > 0);
  bt_document_free(&document);
}

Test(drawn, rings_for_retests_and_unknown_fill_ages) {
  fixture_plan plan = fixture_usual();
  plan.points = 60;
  plan.unknown_age = 4;
  plan.retests = 3;
  bt_document document;
  fixture_compose(&plan, BT_PAPER_A4, &document);
  cr_expect_eq(marks_of(main_of(&document.pages[1]), BT_SHAPE_RING, BT_INK_SERIES), 7);
  bt_document_free(&document);
}

Test(drawn, single_checks_of_a_day_that_has_several) {
  fixture_plan plan = fixture_usual();
  plan.retests = 3;
  bt_report_request request;
  bt_document document;
  bt_unit_study *unit = fixture_make(&plan, &request);
  const bt_study *of = unit->studies[0];
  for (size_t i = of->points.n; i < of->checks.n; i++)
    of->checks.flags[i] = 0; /* checks in their own right, on the last point's day */
  fixture_chart(unit, of, &request, &document);
  cr_expect_eq(marks_of(main_of(&document.pages[0]), BT_SHAPE_DOT, BT_INK_RAW), 4);
  bt_document_free(&document);
  bt_unit_study_free(unit);
}

static const bt_polyline *raw_line_of(const bt_pane *pane) {
  for (size_t i = 0; i < pane->lines_n; i++)
    if (pane->lines[i].ink == BT_INK_RAW)
      return &pane->lines[i];
  return NULL;
}

/* Over 8 days a millimetre the single checks are one line that reaches each of them, and one that
 * is outside tolerance has a mark. */
Test(drawn, single_checks_of_crowded_days) {
  fixture_plan plan = fixture_usual();
  plan.points = 5000;
  plan.shown_days = 6000;
  plan.adjusted = false; /* no other line in that ink */
  plan.retests = 3;
  bt_report_request request;
  bt_document document;
  bt_unit_study *unit = fixture_make(&plan, &request);
  const bt_study *of = unit->studies[0];
  for (size_t i = of->points.n; i < of->checks.n; i++)
    of->checks.flags[i] = i == of->points.n ? BT_POINT_OUT_OF_TOLERANCE : 0;
  fixture_chart(unit, of, &request, &document);
  const bt_pane *pane = main_of(&document.pages[0]);
  cr_expect_eq(marks_of(pane, BT_SHAPE_DOT, BT_INK_RAW), 0);
  const bt_polyline *line = raw_line_of(pane);
  cr_assert_not_null(line);
  cr_expect_eq(line->n, 4);
  for (size_t i = of->checks.n - 4; i < of->checks.n; i++) {
    bool met = false;
    for (size_t k = 0; k < line->n; k++)
      met = met || line->x[k] == (double)of->checks.at[i] / (double)BT_DAY;
    cr_expect(met, "check %zu", i);
  }
  size_t small = 0;
  for (size_t i = 0; i < pane->marks_n; i++)
    small += pane->marks[i].shape == BT_SHAPE_DIAMOND && pane->marks[i].size_mm < 2
                 ? pane->marks[i].n
                 : 0;
  cr_expect_eq(small, 1);
  bt_document_free(&document);
  bt_unit_study_free(unit);
}

/* Nothing bridges a gap that can be seen. */
Test(drawn, a_crowd_is_broken_at_gaps) {
  double x[8], y[8];
  bt_polyline line = {.x = x, .y = y};
  const report_chart chart = {.x_low = 0, .x_high = 1000, .width = 100};
  report_crowd_put(&chart, &line, 1, 5);
  report_crowd_put(&chart, &line, 11, 6); /* 1 mm */
  report_crowd_put(&chart, &line, 22, 7);
  cr_assert_eq(line.n, 4);
  cr_expect(y[0] == 5 && y[1] == 6 && isnan(y[2]) && y[3] == 7);
}

/* How many lines the EWMA has, and the first day of the last. */
static size_t averages(const bt_pane *pane, double *last_begins) {
  size_t n = 0;
  for (size_t i = 0; i < pane->lines_n; i++)
    if (pane->lines[i].ink == BT_INK_CENTRE && pane->lines[i].n > 0 &&
        pane->lines[i].width_mm < 0.3) { /* the centre itself is wider */
      n++;
      *last_begins = pane->lines[i].x[0];
    }
  return n;
}

/* Also where the restart's own point is judged by no rule. */
Test(drawn, the_average_is_broken_where_it_restarts) {
  for (int what = 0; what < 3; what++) { /* 0: no restart; 1: at a judged point; 2: at another */
    fixture_plan plan = fixture_usual();
    plan.restarted = what > 0;
    bt_report_request request;
    bt_document document;
    bt_unit_study *unit = fixture_make(&plan, &request);
    bt_study *of = unit->studies[0];
    size_t restart = of->points.n - 3, begins = what == 2 ? restart + 1 : restart;
    for (size_t i = restart - 1; i < of->points.n; i++)
      of->judged[i] = 1;
    of->judged[restart] = what != 2;
    fixture_chart(unit, of, &request, &document);
    double day = 0;
    size_t lines = averages(main_of(&document.pages[0]), &day);
    cr_expect_eq(lines, what == 0 ? 1 : 2, "%d: %zu", what, lines);
    if (what > 0)
      cr_expect_eq(day, (double)of->points.at[begins] / (double)BT_DAY, "%d", what);
    bt_document_free(&document);
    bt_unit_study_free(unit);
  }
}

/* A run that nobody ended is shown to its end: its slope is what it says. */
Test(drawn, a_long_run_of_the_cusum_is_shown_whole) {
  fixture_plan plan = fixture_usual();
  bt_report_request request;
  bt_document document;
  bt_unit_study *unit = fixture_make(&plan, &request);
  bt_study *of = unit->studies[0];
  for (size_t i = 0; i < of->points.n; i++)
    of->cusum.low[i] = 600.0 * (double)(i + 1) / (double)of->points.n;
  fixture_chart(unit, of, &request, &document);
  const bt_page *page = &document.pages[0];
  size_t panes = 0;
  for (size_t i = 0; i < page->panes_n; i++)
    if (page->panes[i].framed && page->panes[i].y_low < -of->cusum.h) {
      panes++;
      cr_expect_lt(page->panes[i].y_low, -600);
      cr_expect_eq(marks_of(&page->panes[i], BT_SHAPE_DOWN, BT_INK_TEXT), 0, "none at the edge");
    }
  cr_expect_eq(panes, 1);
  bt_document_free(&document);
  bt_unit_study_free(unit);
}

Test(drawn, rows_of_the_summary_lead_to_their_pages) {
  fixture_plan plan = fixture_usual();
  plan.covariates = true;
  bt_document document;
  fixture_compose(&plan, BT_PAPER_LETTER, &document);
  cr_assert_geq(document.pages_n, 5);
  for (size_t p = 1; p < document.pages_n; p++) {
    const char *continued = strrchr(document.pages[p].name, '-');
    if (continued != NULL && continued[1] >= '0' && continued[1] <= '9')
      continue; /* one goes on to it from the page before */
    bool linked = false;
    for (size_t i = 0; i < document.pages[0].texts_n; i++) {
      const char *link = document.pages[0].texts[i].link;
      linked |= link != NULL && strcmp(link, document.pages[p].name) == 0;
    }
    cr_expect(linked, "%s", document.pages[p].name);
    cr_expect_eq(strspn(document.pages[p].name, "abcdefghijklmnopqrstuvwxyz0123456789_-"),
                 strlen(document.pages[p].name));
  }
  bt_document_free(&document);
}

Test(drawn, the_same_study_gives_the_same_text) {
  fixture_plan plan = fixture_usual();
  plan.drift = -0.03;
  bt_text first = {0}, second = {0};
  for (int i = 0; i < 2; i++) {
    bt_document document;
    fixture_compose(&plan, BT_PAPER_A4, &document);
    fixture_text(&document, i == 0 ? &first : &second);
    bt_document_free(&document);
  }
  cr_expect_str_eq(bt_text_get(&first), bt_text_get(&second));
  cr_expect_not_null(strstr(bt_text_get(&first), "page energy_ratio | Pulse-energy ratio"));
  cr_expect_not_null(strstr(bt_text_get(&first), "marks down notice"));
  cr_expect_null(strstr(bt_text_get(&first), "nan"));
  bt_text_free(&first);
  bt_text_free(&second);
}
