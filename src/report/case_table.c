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
  report_control_state(of, true, &control);
  signals_of(on->one, of, &signals);
  const char *cells[COLUMNS] = {of->quantity.title, bt_text_get(&verdict), bt_text_get(&tolerance),
                                bt_text_get(&control), bt_text_get(&signals)};
  report_case_row(on, column_at, cells, COLUMNS, BT_STYLE_TABLE, BT_INK_TEXT);
  report_text_end(on->builder, &verdict);
  report_text_end(on->builder, &tolerance);
  report_text_end(on->builder, &control);
  report_text_end(on->builder, &signals);
}

/* "Energy demand (1.600 mJ)": what has no chart, since a flat line would be all of it. */
static void flat_words(const case_pages *on, bt_text *out) {
  const bt_unit_study *unit = on->one->unit;
  for (size_t s = 0; s < unit->studies_n; s++) {
    const bt_study *of = unit->studies[s];
    char value[REPORT_NUMBER_TEXT];
    if (!report_case_is_flat(on->one, of))
      continue;
    bt_text_add(out,
                out->length == 0 ? "Without a chart, as these days hold one value alone: " : ", ");
    size_t first = bt_series_from(&of->checks, on->one->from);
    bt_text_format(out, "%s (%s", of->quantity.title,
                   report_number(of->checks.raw[first], report_decimals(&of->quantity, 0), value));
    report_add_unit(out, &of->quantity);
    bt_text_add(out, ")");
  }
  bt_text_add(out, out->length == 0 ? "" : ".");
}

double report_case_flat_height(const case_pages *on) {
  bt_text words = {0};
  flat_words(on, &words);
  double height = words.length == 0
                      ? 0
                      : 2 + report_measure(on->builder, BT_STYLE_TABLE, bt_text_get(&words),
                                           on->frame.right - on->frame.left)
                                .height;
  bt_text_free(&words);
  return height;
}

static void flat(case_pages *on) {
  bt_text words = {0};
  flat_words(on, &words);
  if (words.length > 0) {
    on->y += 1;
    report_case_paragraph(on, BT_STYLE_TABLE, BT_INK_TEXT, bt_text_get(&words));
  }
  report_text_end(on->builder, &words);
}

bool report_case_is_flat(const bt_case *one, const bt_study *of) {
  return !report_has_limits(bt_study_now(of)) && of->characteristic != BT_TRACKER_VECTOR &&
         report_is_one_value(of, one->from, one->to);
}

void report_case_table(case_pages *on) {
  static const char *const heads[COLUMNS] = {
      "Characteristic", "At the end of the span", "Tolerance, in the span",
      "Open episodes, from their first day on", "Span: alarms, notices"};
  const bt_unit_study *unit = on->one->unit;
  on->y += 2;
  report_box(on->builder, on->frame.left, on->y - 0.6, on->frame.right - on->frame.left,
             report_case_line(on), BT_INK_PANEL);
  report_case_row(on, column_at, heads, COLUMNS, BT_STYLE_TABLE_HEAD, BT_INK_TEXT);
  for (size_t s = 0; s < unit->studies_n; s++)
    characteristic_row(on, unit->studies[s]);
  flat(on);
}
