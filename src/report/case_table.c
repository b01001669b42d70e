/* The characteristics of a case in a table: verdict, tolerance and signals in its span. */
#include "report_case.h"

enum { COLUMNS = 5 };
static const double column_at[COLUMNS] = {0, 0.15, 0.39, 0.57, 0.86};

static void signals_of(const bt_case *one, const bt_study *of, bt_text *out) {
  size_t alarms = 0, notices = 0;
  for (size_t p = bt_series_from(&of->points, one->from);
       p < of->points.n && of->points.at[p] < one->to; p++) {
    alarms += of->strength[p] == BT_ALARM;
    notices += of->strength[p] == BT_NOTICE;
  }
  const bt_segment *now = bt_study_now(of);
  bool no_rule = now != NULL && now->state == BT_CHART_RESOLUTION && alarms + notices == 0;
  if (!report_is_judged(of) || no_rule)
    bt_text_add(out, "NOT JUDGED");
  else
    bt_text_format(out, "%zu and %zu", alarms, notices);
}

static void tolerance_of(const bt_case *one, const bt_study *of, bt_text *out) {
  report_tolerance_counts counts = report_count_tolerance(one->unit, of, one->from, one->to);
  if (!report_may_have_tolerance(of))
    bt_text_add(out, REPORT_DASH);
  else if (counts.judged == 0)
    bt_text_add(out, "none in force");
  else if (counts.outside == 0)
    bt_text_format(out, "inside, %zu of %zu", counts.judged, counts.judged);
  else
    bt_text_format(out, "%zu of %zu outside", counts.outside, counts.judged);
}

static void characteristic_row(case_pages *on, const bt_study *of) {
  bt_text verdict = {0}, tolerance = {0}, control = {0}, signals = {0};
  report_banner_words(on->one->unit, bt_study_shown_verdict(of), of, &verdict);
  tolerance_of(on->one, of, &tolerance);
  report_control_state(of, &control);
  signals_of(on->one, of, &signals);
  const char *cells[COLUMNS] = {of->quantity.title, bt_text_get(&verdict), bt_text_get(&tolerance),
                                bt_text_get(&control), bt_text_get(&signals)};
  report_case_row(on, column_at, cells, COLUMNS, BT_STYLE_TABLE, BT_INK_TEXT);
  if (!bt_text_ok(&verdict) || !bt_text_ok(&tolerance) || !bt_text_ok(&control) ||
      !bt_text_ok(&signals))
    report_no_memory(on->builder);
  bt_text_free(&verdict);
  bt_text_free(&tolerance);
  bt_text_free(&control);
  bt_text_free(&signals);
}

void report_case_table(case_pages *on) {
  static const char *const heads[COLUMNS] = {"Characteristic", "At the end of the span",
                                             "Tolerance, in the span", "Control",
                                             "Points: alarms, notices"};
  const bt_unit_study *unit = on->one->unit;
  double line = report_measure(on->builder, BT_STYLE_TABLE, "0", 0).height + 0.9;
  on->y += 2;
  report_box(on->builder, on->frame.left, on->y - 0.6, on->frame.right - on->frame.left, line,
             BT_INK_PANEL);
  report_case_row(on, column_at, heads, COLUMNS, BT_STYLE_TABLE_HEAD, BT_INK_TEXT);
  for (size_t s = 0; s < unit->studies_n; s++)
    characteristic_row(on, unit->studies[s]);
}
