/* The table of the summary: its columns and heads, how high each row is and in what type it is set,
 * and which rows there are. */
#include "report_pages.h"
#include "report_table.h"

#include <math.h>

static const double line_height = 3.9; /* of the table's type */
static const double row_clear = 0.3;   /* of a row's height, that its words leave free */

enum { MOST_ROWS = 14, MOST_LINES = 3 };

/* Where each column begins, as a share of the table's width: each holds its usual words on a line.
 */
static const double column_at[TABLE_COLUMNS] = {0,      0.1266, 0.2405, 0.3426, 0.4301,
                                                0.6567, 0.7442, 0.8636, 0.9684};
static const char *const column_heads[TABLE_COLUMNS] = {
    "Characteristic", "Tolerance",       "Readings judged",
    "Last reading",   "Control",         "From centre, last 8 points",
    "Open episodes",  "What to do next", "Page"};

static double column_left(report_frame frame, int column) {
  return frame.left + 1.5 + column_at[column] * (frame.right - frame.left - 1.5);
}

static double cell_width(report_frame frame, int column) {
  double right =
      column + 1 < TABLE_COLUMNS ? column_left(frame, column + 1) - 1 : frame.right - 0.5;
  return right - column_left(frame, column);
}

/* Letter paper is the narrower one: its rows are set smaller, so that they break no sooner. */
static bt_style row_style(const report_builder *builder) {
  return builder->document->width_mm < 290 ? BT_STYLE_CAPTION : BT_STYLE_TABLE;
}

/* The most that a row may want: some cell's lines in the usual type, three of them at most. */
static double wanted_height(report_builder *builder, report_frame frame, const table_cells *in,
                            double row_height) {
  double one = report_measure(builder, row_style(builder), "0", 0).height, most = one;
  for (int c = 0; c < TABLE_PAGE; c++)
    most = fmax(most, report_measure(builder, row_style(builder), bt_text_get(&in->text[c]),
                                     cell_width(frame, c))
                          .height);
  double lines = fmin(round(most / one), MOST_LINES);
  return row_height + (lines - 1) * line_height;
}

/* The type of a cell that fits a row of that height: smaller where it must be. */
static bool cell_fits(report_builder *builder, report_frame frame, int column, const char *text,
                      double height, bt_style *style) {
  const bt_style styles[] = {row_style(builder), BT_STYLE_CAPTION, BT_STYLE_FINE};
  return report_fits(builder, cell_width(frame, column), height - row_clear, styles, 3, text,
                     style);
}

/* The least that a row needs, in the smallest type: lines of a cell that can't be shortened. */
static double least_height(report_builder *builder, report_frame frame, const bt_study *of,
                           table_cells *in, double row_height) {
  double least = row_height;
  bt_style style;
  for (int c = 0; c < TABLE_PAGE; c++) {
    if (cell_fits(builder, frame, c, bt_text_get(&in->text[c]), row_height, &style))
      continue;
    report_cell_shorten(of, (table_column)c, &in->text[c]);
    double height =
        report_measure(builder, BT_STYLE_FINE, bt_text_get(&in->text[c]), cell_width(frame, c))
            .height;
    least = fmax(least, height + row_clear);
  }
  return least;
}

typedef struct row_heights {
  double wanted, least;
} row_heights;

static row_heights heights_of(report_builder *builder, const bt_unit_study *unit,
                              const bt_study *of, double row_height) {
  report_frame frame = report_frame_of(builder);
  table_cells in;
  report_cells_fill(unit, of, &in);
  row_heights of_row = {.wanted = wanted_height(builder, frame, &in, row_height)};
  of_row.least = least_height(builder, frame, of, &in, row_height);
  of_row.wanted = fmax(of_row.wanted, of_row.least);
  report_cells_free(builder, &in);
  return of_row;
}

static void row_cell(report_builder *builder, report_frame frame, const bt_study *of, int column,
                     double y, bt_ink ink, bt_text *text, double row_height) {
  bt_style style;
  if (!cell_fits(builder, frame, column, bt_text_get(text), row_height, &style)) {
    report_cell_shorten(of, (table_column)column, text);
    (void)cell_fits(builder, frame, column, bt_text_get(text), row_height, &style);
  }
  double width = cell_width(frame, column);
  double height = report_measure(builder, style, bt_text_get(text), width).height;
  (void)report_wrapped(builder, column_left(frame, column), y + (row_height - height) / 2, width,
                       style, ink, bt_text_get(text));
}

static void row(report_builder *builder, const bt_unit_study *unit, const bt_study *of,
                const bt_report_request *request, double y, double row_height) {
  report_frame frame = report_frame_of(builder);
  char buffer[REPORT_NAME];
  const char *name = !report_has_page(of, request)     ? NULL
                     : report_is_constant(of, request) ? report_selftest_place(unit, request)
                                                       : report_page_name(of, buffer);
  table_cells in;
  report_cells_fill(unit, of, &in);
  for (int c = 0; c < TABLE_PAGE; c++) {
    row_cell(builder, frame, of, c, y, in.ink[c], &in.text[c], row_height);
    if (c == TABLE_TITLE && name != NULL)
      report_link(builder, name);
  }
  if (name != NULL)
    report_refer(builder, frame.right - 1.5, y + (row_height - line_height) / 2, row_style(builder),
                 BT_ALIGN_RIGHT, "", name);
  report_line(builder, frame.left, y + row_height, frame.right, y + row_height, 0.1, BT_INK_FAINT);
  report_cells_free(builder, &in);
}

/* ---- Which rows ------------------------------------------------------------------------------ */

/* Room conditions, which nothing judges, stand on the page of the self-test. What the span shown
 * has no reading of is named in a line, unless it fails or gives an alarm. */
static bool has_row(const bt_study *of, const bt_report_request *request) {
  if (!report_is_judged(of))
    return false;
  return report_has_page(of, request) || bt_study_shown_verdict(of) <= BT_VERDICT_ALARM;
}

static size_t rows_of(const bt_unit_study *unit, const bt_report_request *request) {
  size_t n = 0;
  for (size_t i = 0; i < unit->studies_n; i++)
    n += has_row(unit->studies[i], request);
  return n;
}

/* A clinic may have many characteristics of its own: those that fit, so many, are the worst, in
 * their usual order, and the rest are counted. */
static bool is_listed(const bt_unit_study *unit, const bt_report_request *request, size_t listed,
                      size_t i) {
  size_t before = 0;
  bt_verdict verdict = bt_study_shown_verdict(unit->studies[i]);
  if (!has_row(unit->studies[i], request))
    return false;
  for (size_t j = 0; j < unit->studies_n; j++) {
    bt_verdict its = bt_study_shown_verdict(unit->studies[j]);
    before += has_row(unit->studies[j], request) && (its < verdict || (its == verdict && j < i));
  }
  return before < listed;
}

/* What is left of that height after the least that each listed row needs. */
static double spare_height(report_builder *builder, const bt_unit_study *unit,
                           const bt_report_request *request, size_t listed, double row_height,
                           double height) {
  for (size_t i = 0; i < unit->studies_n; i++)
    if (is_listed(unit, request, listed, i))
      height -= heights_of(builder, unit, unit->studies[i], row_height).least;
  return height;
}

/* Those that none may drop for what to do next: a signal, a failed check. */
static size_t flagged_rows(const bt_unit_study *unit, const bt_report_request *request) {
  size_t n = 0;
  for (size_t i = 0; i < unit->studies_n; i++)
    n += has_row(unit->studies[i], request) &&
         bt_study_shown_verdict(unit->studies[i]) <= BT_VERDICT_NOTICE;
  return n;
}

/* As many rows as fit, where long names need more than a line each. Where those without a signal
 * may `drop` they go first; before another one does, rows take the room of what to do next, which
 * is counted on one line then. */
static size_t rows_listed(report_builder *builder, const bt_unit_study *unit,
                          const bt_report_request *request, double row_height, bool drop,
                          double most) {
  static const double steps_room = 15.5;
  enum { LEAST_ROWS = 3 };
  size_t n = rows_of(unit, request), listed = n <= MOST_ROWS ? n : MOST_ROWS - 1;
  size_t flagged = flagged_rows(unit, request);
  while (drop && listed > LEAST_ROWS && listed > flagged &&
         spare_height(builder, unit, request, listed, row_height,
                      listed < n ? most - row_height : most) < -1e-6)
    listed--;
  most = fmax(most + steps_room, (double)listed * row_height);
  while (listed > LEAST_ROWS && spare_height(builder, unit, request, listed, row_height,
                                             listed < n ? most - row_height : most) < -1e-6)
    listed--;
  return listed;
}

/* "No reading in the span shown: Fluence (last on 2 Mar 2026)". */
static double absent_line(report_builder *builder, const bt_unit_study *unit,
                          const bt_report_request *request, double y) {
  report_frame frame = report_frame_of(builder);
  static const bt_style styles[] = {BT_STYLE_TABLE, BT_STYLE_FINE};
  double two_lines = 2.2 * report_measure(builder, BT_STYLE_TABLE, "0", 0).height;
  bt_text words = {0};
  char date[REPORT_DATE_TEXT];
  for (size_t i = 0; i < unit->studies_n; i++) {
    const bt_study *of = unit->studies[i];
    if (has_row(of, request) || report_has_page(of, request))
      continue;
    bt_text_add(&words, words.length == 0 ? "No reading in the span of the charts: " : ", ");
    bt_text_add(&words, of->quantity.title);
    if (of->checks.n > 0)
      bt_text_format(&words, " (last on %s)",
                     report_short_date(of->checks.at[of->checks.n - 1], date));
    else
      bt_text_add(&words, " (none in the log)");
  }
  if (!bt_text_empty(&words))
    y += report_fit(builder, frame.left + 1.5, y + 0.8, frame.right - frame.left - 3, two_lines,
                    styles, 2, BT_INK_SOFT, bt_text_get(&words))
             .height +
         0.8;
  report_text_end(builder, &words);
  return y;
}

/* The heads over their columns, on as many lines as they need; returns the height of the row. */
static double heads(report_builder *builder, report_frame frame, double y, double row_height) {
  static const double around = 1.2;
  double height = row_height;
  for (int c = 0; c < TABLE_COLUMNS; c++)
    height = fmax(height, around + report_measure(builder, BT_STYLE_TABLE_HEAD, column_heads[c],
                                                  cell_width(frame, c))
                                       .height);
  report_box(builder, frame.left, y, frame.right - frame.left, height, BT_INK_PANEL);
  for (int c = 0; c < TABLE_COLUMNS; c++) {
    double width = cell_width(frame, c);
    double tall = report_measure(builder, BT_STYLE_TABLE_HEAD, column_heads[c], width).height;
    (void)report_wrapped(builder, column_left(frame, c), y + (height - tall) / 2, width,
                         BT_STYLE_TABLE_HEAD, BT_INK_TEXT, column_heads[c]);
  }
  return height;
}

double report_verdict_table(report_builder *builder, const bt_unit_study *unit,
                            const bt_report_request *request, double below, bool drop, double y) {
  report_frame frame = report_frame_of(builder);
  size_t n = rows_of(unit, request);
  /* Few rows may be airy. */
  double row_height = n <= 6 ? 7.0 : n <= 9 ? 5.3 : 5.2;
  double above = (row_height - line_height) / 2;
  y += heads(builder, frame, y, row_height);
  static const double widest = 98; /* mm, that second lines may lead to */
  const double most = fmin(widest, frame.bottom - y - below);
  size_t listed = rows_listed(builder, unit, request, row_height, drop, most);
  double spare = spare_height(builder, unit, request, listed, row_height,
                              listed < n ? most - row_height : most);
  for (size_t i = 0; i < unit->studies_n; i++)
    if (is_listed(unit, request, listed, i)) {
      const bt_study *of = unit->studies[i];
      row_heights height = heights_of(builder, unit, of, row_height);
      if (height.wanted - height.least > spare)
        height.wanted = height.least;
      spare -= height.wanted - height.least;
      row(builder, unit, of, request, y, height.wanted);
      y += height.wanted;
    }
  if (n > listed) {
    bt_text rest = {0};
    bt_text_format(&rest, "and %zu more characteristic%s", n - listed,
                   n - listed == 1 ? ", with its page" : "s, each with its page");
    (void)report_text(builder, frame.left + 1.5, y + above, BT_STYLE_TABLE, BT_INK_SOFT,
                      BT_ALIGN_LEFT, bt_text_get(&rest));
    report_text_end(builder, &rest);
    y += row_height;
  }
  if (n == 0 && unit->studies_n == 0) {
    (void)report_text(builder, frame.left + 1.5, y + above, BT_STYLE_TABLE, BT_INK_SOFT,
                      BT_ALIGN_LEFT, "The log holds no reading that is charted.");
    y += row_height;
  }
  return absent_line(builder, unit, request, y);
}
