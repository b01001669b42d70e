/* The first page: the unit's verdict, one row a characteristic, the month's events, what to do
 * next, the cautions, and who signs. */
#include "report_room.h"

#include <stdio.h>

static const double section_gap = 3.4;
static const double line_height = 3.9; /* of the table's type */

enum { COLUMNS = 6, MOST_ROWS = 14 };

/* Where each column begins, as a share of the table's width. */
static const double column_at[COLUMNS] = {0, 0.135, 0.29, 0.472, 0.812, 0.962};
static const char *const column_heads[COLUMNS] = {"Characteristic", "Verdict",    "Tolerance",
                                                  "Control",        "Last check", "Points"};

static double column_left(report_frame frame, int column) {
  return frame.left + 1.5 + column_at[column] * (frame.right - frame.left - 1.5);
}

static void cell(report_builder *builder, report_frame frame, int column, double y, bt_style style,
                 bt_ink ink, const char *text) {
  bt_text cut = {0};
  double left = column_left(frame, column);
  double right = column + 1 < COLUMNS ? column_left(frame, column + 1) - 1.5 : frame.right - 0.5;
  (void)report_text(builder, left, y, style, ink, BT_ALIGN_LEFT,
                    report_cut(builder, style, text, right - left, &cut));
  if (!bt_text_ok(&cut))
    report_no_memory(builder);
  bt_text_free(&cut);
}

static size_t points_in_month(const bt_study *of, bt_time month) {
  size_t first = 0, last = 0;
  report_between(&of->points, bt_month_start(month, 0), bt_month_start(month, 1), &first, &last);
  return last - first;
}

static void row(report_builder *builder, const bt_unit_study *unit, const bt_study *of,
                const bt_report_request *request, double y, double row_height) {
  report_frame frame = report_frame_of(builder);
  bt_text words = {0};
  char number[32], name[REPORT_NUMBER_TEXT];
  bt_ink ink = report_banner_ink(of->verdict);
  double text_y = y + (row_height - line_height) / 2;
  cell(builder, frame, 0, text_y, BT_STYLE_TABLE, BT_INK_TEXT, of->quantity.title);
  report_link(builder, report_page_name(of, name));
  report_banner_words(unit, of->verdict, of, &words);
  bool dateless = of->verdict == BT_VERDICT_NO_SIGNAL && report_is_judged(of);
  cell(builder, frame, 1, text_y, BT_STYLE_TABLE, ink == BT_INK_NEUTRAL ? BT_INK_TEXT : ink,
       dateless ? report_verdict_words(unit, of->verdict, of) : bt_text_get(&words));
  report_link(builder, report_page_name(of, name));
  bt_text_clear(&words);
  report_tolerance_state(of, &words);
  cell(builder, frame, 2, text_y, BT_STYLE_TABLE, BT_INK_TEXT, bt_text_get(&words));
  bt_text_clear(&words);
  report_control_state(of, &words);
  cell(builder, frame, 3, text_y, BT_STYLE_TABLE, BT_INK_TEXT, bt_text_get(&words));
  bt_text_clear(&words);
  report_last_value(of, true, &words);
  cell(builder, frame, 4, text_y, BT_STYLE_TABLE, BT_INK_TEXT, bt_text_get(&words));
  (void)snprintf(number, sizeof number, "%zu", points_in_month(of, request->month));
  cell(builder, frame, 5, text_y, BT_STYLE_TABLE, BT_INK_TEXT, number);
  report_line(builder, frame.left, y + row_height, frame.right, y + row_height, 0.1, BT_INK_FAINT);
  if (!bt_text_ok(&words))
    report_no_memory(builder);
  bt_text_free(&words);
}

/* Few rows may be airy. */
static double row_height_of(const bt_unit_study *unit) {
  return unit->studies_n <= 6 ? 7.2 : unit->studies_n <= 9 ? 6.4 : 5.6;
}

/* A clinic may have many characteristics of its own: those that fit are the worst, in their usual
 * order, and the rest are counted. */
static bool is_listed(const bt_unit_study *unit, size_t i) {
  size_t before = 0;
  const bt_study *of = unit->studies[i];
  bt_verdict verdict = report_is_judged(of) ? of->verdict : BT_VERDICT_NO_SIGNAL;
  for (size_t j = 0; j < unit->studies_n; j++) {
    const bt_study *other = unit->studies[j];
    bt_verdict its = report_is_judged(other) ? other->verdict : BT_VERDICT_NO_SIGNAL;
    before += its < verdict || (its == verdict && j < i);
  }
  return unit->studies_n <= MOST_ROWS || before < MOST_ROWS - 1;
}

static double table(report_builder *builder, const bt_unit_study *unit,
                    const bt_report_request *request, double y) {
  report_frame frame = report_frame_of(builder);
  double row_height = row_height_of(unit), above = (row_height - line_height) / 2;
  report_box(builder, frame.left, y, frame.right - frame.left, row_height, BT_INK_PANEL);
  for (int c = 0; c < COLUMNS; c++)
    cell(builder, frame, c, y + above, BT_STYLE_TABLE_HEAD, BT_INK_TEXT, column_heads[c]);
  y += row_height;
  for (size_t i = 0; i < unit->studies_n; i++)
    if (is_listed(unit, i)) {
      row(builder, unit, unit->studies[i], request, y, row_height);
      y += row_height;
    }
  if (unit->studies_n > MOST_ROWS) {
    bt_text rest = {0};
    bt_text_format(&rest, "and %zu more characteristics, each with its page",
                   unit->studies_n - (MOST_ROWS - 1));
    if (!bt_text_ok(&rest))
      report_no_memory(builder);
    (void)report_text(builder, frame.left + 1.5, y + above, BT_STYLE_TABLE, BT_INK_SOFT,
                      BT_ALIGN_LEFT, bt_text_get(&rest));
    bt_text_free(&rest);
    y += row_height;
  }
  if (unit->studies_n == 0) {
    (void)report_text(builder, frame.left + 1.5, y + above, BT_STYLE_TABLE, BT_INK_SOFT,
                      BT_ALIGN_LEFT, "The log holds no reading that is charted.");
    y += row_height;
  }
  return y;
}

/* ---- Head ------------------------------------------------------------------------------------ */

static double head(report_builder *builder, const bt_unit_study *unit,
                   const bt_report_request *request) {
  report_frame frame = report_frame_of(builder);
  bt_text words = {0}, cut = {0};
  char month[BT_TIME_TEXT];
  double under_banner = frame.top + report_banner(builder, unit, unit->verdict, NULL);
  double y = frame.top, width = frame.panel_left - 3 - frame.left;
  y += report_text(builder, frame.left, y, BT_STYLE_TITLE, BT_INK_TEXT, BT_ALIGN_LEFT,
                   report_cut(builder, BT_STYLE_TITLE, unit->history.unit, width, &cut))
           .height;
  if (unit->settings.clinic != NULL && *unit->settings.clinic != '\0')
    bt_text_format(&words, "%s  ·  ", unit->settings.clinic);
  bt_text_format(&words, "calibration history, %s", bt_time_month(request->month, month));
  y +=
      0.3 + report_text(builder, frame.left, y + 0.3, BT_STYLE_SUBTITLE, BT_INK_SOFT, BT_ALIGN_LEFT,
                        report_cut(builder, BT_STYLE_SUBTITLE, bt_text_get(&words), width, &cut))
                .height;
  if (!bt_text_ok(&words) || !bt_text_ok(&cut))
    report_no_memory(builder);
  bt_text_free(&words);
  bt_text_free(&cut);
  y = y < under_banner ? under_banner : y;
  if (report_is_failing(unit->verdict)) {
    report_words failing = {0};
    report_failing_morning(unit, &failing);
    y += 1.6 + report_paragraph(builder, frame.left, y + 1.6, frame.right - frame.left,
                                BT_STYLE_BODY, BT_INK_ALARM, &failing)
                   .height;
    report_words_free(&failing);
  }
  return y;
}

/* Days of the month with a check, and checks. */
static void month_words(const bt_unit_study *unit, bt_time month, bt_text *out) {
  bt_time from = bt_month_start(month, 0), to = bt_month_start(month, 1);
  size_t checks = 0, days = 0;
  int64_t day = 0;
  for (size_t i = 0; i < unit->history.n; i++) {
    if (unit->history.at[i] < from || unit->history.at[i] >= to)
      continue;
    days += checks == 0 || bt_day_of(unit->history.at[i]) != day;
    day = bt_day_of(unit->history.at[i]);
    checks++;
  }
  report_count(out, checks, "check", "checks");
  bt_text_add(out, " on ");
  report_count(out, days, "day", "days");
}

static double line_of(report_builder *builder, report_frame frame, double y, const char *label,
                      const char *value) {
  bt_text cut = {0};
  static const double label_width = 34;
  (void)report_text(builder, frame.left, y, BT_STYLE_TABLE, BT_INK_SOFT, BT_ALIGN_LEFT, label);
  double height =
      report_text(
          builder, frame.left + label_width, y, BT_STYLE_TABLE, BT_INK_TEXT, BT_ALIGN_LEFT,
          report_cut(builder, BT_STYLE_TABLE, value, frame.right - frame.left - label_width, &cut))
          .height;
  if (!bt_text_ok(&cut))
    report_no_memory(builder);
  bt_text_free(&cut);
  return y + height + 0.7;
}

static double checks_lines(report_builder *builder, const bt_unit_study *unit,
                           const bt_report_request *request, double y) {
  report_frame frame = report_frame_of(builder);
  bt_text words = {0};
  char date[REPORT_DATE_TEXT];
  month_words(unit, request->month, &words);
  if (unit->has_check)
    bt_text_format(&words, "; the last check in the log is of %s",
                   report_short_date(unit->last_check, date));
  else
    bt_text_add(&words, "; the log holds no check up to then");
  y = line_of(builder, frame, y, "Checks this month", bt_text_get(&words));
  bt_text_clear(&words);
  report_selftest_words(unit, &words);
  y = line_of(builder, frame, y, "Self-test", bt_text_get(&words));
  bt_text_clear(&words);
  report_alarm_words(unit, &words);
  y = line_of(builder, frame, y, "False alarms", bt_text_get(&words));
  if (!bt_text_ok(&words))
    report_no_memory(builder);
  bt_text_free(&words);
  return y;
}

/* ---- What to do next, beside the events ------------------------------------------------------ */

static void next_steps(report_builder *builder, const bt_unit_study *unit, double left,
                       double right, double y, double bottom) {
  bt_text step = {0};
  y +=
      report_text(builder, left, y, BT_STYLE_HEADING, BT_INK_TEXT, BT_ALIGN_LEFT, "What to do next")
          .height +
      1.2;
  for (size_t i = 0; report_next_step(unit, i, &step); i++) {
    double height =
        report_measure(builder, BT_STYLE_TABLE, bt_text_get(&step), right - left - 4).height;
    if (y + height > bottom)
      break;
    (void)report_text(builder, left, y, BT_STYLE_TABLE, BT_INK_SOFT, BT_ALIGN_LEFT, "•");
    (void)report_wrapped(builder, left + 4, y, right - left - 4, BT_STYLE_TABLE, BT_INK_TEXT,
                         bt_text_get(&step));
    y += height + 1;
  }
  if (!bt_text_ok(&step))
    report_no_memory(builder);
  bt_text_free(&step);
}

/* ---- Foot ------------------------------------------------------------------------------------ */

/* Cautions and signatures, from the bottom up; returns where they begin. */
static double foot(report_builder *builder) {
  report_frame frame = report_frame_of(builder);
  static const double sign_height = 9;
  double half = (frame.right - frame.left) / 2, y = frame.bottom - sign_height;
  static const char *const roles[] = {"Prepared by, date", "Reviewed by, date"};
  for (int i = 0; i < 2; i++) {
    double left = frame.left + i * (half + 4);
    (void)report_text(builder, left, y + 5.2, BT_STYLE_CAPTION, BT_INK_SOFT, BT_ALIGN_LEFT,
                      roles[i]);
    report_line(builder, left, y + 4.6, left + half - 4, y + 4.6, 0.15, BT_INK_SOFT);
  }
  double height =
      report_measure(builder, BT_STYLE_CAPTION, report_cautions_full, frame.right - frame.left - 6)
          .height;
  y -= height + 4;
  report_box(builder, frame.left, y - 1.5, frame.right - frame.left, height + 3, BT_INK_PANEL);
  (void)report_wrapped(builder, frame.left + 3, y, frame.right - frame.left - 6, BT_STYLE_CAPTION,
                       BT_INK_TEXT, report_cautions_full);
  return y - 1.5;
}

void report_summary_page(report_builder *builder, const bt_unit_study *unit,
                         const bt_report_request *request, size_t pages) {
  report_page(builder, "Summary", "summary");
  report_frame frame = report_frame_of(builder);
  double y = head(builder, unit, request) + section_gap;
  y = table(builder, unit, request, y) + section_gap;
  y = checks_lines(builder, unit, request, y) + section_gap - 0.7;
  double bottom = foot(builder) - 2, middle = frame.left + (frame.right - frame.left) * 0.56;
  next_steps(builder, unit, frame.left, middle - 4, y, bottom);
  report_events_list(builder, unit, request->month, middle, frame.right, y, bottom);
  report_footer(builder, unit, 1, pages);
}
