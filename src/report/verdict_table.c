/* The table of the summary: tolerance first, then control, where the newest points lie, open
 * episodes, and what to do next. */
#include "report_room.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static const double line_height = 3.9; /* of the table's type */
static const double row_clear = 0.3;   /* of a row's height, that its words leave free */

enum { COLUMNS = 9, MOST_ROWS = 14, MOST_LINES = 3 };
enum { TITLE, TOLERANCE, JUDGED, LAST, CONTROL, LEVEL, OPEN, NEXT, PAGE };

/* Where each column begins, as a share of the table's width: each holds its usual words on a line.
 */
static const double column_at[COLUMNS] = {0,      0.1266, 0.2405, 0.3426, 0.4301,
                                          0.6567, 0.7442, 0.8636, 0.9684};
static const char *const column_heads[COLUMNS] = {
    "Characteristic", "Tolerance",       "Checks judged",
    "Last reading",   "Control",         "From centre, last 8 points",
    "Open episodes",  "What to do next", "Page"};

static double column_left(report_frame frame, int column) {
  return frame.left + 1.5 + column_at[column] * (frame.right - frame.left - 1.5);
}

static double cell_width(report_frame frame, int column) {
  double right = column + 1 < COLUMNS ? column_left(frame, column + 1) - 1 : frame.right - 0.5;
  return right - column_left(frame, column);
}

/* "▼ low at 3 points, ...": the mark says the side without the colour. */
static bt_ink control_words(const bt_unit_study *unit, const bt_study *of, bt_text *out) {
  bt_strength strength = bt_study_open_strength(of);
  if (report_open_on(of, BT_HIGH) != NULL)
    bt_text_add(out, "▲");
  if (report_open_on(of, BT_LOW) != NULL)
    bt_text_add(out, "▼");
  if (out->length > 0)
    bt_text_add(out, " ");
  if (strength == BT_QUIET && report_stale_days(unit, of) > 0) {
    report_stale_words(unit, of, out);
    bt_text_add(out, "; then: ");
    report_control_state(of, out);
    return BT_INK_NOTICE;
  }
  report_control_state(of, out);
  return strength == BT_ALARM ? BT_INK_ALARM : strength == BT_NOTICE ? BT_INK_NOTICE : BT_INK_TEXT;
}

/* The limits themselves; what is said of the checks stands beside them. */
static void tolerance_words(const bt_study *of, bt_text *out) {
  if (!report_may_have_tolerance(of))
    bt_text_add(out, REPORT_DASH);
  else if (of->tolerance.now == NULL)
    bt_text_add(out, "none entered");
  else
    report_tolerance_range(of->tolerance.now, &of->quantity, out);
}

/* "1 of 354 outside, 11 Nov 2025; retest inside"; of several the last one, with all of them under
 * the table. */
static void judged_words(const bt_study *of, bt_text *out) {
  const bt_tolerance_finding *tolerance = &of->tolerance;
  char date[REPORT_DATE_TEXT];
  if (tolerance->judged == 0) {
    bt_text_add(out, of->tolerance.now == NULL ? REPORT_DASH : "none judged");
    return;
  }
  if (tolerance->outside == 0 && tolerance->judged == of->checks.n && tolerance->judged > 1) {
    bt_text_format(out, "all %zu inside", tolerance->judged);
    return;
  }
  if (tolerance->outside == 0) {
    report_tolerance_state(of, out);
    return;
  }
  bt_text_format(out, "%zu of %zu outside", tolerance->outside, tolerance->judged);
  if (tolerance->last_outside >= of->checks.n)
    return;
  bt_text_format(out, ", %s%s%s", tolerance->outside > 1 ? "last " : "",
                 report_short_date(of->checks.at[tolerance->last_outside], date),
                 report_retest_brief(of, tolerance->last_outside));
}

static void level_words(const bt_study *of, bt_text *out) {
  if (of->recent_n < 2 || !report_has_limits(bt_study_now(of)) || report_has_one_limit(of))
    bt_text_add(out, REPORT_DASH);
  else
    report_add_size(of, of->recent_shift, out);
}

/* "1 alarm, undecided": the strength in words, beside the colour of the row. */
static void open_words(const bt_study *of, bt_text *out) {
  size_t n = 0, undecided = 0;
  for (bt_side side = BT_LOW; side <= BT_HIGH; side++) {
    const bt_episode *episode = report_open_on(of, side);
    n += episode != NULL;
    undecided += episode != NULL && report_disposition(of, episode) == NULL;
  }
  if (n == 0) {
    bt_text_add(out, REPORT_DASH);
    return;
  }
  bool alarm = bt_study_open_strength(of) == BT_ALARM;
  if (n == 1)
    bt_text_format(out, "1 %s, ", alarm ? "alarm" : "notice");
  else
    bt_text_format(out, "%zu, worst: %s, ", n, alarm ? "alarm" : "notice");
  bt_text_add(out, undecided == 0 ? "concluded" : "undecided");
}

static const char *next_words(const bt_unit_study *unit, const bt_study *of) {
  const bt_segment *segment = bt_study_now(of);
  switch (bt_study_shown_verdict(of)) {
  case BT_VERDICT_OUT_OF_TOLERANCE:
    return "failure procedure";
  case BT_VERDICT_ALARM:
    return report_is_concluded(of) ? "look again" : "tell the engineer";
  case BT_VERDICT_NOTICE:
    return "look again";
  default:
    break;
  }
  if (report_stale_days(unit, of) > 0)
    return "find out why";
  if (report_wants_tolerance(of))
    return "enter a tolerance";
  if (segment != NULL && segment->state == BT_CHART_RESOLUTION)
    return report_first_moved(of) != BT_NONE ? "look at that day"
           : segment->resolution.step > 0    ? "log more digits"
                                             : "go on checking";
  if (bt_study_other_target_from(of) != BT_NONE)
    return "baseline, or correct";
  if (report_has_limits(segment) && segment->provisional && !segment->stated)
    return "freeze a baseline";
  return "go on checking";
}

/* What stands in a row; texts owned. */
typedef struct cells {
  bt_text text[COLUMNS];
  bt_ink ink[COLUMNS];
} cells;

static void fill(const bt_unit_study *unit, const bt_study *of, cells *in) {
  bool outside = of->tolerance.last_is_outside;
  bool today = of->checks.n > 0 && unit->has_check &&
               bt_day_of(of->checks.at[of->checks.n - 1]) == bt_day_of(unit->last_check);
  *in = (cells){0};
  for (int c = 0; c < COLUMNS; c++)
    in->ink[c] = BT_INK_TEXT;
  bt_text_add(&in->text[TITLE], of->quantity.title);
  tolerance_words(of, &in->text[TOLERANCE]);
  if (outside)
    bt_text_add(&in->text[JUDGED], "◆ ");
  in->ink[JUDGED] = outside ? BT_INK_ALARM : BT_INK_TEXT;
  judged_words(of, &in->text[JUDGED]);
  report_last_value(of, !today, &in->text[LAST]);
  in->ink[CONTROL] = control_words(unit, of, &in->text[CONTROL]);
  level_words(of, &in->text[LEVEL]);
  open_words(of, &in->text[OPEN]);
  bt_text_add(&in->text[NEXT], next_words(unit, of));
}

static void empty(report_builder *builder, cells *in) {
  for (int c = 0; c < COLUMNS; c++) {
    if (!bt_text_ok(&in->text[c]))
      report_no_memory(builder);
    bt_text_free(&in->text[c]);
  }
}

/* Letter paper is the narrower one: its rows are set smaller, so that they break no sooner. */
static bt_style row_style(const report_builder *builder) {
  return builder->document->width_mm < 290 ? BT_STYLE_CAPTION : BT_STYLE_TABLE;
}

/* The most that a row may want: some cell's lines in the usual type, three of them at most. */
static double wanted_height(report_builder *builder, report_frame frame, const cells *in,
                            double row_height) {
  double one = report_measure(builder, row_style(builder), "0", 0).height, most = one;
  for (int c = 0; c < PAGE; c++)
    most = fmax(most, report_measure(builder, row_style(builder), bt_text_get(&in->text[c]),
                                     cell_width(frame, c))
                          .height);
  double lines = fmin(round(most / one), MOST_LINES);
  return row_height + (lines - 1) * line_height;
}

/* Fewer words, but whole ones, for a row that has no room for a second line. */
static void shorten(const bt_study *of, int column, bt_text *words) {
  char *comma = words->data != NULL ? strstr(words->data, ", ") : NULL;
  if (column == JUDGED && of->tolerance.outside > 0) {
    bt_text_clear(words);
    bt_text_format(words, "%s%zu outside", of->tolerance.last_is_outside ? "◆ " : "",
                   of->tolerance.outside);
  } else if (column == NEXT && of->tolerance.last_is_outside) {
    bt_text_clear(words);
    bt_text_add(words, "as said above");
  } else if (column == CONTROL && comma != NULL) {
    *comma = '\0';
    words->length = (size_t)(comma - words->data);
  }
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
                           cells *in, double row_height) {
  double least = row_height;
  bt_style style;
  for (int c = 0; c < PAGE; c++) {
    if (cell_fits(builder, frame, c, bt_text_get(&in->text[c]), row_height, &style))
      continue;
    shorten(of, c, &in->text[c]);
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
  cells in;
  fill(unit, of, &in);
  row_heights of_row = {.wanted = wanted_height(builder, frame, &in, row_height)};
  of_row.least = least_height(builder, frame, of, &in, row_height);
  of_row.wanted = fmax(of_row.wanted, of_row.least);
  empty(builder, &in);
  return of_row;
}

static void row_cell(report_builder *builder, report_frame frame, const bt_study *of, int column,
                     double y, bt_ink ink, bt_text *text, double row_height) {
  bt_style style;
  if (!cell_fits(builder, frame, column, bt_text_get(text), row_height, &style)) {
    shorten(of, column, text);
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
  char buffer[REPORT_NUMBER_TEXT];
  const char *name = !report_has_page(of, request)     ? NULL
                     : report_is_constant(of, request) ? report_selftest_place(unit, request)
                                                       : report_page_name(of, buffer);
  cells in;
  fill(unit, of, &in);
  for (int c = 0; c < PAGE; c++) {
    row_cell(builder, frame, of, c, y, in.ink[c], &in.text[c], row_height);
    if (c == TITLE && name != NULL)
      report_link(builder, name);
  }
  if (name != NULL)
    report_refer(builder, frame.right - 1.5, y + (row_height - line_height) / 2, row_style(builder),
                 BT_ALIGN_RIGHT, "", name);
  report_line(builder, frame.left, y + row_height, frame.right, y + row_height, 0.1, BT_INK_FAINT);
  empty(builder, &in);
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

/* As many rows as fit, where long names need more than a line each. */
static size_t rows_listed(report_builder *builder, const bt_unit_study *unit,
                          const bt_report_request *request, double row_height, double most) {
  size_t n = rows_of(unit, request), listed = n <= MOST_ROWS ? n : MOST_ROWS - 1;
  enum { LEAST_ROWS = 3 };
  while (listed > LEAST_ROWS && spare_height(builder, unit, request, listed, row_height,
                                             fmax(most, (double)listed * row_height)) < -1e-6)
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
  if (!bt_text_ok(&words))
    report_no_memory(builder);
  bt_text_free(&words);
  return y;
}

/* The heads over their columns, on as many lines as they need; returns the height of the row. */
static double heads(report_builder *builder, report_frame frame, double y, double row_height) {
  static const double around = 1.2;
  double height = row_height;
  for (int c = 0; c < COLUMNS; c++)
    height = fmax(height, around + report_measure(builder, BT_STYLE_TABLE_HEAD, column_heads[c],
                                                  cell_width(frame, c))
                                       .height);
  report_box(builder, frame.left, y, frame.right - frame.left, height, BT_INK_PANEL);
  for (int c = 0; c < COLUMNS; c++) {
    double width = cell_width(frame, c);
    double tall = report_measure(builder, BT_STYLE_TABLE_HEAD, column_heads[c], width).height;
    (void)report_wrapped(builder, column_left(frame, c), y + (height - tall) / 2, width,
                         BT_STYLE_TABLE_HEAD, BT_INK_TEXT, column_heads[c]);
  }
  return height;
}

double report_verdict_table(report_builder *builder, const bt_unit_study *unit,
                            const bt_report_request *request, double below, double y) {
  report_frame frame = report_frame_of(builder);
  size_t n = rows_of(unit, request);
  /* Few rows may be airy. */
  double row_height = n <= 6 ? 7.0 : n <= 9 ? 5.9 : 5.2;
  double above = (row_height - line_height) / 2;
  y += heads(builder, frame, y, row_height);
  static const double widest = 98; /* mm, that second lines may lead to */
  const double most = fmin(widest, frame.bottom - y - below);
  size_t listed = rows_listed(builder, unit, request, row_height, most);
  double spare = spare_height(builder, unit, request, listed, row_height, most);
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
    bt_text_format(&rest, "and %zu more characteristics, each with its page", n - listed);
    if (!bt_text_ok(&rest))
      report_no_memory(builder);
    (void)report_text(builder, frame.left + 1.5, y + above, BT_STYLE_TABLE, BT_INK_SOFT,
                      BT_ALIGN_LEFT, bt_text_get(&rest));
    bt_text_free(&rest);
    y += row_height;
  }
  if (n == 0 && unit->studies_n == 0) {
    (void)report_text(builder, frame.left + 1.5, y + above, BT_STYLE_TABLE, BT_INK_SOFT,
                      BT_ALIGN_LEFT, "The log holds no reading that is charted.");
    y += row_height;
  }
  return absent_line(builder, unit, request, y);
}
