/* The comparison of all units: a row each, the worst verdict first, with the pulse-energy ratio of
 * the span drawn on one scale for all, so that what stands side by side may be compared.
 * Words are never cut: a row is as high as they need. */
#include "report_pages.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { COLUMNS = 5, CHART = 1 };
static const double tall_chart = 26, middle_chart = 19,
                    low_chart = 15; /* mm; the same for all units */
static const double row_gap = 2.2, inset = 2.0;
static const report_column columns[COLUMNS] = {{0, "Unit"},
                                               {0.165, "Pulse-energy ratio"},
                                               {0.34, "Tolerance"},
                                               {0.47, "Open signals"},
                                               {0.635, "Drift, and what to do next"}};

typedef struct overview {
  report_sheet sheet;
  const bt_report_request *request;
  double low, high, chart_height; /* of every chart */
  bool drawn;                     /* some unit has readings */
} overview;

/* Among equal verdicts: an open alarm, an open notice, neither; then the farthest off. */
static int order_of(const bt_overview_row *row) {
  return row->ink == BT_INK_ALARM ? 0 : row->ink == BT_INK_NOTICE ? 1 : 2;
}

static int worst_first(const void *a, const void *b) {
  const bt_overview_row *x = a, *y = b;
  if (x->rank != y->rank)
    return x->rank > y->rank ? 1 : -1;
  if (order_of(x) != order_of(y))
    return order_of(x) - order_of(y);
  int off = bt_deviation_order(x->off, y->off);
  return off != 0 ? off : strcmp(x->unit, y->unit);
}

static double left_of(const overview *of, size_t column) {
  report_frame frame = of->sheet.frame;
  return frame.left + columns[column].at * (frame.right - frame.left);
}

static double width_of(const overview *of, size_t column) {
  double right = column + 1 < COLUMNS ? left_of(of, column + 1) - 2 * inset : of->sheet.frame.right;
  return right - left_of(of, column);
}

static void draw(const overview *of, const bt_overview_row *row, double top) {
  report_builder *builder = of->sheet.builder;
  bt_pane *pane =
      report_pane(builder, left_of(of, CHART), top, width_of(of, CHART), of->chart_height);
  pane->x_low = report_days(of->request->from);
  pane->x_high = report_days(of->request->to);
  pane->y_low = of->low;
  pane->y_high = of->high;
  pane->framed = true;
  for (bt_time at = of->request->from; at < of->request->to; at = bt_month_start(at, 1))
    report_x_tick(builder, pane, report_days(at));
  if (row->has_centre)
    report_level(builder, pane, row->centre, 0.15, BT_INK_CENTRE, BT_DASH_SOLID);
  if (row->has_low)
    report_level(builder, pane, row->low, 0.3, BT_INK_TOLERANCE, BT_DASH_DASHED);
  if (row->has_high)
    report_level(builder, pane, row->high, 0.3, BT_INK_TOLERANCE, BT_DASH_DASHED);
  bt_polyline *line = report_polyline(builder, pane, row->n, BT_INK_SERIES, 0.2);
  size_t failed = 0;
  for (size_t i = 0; i < row->n; i++) {
    if (line != NULL) {
      report_polyline_add(line, row->day[i], report_at_edge(pane, row->ratio[i]));
    }
    failed += row->outside[i] != 0;
  }
  bt_marks *single = row->n == 1 ? report_marks(builder, pane, 1, BT_SHAPE_DOT, BT_INK_SERIES, 0.9)
                                 : NULL; /* a line of one point shows nothing */
  if (single != NULL) {
    report_marks_add(single, row->day[0], report_shown_at(pane, row->ratio[0]));
  }
  bt_marks *marks = report_marks(builder, pane, failed, BT_SHAPE_DIAMOND, BT_INK_ALARM, 1.9);
  for (size_t i = 0; i < row->n && marks != NULL; i++)
    if (row->outside[i] != 0) {
      report_marks_add(marks, row->day[i], report_shown_at(pane, row->ratio[i]));
    }
}

/* Texts of a column under each other; returns the height. Only measured where `put` is false. */
static double stack(const overview *of, size_t column, double top, const bt_page_text *texts,
                    size_t n, bool put) {
  report_builder *builder = of->sheet.builder;
  double width = width_of(of, column), y = top;
  for (size_t i = 0; i < n; i++) {
    if (*texts[i].text == '\0')
      continue;
    double height = report_measure(builder, texts[i].style, texts[i].text, width).height;
    if (put)
      (void)report_wrapped(builder, left_of(of, column), y, width, texts[i].style, texts[i].ink,
                           texts[i].text);
    y += height + 0.6;
  }
  return y - top;
}

static double words(const overview *of, const bt_overview_row *row, double top, bool put) {
  bt_ink ink = row->ink == BT_INK_NEUTRAL ? BT_INK_TEXT : row->ink;
  const bt_page_text unit[] = {{.style = BT_STYLE_HEADING, .ink = BT_INK_TEXT, .text = row->unit},
                               {.style = BT_STYLE_TABLE_HEAD, .ink = ink, .text = row->verdict},
                               {.style = BT_STYLE_NOTE, .ink = BT_INK_SOFT, .text = row->checked},
                               {.style = BT_STYLE_NOTE, .ink = BT_INK_SOFT, .text = row->file}};
  const bt_page_text tolerance = {
      .style = BT_STYLE_TABLE, .ink = BT_INK_TEXT, .text = row->tolerance};
  const bt_page_text signals = {.style = BT_STYLE_TABLE, .ink = BT_INK_TEXT, .text = row->signals};
  const bt_page_text ahead[] = {{.style = BT_STYLE_TABLE, .ink = BT_INK_TEXT, .text = row->drift},
                                {.style = BT_STYLE_TABLE, .ink = BT_INK_SOFT, .text = row->next}};
  double height = stack(of, 0, top, unit, sizeof unit / sizeof unit[0], put);
  height = fmax(height, stack(of, 2, top, &tolerance, 1, put));
  height = fmax(height, stack(of, 3, top, &signals, 1, put));
  height = fmax(height, stack(of, 4, top, ahead, sizeof ahead / sizeof ahead[0], put));
  return fmax(height, of->chart_height);
}

/* With the scale of the charts, on each page. */
static void heads(overview *of) {
  char low[REPORT_NUMBER_TEXT], high[REPORT_NUMBER_TEXT];
  bt_text scale = {0};
  report_sheet_heads(&of->sheet, columns, COLUMNS);
  of->sheet.y += 1.0;
  if (!of->drawn)
    return;
  bt_text_format(&scale, "each from %s to %s", report_number(of->low, 3, low),
                 report_number(of->high, 3, high));
  of->sheet.y += report_text(of->sheet.builder, left_of(of, CHART), of->sheet.y - 0.6,
                             BT_STYLE_NOTE, BT_INK_SOFT, BT_ALIGN_LEFT, bt_text_get(&scale))
                     .height;
  report_text_end(of->sheet.builder, &scale);
}

static void row(overview *of, const bt_overview_row *row) {
  report_sheet *sheet = &of->sheet;
  double height = words(of, row, 0, false);
  if (report_sheet_room(sheet, height)) {
    sheet->y += row_gap;
    heads(of);
  }
  (void)words(of, row, sheet->y, true);
  if (row->n > 0)
    draw(of, row, sheet->y);
  else
    (void)report_wrapped(sheet->builder, left_of(of, CHART), sheet->y, width_of(of, CHART),
                         BT_STYLE_TABLE, BT_INK_SOFT, "no pulse-energy ratio in this span");
  sheet->y += height + row_gap;
  report_line(sheet->builder, sheet->frame.left, sheet->y - row_gap / 2, sheet->frame.right,
              sheet->y - row_gap / 2, 0.1, BT_INK_FAINT);
  sheet->empty = false;
}

/* Which units to look at first; nothing where no verdict flags any, or there is but one unit. */
static void worst_named(report_sheet *sheet, const bt_overview_row *rows, size_t n) {
  enum { MOST_NAMED = 5 };
  size_t worst = 0;
  report_words words = {0};
  while (worst < n && rows[worst].rank == rows[0].rank &&
         order_of(&rows[worst]) == order_of(&rows[0]))
    worst++;
  if (n < 2 || rows[0].rank > BT_VERDICT_NOTICE)
    return;
  report_words_add(&words, worst == 1 ? "The worst verdict is that of "
                                      : "The worst verdicts are those of ");
  for (size_t i = 0; i < worst && i < MOST_NAMED; i++) {
    report_words_add(&words, "%s", i == 0 ? "" : i + 1 == worst ? " and " : ", ");
    report_words_bold(&words, "%s", rows[i].unit);
  }
  if (worst > MOST_NAMED)
    report_words_add(&words, " and %zu more", worst - MOST_NAMED);
  report_words_add(&words, ": %s.", rows[0].verdict);
  sheet->y +=
      report_paragraph(sheet->builder, sheet->frame.left, sheet->y,
                       sheet->frame.right - sheet->frame.left, BT_STYLE_BODY, BT_INK_TEXT, &words)
          .height +
      1.5;
  report_words_free(&words);
}

static void scale_words(const overview *of, size_t n, bt_text *out) {
  char period[REPORT_DATE_TEXT], low[REPORT_NUMBER_TEXT], high[REPORT_NUMBER_TEXT];
  report_count(out, n, "unit", "units");
  bt_text_add(out, ", the worst verdict first; of equal ones the unit that is farthest beyond its "
                   "tolerance or, where none is outside, from the centre of a baseline in σ. ");
  if (of->drawn)
    bt_text_format(
        out,
        "Charts: pulse-energy ratio, measured ÷ target, as measured, %s, all on one scale from %s "
        "to %s (a reading beyond is drawn at the edge); dashed: tolerance, thin line: centre of "
        "the baseline, ◆ outside tolerance. ",
        report_short_period(of->request->from, of->request->to - 1, period),
        report_number(of->low, 3, low), report_number(of->high, 3, high));
  bt_text_add(out, "What stands here is in each unit’s own report, with its reasons.");
}

/* As small as on a unit's first page. */
static void cautions(report_sheet *sheet) {
  double wrap = sheet->frame.right - sheet->frame.left;
  (void)report_sheet_room(
      sheet, report_measure(sheet->builder, BT_STYLE_NOTE, report_cautions_full, wrap).height);
  sheet->y += report_wrapped(sheet->builder, sheet->frame.left, sheet->y, wrap, BT_STYLE_NOTE,
                             BT_INK_SOFT, report_cautions_full)
                  .height;
  sheet->empty = false;
}

/* It is made of what it compares, and is no document of its own. */
static const char *edition_of(const bt_overview_row *rows, size_t n) {
  for (size_t i = 0; i < n; i++)
    if (rows[i].revision == 0)
      return "Comparison, not issued";
  return "Comparison of issued reports";
}

bt_status bt_report_overview(bt_overview_row *rows, size_t n, const char *clinic, const char *state,
                             const bt_report_request *request, const bt_measure *measure,
                             bt_document *document, bt_error *error) {
  report_builder builder;
  overview page = {.request = request};
  bt_text title = {0}, subtitle = {0}, scale = {0};
  char month[BT_TIME_TEXT];
  clinic = clinic == NULL ? "" : clinic;
  bt_text_format(&title, "All units, %s", bt_time_month(request->month, month));
  if (report_begin_document(&builder, request, &title, clinic,
                            "Calibration history, all units compared", measure, document,
                            error) != BT_OK)
    return report_end_document(&builder, document);
  qsort(rows, n, sizeof *rows, worst_first);
  (void)snprintf(builder.edition, sizeof builder.edition, "%s", edition_of(rows, n));
  enum { FEW = 3, SOME = 5 };
  page.chart_height = n <= FEW ? tall_chart : n <= SOME ? middle_chart : low_chart;
  for (size_t i = 0; i < n; i++)
    page.drawn = page.drawn || rows[i].n > 0;
  report_overview_scale(rows, n, &page.low, &page.high);
  bt_text_format(&subtitle, "%s%scalibration history, %s", clinic, *clinic == '\0' ? "" : "  ·  ",
                 bt_time_month(request->month, month));
  scale_words(&page, n, &scale);
  report_state_words(state, &scale);
  report_sheet_begin(&page.sheet, &builder, "All units", "all-units", bt_text_get(&subtitle));
  page.sheet.y += 1.5;
  worst_named(&page.sheet, rows, n);
  report_sheet_paragraph(&page.sheet, BT_INK_SOFT, bt_text_get(&scale));
  page.sheet.y += 1.5;
  heads(&page);
  for (size_t i = 0; i < n; i++)
    row(&page, &rows[i]);
  cautions(&page.sheet);
  report_text_end(&builder, &subtitle);
  report_text_end(&builder, &scale);
  report_footers(&builder, NULL, request);
  return report_end_document(&builder, document);
}
