/* Before and after each event of a case: as found, as left, the difference with its interval. */
#include "report_case.h"

#include <stdio.h>

enum { COLUMNS = 9 };
static const double at[COLUMNS] = {0, 0.165, 0.22, 0.3, 0.375, 0.575, 0.675, 0.75, 0.825};
static const char *const heads[COLUMNS] = {"Characteristic",
                                           "Points",
                                           "Mean before",
                                           "Mean after",
                                           "Difference, 95" REPORT_JOIN "% interval",
                                           "p, one look",
                                           "As found",
                                           "As left",
                                           "Spread, after over before"};

/* A number with the decimals of the characteristic. */
static const char *number(const bt_study *of, double sigma, double value, char *buffer) {
  return report_number(value, report_decimals(&of->quantity, sigma), buffer);
}

/* After less before with its interval; of a ratio in per cent, as everywhere. */
static void difference_words(const bt_study *of, double sigma, const bt_comparison *about,
                             bt_text *out) {
  bool ratio = of->characteristic == BT_ENERGY_RATIO;
  int decimals = report_decimals(&of->quantity, sigma);
  double scale = ratio ? 100 : 1;
  char by[REPORT_NUMBER_TEXT], low[REPORT_NUMBER_TEXT], high[REPORT_NUMBER_TEXT];
  if (ratio)
    decimals = decimals > 2 ? decimals - 2 : 0;
  bt_text_format(out, "%s%s", report_signed(scale * about->difference, decimals, by),
                 ratio ? REPORT_JOIN "%" : "");
  if (about->has_interval)
    bt_text_format(out, " (%s to %s)", report_signed(scale * about->low, decimals, low),
                   report_signed(scale * about->high, decimals, high));
}

static void comparison_row(case_pages *on, const bt_drift *drift, const bt_comparison *about) {
  const bt_study *of = drift->study;
  char before[REPORT_NUMBER_TEXT], after[REPORT_NUMBER_TEXT], found[REPORT_NUMBER_TEXT],
      left[REPORT_NUMBER_TEXT], n[REPORT_NUMBER_TEXT], by[REPORT_NUMBER_TEXT],
      low[REPORT_NUMBER_TEXT], high[REPORT_NUMBER_TEXT], p[REPORT_NUMBER_TEXT];
  bt_text difference = {0}, spread = {0}, title = {0};
  bt_text_add(&title, of->quantity.title);
  if (*of->quantity.unit != '\0')
    bt_text_format(&title, ", %s", of->quantity.unit);
  (void)snprintf(n, sizeof n, "%zu + %zu", about->before.n, about->after.n);
  difference_words(of, drift->sigma, about, &difference);
  if (about->has_ratio)
    bt_text_format(&spread, "%s (%s to %s)", report_number(about->ratio, 2, by),
                   report_number(about->ratio_low, 2, low),
                   report_number(about->ratio_high, 2, high));
  const char *cells[COLUMNS] = {bt_text_get(&title),
                                n,
                                number(of, drift->sigma, about->before.mean, before),
                                number(of, drift->sigma, about->after.mean, after),
                                bt_text_get(&difference),
                                about->has_interval ? report_p(about->p, p) : "",
                                number(of, drift->sigma, about->as_found.mean, found),
                                number(of, drift->sigma, about->as_left.mean, left),
                                bt_text_get(&spread)};
  report_case_row(on, at, cells, COLUMNS, BT_STYLE_TABLE, BT_INK_TEXT);
  report_text_end(on->builder, &difference);
  report_text_end(on->builder, &spread);
  report_text_end(on->builder, &title);
}

/* The difference again, the fitted line taken off: a second row under the first. */
static void beyond_row(case_pages *on, const bt_drift *drift, const bt_event_effect *effect) {
  const bt_comparison *beyond = &effect->beyond;
  char p[REPORT_NUMBER_TEXT];
  bt_text difference = {0};
  difference_words(drift->study, drift->sigma, beyond, &difference);
  const char *cells[COLUMNS] = {effect->moved ? "  the line up to it taken off"
                                              : "  its fitted line taken off",
                                "",
                                "",
                                "",
                                bt_text_get(&difference),
                                beyond->has_interval ? report_p(beyond->p, p) : "",
                                "",
                                "",
                                ""};
  report_case_row(on, at, cells, COLUMNS, BT_STYLE_TABLE, BT_INK_TEXT);
  report_text_end(on->builder, &difference);
}

/* Why the difference of an event has no such row: the characteristic has a line that may have begun
 * after the event only, or a step that may lie about it. */
typedef enum no_row { HAS_NO_LINE, LINE_MAY_BEGIN, STEP_MAY_LIE, NO_ROWS } no_row;

static no_row begun_about(const bt_moved *moved, const bt_event *event) {
  enum { REACH = 30 }; /* days compared on either side (drift/before_after.c) */
  double day = (double)bt_day_of(event->time);
  bool line = moved->kind == BT_CHANGE_HINGE;
  if (day + REACH <= moved->from || day - (line ? 0 : REACH) > moved->to)
    return HAS_NO_LINE;
  return line ? LINE_MAY_BEGIN : STEP_MAY_LIE;
}

static no_row why_no_row(const bt_drift *drift, const bt_event *event,
                         const bt_event_effect *effect) {
  no_row why = HAS_NO_LINE;
  if (effect->beyond.given)
    return why;
  if (report_drift_is_changed(drift))
    why = begun_about(&drift->moved, event);
  if (why == HAS_NO_LINE && report_drift_was_changed(drift) && event->time < drift->before.until)
    why = begun_about(&drift->before.moved, event);
  return why;
}

/* A sentence each under the table of a day. */
static void rows_left_out(case_pages *on, size_t first) {
  static const char *const why[NO_ROWS] = {
      [LINE_MAY_BEGIN] = ": no line is taken off, as it may have begun on this day or later, and "
                         "would take off with it what is asked.",
      [STEP_MAY_LIE] =
          ": no line is taken off, as it changed in a step, which may lie within 30 days "
          "of this one."};
  const bt_unit_drift *all = on->one->unit->drift;
  const bt_event *event = &on->one->unit->history.events[first];
  for (no_row reason = LINE_MAY_BEGIN; reason < NO_ROWS; reason++) {
    bt_text words = {0};
    for (size_t i = 0; i < all->n; i++) {
      const bt_event_effect *effect = report_case_effect(on->one, &all->drift[i], first);
      if (effect != NULL && why_no_row(&all->drift[i], event, effect) == reason)
        bt_text_format(&words, "%s%s", bt_text_empty(&words) ? "" : ", ",
                       all->drift[i].study->quantity.title);
    }
    if (!bt_text_empty(&words)) {
      bt_text_add(&words, why[reason]);
      report_case_paragraph(on, BT_STYLE_CAPTION, BT_INK_SOFT, bt_text_get(&words));
    }
    report_text_end(on->builder, &words);
  }
}

static const char *why_none(bt_event_kind kind) {
  if (kind == BT_EVENT_GAS_REFILL)
    return "Gas refills are not compared one by one: readings move with the age of each fill, which "
           "the charts take out where they can.";
  return report_case_compared(kind) ? "Too few checks on a side of it to compare."
                                    : "Not compared: what it was is known by its note alone.";
}

static void heading_of(case_pages *on, size_t first) {
  const bt_history *history = &on->one->unit->history;
  char date[REPORT_DATE_TEXT];
  bt_text heading = {0}, cut = {0};
  size_t notes = 0;
  report_case_day_words(on->one, first, true, &heading);
  bt_text_format(&heading, ", %s", report_short_date(history->events[first].time, date));
  if (history->events[first].time < on->one->from)
    bt_text_add(&heading, ", before the days of this case");
  for (size_t e = first; e < history->events_n; e++) {
    const char *note = history->events[e].note;
    if (note != NULL && *note != '\0' && report_case_is_of_day(on->one, first, e))
      bt_text_format(&heading, "%s%s", notes++ == 0 ? ": " : "; ", note);
  }
  report_case_heading(on, report_cut(on->builder, BT_STYLE_HEADING, bt_text_get(&heading),
                                     on->frame.right - on->frame.left, &cut));
  report_text_end(on->builder, &heading);
  bt_text_free(&cut);
}

static void one_day(case_pages *on, size_t first) {
  const bt_unit_drift *all = on->one->unit->drift;
  size_t rows = 0, all_rows = 0;
  for (size_t i = 0; i < all->n; i++) {
    const bt_event_effect *effect = report_case_effect(on->one, &all->drift[i], first);
    all_rows += effect == NULL ? 0 : 1 + (size_t)effect->beyond.given;
  }
  report_case_room(on, 14 + 4.4 * (double)all_rows); /* a day's table stays together */
  heading_of(on, first);
  for (size_t i = 0; i < all->n; i++) {
    const bt_event_effect *effect = report_case_effect(on->one, &all->drift[i], first);
    if (effect == NULL)
      continue;
    if (rows++ == 0)
      report_case_row(on, at, heads, COLUMNS, BT_STYLE_TABLE_HEAD, BT_INK_SOFT);
    comparison_row(on, &all->drift[i], &effect->about);
    if (effect->beyond.given)
      beyond_row(on, &all->drift[i], effect);
  }
  rows_left_out(on, first);
  if (rows == 0)
    report_case_paragraph(on, BT_STYLE_TABLE, BT_INK_TEXT,
                          why_none(on->one->unit->history.events[first].kind));
}

bool report_case_compared(bt_event_kind kind) {
  return kind != BT_EVENT_GAS_REFILL && kind != BT_EVENT_OTHER;
}

/* The last one of its kind before the span. */
static bool is_last_before(const bt_case *one, size_t event) {
  const bt_history *history = &one->unit->history;
  for (size_t e = event + 1; e < history->events_n && history->events[e].time < one->from; e++)
    if (history->events[e].kind == history->events[event].kind)
      return false;
  return history->events[event].time < one->from;
}

/* Whether readings before and after the event stand on the page: an event that the case tells of;
 * of before the span the last change of the meter and the last recalibration, which set what all
 * later readings rest on, and what lies inside the dates of a change. */
static bool sets_beside(const bt_case *one, size_t event) {
  const bt_event *of = &one->unit->history.events[event];
  const bt_unit_drift *all = one->unit->drift;
  if (report_case_tells(one, of))
    return true;
  if ((of->kind == BT_EVENT_METER_CHANGED || of->kind == BT_EVENT_RECALIBRATION) &&
      is_last_before(one, event))
    return true;
  for (size_t i = 0; i < all->n && report_case_compared(of->kind); i++)
    if (report_drift_is_changed(&all->drift[i]) && report_case_is_inside(&all->drift[i].change, of))
      return true;
  return false;
}

/* Whether any event of that day does. */
static bool sets_day_beside(const bt_case *one, size_t first) {
  bool beside = false;
  for (size_t e = first; e < one->unit->history.events_n; e++)
    beside = beside || (report_case_is_of_day(one, first, e) && sets_beside(one, e));
  return beside && report_case_first_of_day(one, first) == first;
}

static bool has_comparison(const bt_case *one, size_t first) {
  const bt_unit_drift *all = one->unit->drift;
  for (size_t i = 0; i < all->n; i++)
    if (report_case_effect(one, &all->drift[i], first) != NULL)
      return true;
  return false;
}

/* Whether any of these has a comparison of before and after. */
static bool compares(const bt_case *one) {
  for (size_t e = 0; e < one->unit->history.events_n; e++)
    if (sets_day_beside(one, e) && has_comparison(one, e))
      return true;
  return false;
}

bool report_case_compares_within(const bt_case *one) {
  for (size_t e = 0; e < one->unit->history.events_n; e++)
    if (report_case_tells_first(one, e) && has_comparison(one, e))
      return true;
  return false;
}

void report_case_events(case_pages *on) {
  const bt_history *history = &on->one->unit->history;
  if (!compares(on->one)) /* page 1 says so */
    return;
  report_case_section(on, "Before and after");
  report_case_paragraph(
      on, BT_STYLE_TABLE, BT_INK_SOFT,
      "Charted values, at most 20 points and 30 days on each side, no other event but gas refills "
      "between; a check outside tolerance whose retest was inside is left out. The "
      "difference is the mean after less the mean before, its interval Welch’s. As found: the mean "
      "of the last 8 before; as left: of the first 8 after. The spread’s interval is of the ratio of "
      "the variances (F). Each p is of this single look. A line that falls or rises goes on over "
      "an event and makes a difference by itself: after all dates of its onset it is taken off in a "
      "row of its own, and while the line goes on that row counts, not the one above it; where it "
      "is not, a sentence says why. Each row "
      "is one look of many: p 0.01 or more beside an interval without 0 is perhaps a difference. "
      "Of before the days of this case: the last change of the meter, the last recalibration, and "
      "what lies inside the dates of a change.");
  for (size_t e = 0; e < history->events_n; e++)
    if (sets_day_beside(on->one, e))
      one_day(on, e);
}
