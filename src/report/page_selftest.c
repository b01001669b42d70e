/* Self-test and room: the subsystems that failed, the worst first; the days between failures; what
 * read the same throughout; and the room's conditions, which nothing judges. Where there is nothing
 * to draw, its words stand on the page of signals and decisions, and no page is left all but empty.
 */
#include "report_pages.h"

#include <math.h>
#include <stdio.h>

static const double pane_left = 18.2, gap = 6, axis_height = 6.2;

static const report_column item_columns[] = {
    {0, "Subsystem that failed"}, {0.3, "Times"}, {0.4, "Last"}};
enum { ITEM_COLUMNS = sizeof item_columns / sizeof *item_columns, MOST_ITEMS = 8 };

/* One failure of one subsystem: the sentence above holds all that a table would. */
static bool is_single(const bt_rare *rare) {
  return rare->failures == 1 && rare->items_n == 1;
}

static void items(report_sheet *sheet, const bt_rare *rare) {
  size_t shown = rare->items_n < MOST_ITEMS ? rare->items_n : MOST_ITEMS;
  if (rare->items_n == 0 || is_single(rare))
    return;
  report_sheet_heads(sheet, item_columns, ITEM_COLUMNS);
  for (size_t i = 0; i < shown; i++) {
    char number[32], date[REPORT_DATE_TEXT];
    (void)snprintf(number, sizeof number, "%zu", rare->items[i].failures);
    const char *cells[ITEM_COLUMNS] = {rare->items[i].name, number,
                                       report_short_date(rare->items[i].last_at, date)};
    report_sheet_row(sheet, item_columns, ITEM_COLUMNS, cells);
  }
  if (rare->items_n > shown) {
    bt_text rest = {0};
    bt_text_add(&rest, "and ");
    report_count(&rest, rare->items_n - shown, "more subsystem", "more subsystems");
    bt_text_add(&rest, " that failed");
    report_sheet_paragraph(sheet, BT_INK_SOFT, bt_text_get(&rest));
    report_text_end(sheet->builder, &rest);
  }
}

/* Days from failure to failure as bars, in their order; the last one, hollow of colour, is still
 * open. */
static void gaps(report_sheet *sheet, const bt_rare *rare) {
  enum { MOST_BARS = 60 };
  static const double height = 26;
  report_builder *builder = sheet->builder;
  size_t first = rare->gaps_n > MOST_BARS ? rare->gaps_n - MOST_BARS : 0;
  size_t n = rare->gaps_n - first;
  double high = rare->open_days;
  if (rare->gaps_n == 0)
    return;
  if (report_sheet_room(sheet, height + 12))
    sheet->y += 2;
  for (size_t i = first; i < rare->gaps_n; i++)
    high = fmax(high, rare->gap_days[i]);
  double left = sheet->frame.left + pane_left;
  double width = fmin(sheet->frame.right - left - 26, 8.0 * (double)(n + 1) + 20);
  double top = sheet->y + 3;
  bt_pane *pane = report_pane(builder, left, top, width, height);
  pane->x_high = (double)(n + 1);
  pane->y_high = high > 0 ? high * 1.15 : 1;
  pane->framed = true;
  report_value_axis(builder, pane, 3);
  for (size_t i = 0; i < n; i++)
    report_bar(builder, pane,
               (bt_bar){(double)i + 0.18, (double)i + 0.82, 0,
                        fmax(rare->gap_days[first + i], pane->y_high * 1e-3), BT_INK_SERIES});
  report_bar(builder, pane,
             (bt_bar){(double)n + 0.18, (double)n + 0.82, 0,
                      fmax(rare->open_days, pane->y_high * 1e-3), BT_INK_RISE_SOFT});
  if (rare->mean_days > 0 && rare->mean_days < pane->y_high)
    report_level(builder, pane, rare->mean_days, 0.25, BT_INK_CENTRE, BT_DASH_SOLID);
  report_turned(builder, sheet->frame.left + 3.6, top, top + height, BT_STYLE_TICK, BT_INK_TEXT,
                "days");
  bt_text words = {0};
  bt_text_add(&words,
              "Days from failure to failure, in their order; pale bar: since the last one. ");
  if (rare->mean_days > 0 && rare->mean_days < high * 1.15)
    bt_text_add(&words, "Line: their mean. ");
  if (first > 0) {
    report_count(&words, first, "earlier gap is", "earlier gaps are");
    bt_text_add(&words, " not shown.");
  }
  sheet->y = top + height + 3;
  report_sheet_paragraph(sheet, BT_INK_SOFT, bt_text_get(&words));
  report_text_end(builder, &words);
}

/* "Energy demand: 1.610 mJ at all 120 checks. No tolerance is entered, ..." */
static void constants(report_sheet *sheet, const bt_unit_study *unit,
                      const bt_report_request *request) {
  bool any = false;
  for (size_t i = 0; i < unit->studies_n; i++) {
    const bt_study *of = unit->studies[i];
    size_t first = 0, last = 0;
    report_words tolerance = {0};
    bt_text words = {0};
    if (!report_is_constant(of, request))
      continue;
    if (!any)
      report_sheet_heading(sheet, "Readings without a chart: one value in the whole span");
    any = true;
    report_between(&of->checks, request->from, request->to, &first, &last);
    bt_text_format(&words, "%s: ", of->quantity.title);
    report_add_value(&words, &of->quantity, of->checks.raw[first],
                     report_reading_decimals(of, of->checks.raw[first]));
    char date[REPORT_DATE_TEXT];
    if (last - first == 1)
      bt_text_format(&words, " at the one check, of %s",
                     report_short_date(of->checks.at[first], date));
    else
      bt_text_format(&words, " at all %zu checks, the last of %s", last - first,
                     report_short_date(of->checks.at[last - 1], date));
    report_tolerance_sentences(unit, of, REPORT_SPEAKS_OF_LOG, request->from, request->to,
                               &tolerance);
    bt_text_format(&words, ". %s", bt_text_get(&tolerance.text));
    if (!bt_text_ok(&words) || tolerance.text.failed)
      report_no_memory(sheet->builder);
    report_sheet_paragraph(sheet, BT_INK_TEXT, bt_text_get(&words));
    report_words_free(&tolerance);
    bt_text_free(&words);
  }
}

/* One room condition as a small chart with its name above it. */
static void condition(report_sheet *sheet, const bt_unit_study *unit, const bt_study *of,
                      const bt_report_request *request) {
  static const double height = 26;
  report_frame frame = sheet->frame;
  bt_text words = {0};
  if (report_sheet_room(sheet, height + axis_height + gap + 8))
    sheet->y += 3;
  bt_text_format(&words, "%s: last ", of->quantity.title);
  report_last_value(of, true, &words);
  sheet->y += report_text(sheet->builder, frame.left, sheet->y, BT_STYLE_TABLE, BT_INK_TEXT,
                          BT_ALIGN_LEFT, bt_text_get(&words))
                  .height +
              1.4;
  report_text_end(sheet->builder, &words);
  size_t first = 0, last = 0;
  report_between(&of->checks, request->from, request->to, &first, &last);
  if (last - first < 2) { /* one dot in an empty frame says no more than its line */
    sheet->empty = false;
    return;
  }
  report_chart chart = {.builder = sheet->builder,
                        .unit = unit,
                        .of = of,
                        .from = request->from,
                        .to = request->to,
                        .page_left = frame.left,
                        .left = frame.left + pane_left,
                        .right_edge = frame.right};
  chart.width = frame.right - 14 - chart.left;
  report_chart_prepare(&chart);
  bt_pane *pane = report_main_compose(&chart, sheet->y, height);
  report_time_axis(&chart, pane, sheet->y + height + 1.6);
  sheet->y += height + axis_height + gap - 2;
  sheet->empty = false;
}

/* Those with so many readings in the span. */
static size_t room_conditions(const bt_unit_study *unit, const bt_report_request *request,
                              size_t least) {
  size_t n = 0, first = 0, last = 0;
  for (size_t i = 0; i < unit->studies_n; i++) {
    report_between(&unit->studies[i]->checks, request->from, request->to, &first, &last);
    n += !report_is_judged(unit->studies[i]) && last - first >= least;
  }
  return n;
}

static void room(report_sheet *sheet, const bt_unit_study *unit, const bt_report_request *request) {
  report_sheet_heading(sheet, "The room");
  if (room_conditions(unit, request, 1) == 0) {
    report_sheet_paragraph(sheet, BT_INK_TEXT,
                           "The log holds no temperature or humidity in the span shown.");
    return;
  }
  report_sheet_paragraph(sheet, BT_INK_SOFT, report_room_sentence);
  for (size_t i = 0; i < unit->studies_n; i++)
    if (!report_is_judged(unit->studies[i]) && report_has_page(unit->studies[i], request))
      condition(sheet, unit, unit->studies[i], request);
}

/* With something to draw. */
static bool fills_a_page(const bt_unit_study *unit, const bt_report_request *request) {
  return room_conditions(unit, request, 2) > 0 || unit->selftest.rare.gaps_n > 0;
}

const char *report_selftest_place(const bt_unit_study *unit, const bt_report_request *request) {
  return fills_a_page(unit, request) ? "self-test" : "record";
}

static void pattern(report_sheet *sheet, const bt_unit_study *unit) {
  bt_text found = {0}, words = {0};
  report_pattern_words(unit, INT64_MIN, INT64_MAX, &found);
  bt_text_format(&words, "Test pattern, in the log’s own words, which nothing here judges: %s.",
                 bt_text_get(&found));
  if (!bt_text_empty(&found))
    report_sheet_paragraph(sheet, BT_INK_TEXT, bt_text_get(&words));
  report_text_end(sheet->builder, &found);
  report_text_end(sheet->builder, &words);
}

static void sections(report_sheet *sheet, const bt_unit_study *unit,
                     const bt_report_request *request, bool own_page) {
  bt_text words = {0};
  bool apart = own_page || room_conditions(unit, request, 1) > 0;
  report_sheet_heading(sheet, apart ? "Self-test" : "Self-test and room");
  if (unit->selftest.logged)
    report_selftest_words(unit, &words);
  else
    bt_text_add(&words, "The log holds no self-test");
  bt_text_add(&words, ".");
  if (is_single(&unit->selftest.rare) && !unit->selftest.last_failed)
    bt_text_format(&words, " What failed: %s.", unit->selftest.rare.items[0].name);
  report_rare_words(unit, &words);
  if (!apart)
    bt_text_add(&words, " The log holds no temperature or humidity in the span shown.");
  report_sheet_paragraph(sheet, BT_INK_TEXT, bt_text_get(&words));
  report_text_end(sheet->builder, &words);
  pattern(sheet, unit);
  items(sheet, &unit->selftest.rare);
  gaps(sheet, &unit->selftest.rare);
  constants(sheet, unit, request);
  if (apart)
    room(sheet, unit, request);
}

void report_selftest_page(report_builder *builder, const bt_unit_study *unit,
                          const bt_report_request *request) {
  report_sheet sheet;
  bt_text subtitle = {0};
  char period[REPORT_DATE_TEXT];
  if (!fills_a_page(unit, request))
    return;
  bt_text_format(&subtitle, "%s  ·  readings of %s", unit->history.unit,
                 report_short_period(request->from, request->to - 1, period));
  report_sheet_begin(&sheet, builder, "Self-test and room", "self-test", bt_text_get(&subtitle));
  sections(&sheet, unit, request, true);
  report_text_end(builder, &subtitle);
}

void report_selftest_section(report_sheet *sheet, const bt_unit_study *unit,
                             const bt_report_request *request) {
  if (!fills_a_page(unit, request))
    sections(sheet, unit, request, false);
}
