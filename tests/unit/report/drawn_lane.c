/* The rule lane is hatched where nothing was judged, and nowhere else: an empty stretch of a row
 * means that the rule looked and found nothing. */
#include "fixture.h"
#include "report_chart.h"
#include "said.h"

#include <criterion/criterion.h>
#include <math.h>
#include <string.h>

static const bt_pane *lane_of(const bt_page *page) {
  for (size_t i = 0; i < page->panes_n; i++)
    if (!page->panes[i].framed && page->panes[i].levels_n > 0)
      return &page->panes[i];
  return NULL;
}

/* Some slanting line of that row passes over that time. */
static bool is_hatched(const bt_pane *lane, size_t row, double x) {
  for (size_t i = 0; i < lane->lines_n; i++) {
    const bt_polyline *line = &lane->lines[i];
    for (size_t k = 0; k + 1 < line->n; k++)
      if (isfinite(line->x[k]) && isfinite(line->x[k + 1]) && line->x[k] <= x &&
          line->x[k + 1] >= x && line->y[k] >= -(double)row - 1 - 1e-9 &&
          line->y[k + 1] <= -(double)row + 1e-9)
        return true;
  }
  return false;
}

/* The rules that have a row: the first is the limit, the last the tolerance. */
static size_t rows(void) {
  size_t n = 0;
  for (size_t r = 0; r < BT_RULE_COUNT; r++)
    n += bt_rule_table[r].label != NULL;
  return n;
}

/* What judges the rows: the limit also in the baseline's own period, the tolerance every point. */
static bool is_judged(const bt_study *of, size_t row, size_t point) {
  return row + 1 == rows() || of->judged[point] == 1 || (row == 0 && of->judged[point] == 2);
}

enum { LATER = 21 };

Test(drawn_lane, what_nothing_judged_is_hatched) {
  fixture_plan plan = fixture_usual();
  plan.baseline_n = 40;
  plan.shown_days = 170;
  plan.unknown_age = 3;
  bt_report_request request;
  bt_document document;
  bt_unit_study *unit = fixture_make(&plan, &request);
  bt_study *of = unit->studies[0];
  unit->expected_days = 4;
  /* The first two thirds of the log lie three weeks earlier; it ends five days before the chart. */
  size_t cut = of->points.n * 2 / 3;
  for (size_t i = 0; i < of->points.n; i++)
    of->points.at[i] -= i < cut ? LATER * BT_DAY : 0;
  for (size_t i = 0; i < of->checks.n; i++)
    of->checks.at[i] -= of->checks.at[i] < of->points.at[cut] ? LATER * BT_DAY : 0;
  request.from = of->points.at[0] - 10 * BT_DAY;
  request.to = of->points.at[of->points.n - 1] + 6 * BT_DAY;
  fixture_chart(unit, of, &request, &document);
  const bt_pane *lane = lane_of(&document.pages[0]);
  cr_assert_not_null(lane);
  double gap = (report_days(of->points.at[cut - 1]) + report_days(of->points.at[cut])) / 2;
  size_t judged = 0, aside = 0;
  for (size_t row = 0; row < rows(); row++) {
    cr_expect(is_hatched(lane, row, gap), "no check: row %zu", row);
    cr_expect(is_hatched(lane, row, report_days(of->points.at[0]) - 3), "before: row %zu", row);
    cr_expect(is_hatched(lane, row, lane->x_high - 2), "after: row %zu", row);
    for (size_t i = 0; i < of->points.n; i++) {
      bool looked = is_judged(of, row, i);
      judged += looked;
      aside += !looked;
      cr_expect_eq(is_hatched(lane, row, report_days(of->points.at[i])), !looked,
                   "row %zu, point %zu", row, i);
    }
  }
  cr_expect(judged > 300 && aside >= 4 * 40, "%zu judged, %zu not", judged, aside);
  bt_text said = said_of_one(unit, of, &request);
  cr_expect_not_null(strstr(bt_text_get(&said), "Hatched: nothing judged, no reading for over 4 "
                                                "days, or not by that rule."));
  bt_text_free(&said);
  bt_document_free(&document);
  bt_unit_study_free(unit);
}

Test(drawn_lane, what_was_judged_throughout_is_not) {
  fixture_plan plan = fixture_usual();
  plan.shown_days = 30;
  bt_report_request request;
  bt_document document;
  bt_unit_study *unit = fixture_make(&plan, &request);
  unit->expected_days = 4;
  const bt_series *points = &unit->studies[0]->points; /* on the fifth day a check would be late */
  request.to = (bt_day_of(points->at[points->n - 1]) + 5) * BT_DAY;
  fixture_chart(unit, unit->studies[0], &request, &document);
  const bt_pane *lane = lane_of(&document.pages[0]);
  cr_assert_not_null(lane);
  cr_expect_eq(lane->lines_n, 0, "%zu lines", lane->lines_n);
  bt_text said = said_of_one(unit, unit->studies[0], &request);
  cr_expect_null(strstr(bt_text_get(&said), "Hatched"));
  bt_text_free(&said);
  bt_document_free(&document);
  bt_unit_study_free(unit);
}

/* Days are those of the calendar: a check that comes a minute later than the one of four days
 * before is as soon as one that comes a minute earlier. */
Test(drawn_lane, four_days_are_four_days_at_any_hour) {
  for (int minutes = -1; minutes <= 1; minutes++) {
    fixture_plan plan = fixture_usual();
    bt_report_request request;
    bt_document document = {0};
    plan.shown_days = 30;
    plan.days = 4;
    bt_unit_study *unit = fixture_make(&plan, &request);
    bt_study *of = unit->studies[0];
    unit->expected_days = 4;
    for (size_t i = of->points.n - 3; i < of->points.n; i++)
      of->points.at[i] += minutes * 60;
    fixture_chart(unit, of, &request, &document);
    const bt_pane *lane = lane_of(&document.pages[0]);
    cr_assert_not_null(lane);
    cr_expect_eq(lane->lines_n, 0, "%d: %zu lines", minutes, lane->lines_n);
    bt_document_free(&document);
    bt_unit_study_free(unit);
  }
}
