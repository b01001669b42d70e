/* The daily screen: one unit, plain text, at most 80 columns. Colour only repeats what words say.
 */
#include "report_drift.h"

#include <stdio.h>
#include <string.h>

static const char *colour_of(bt_ink ink) {
  switch (ink) {
  case BT_INK_ALARM:
    return "\033[1;31m";
  case BT_INK_NOTICE:
    return "\033[1;33m";
  default:
    return "\033[1m";
  }
}

/* Names and cells may hold colours of their own: from `*plain` on nothing is ours yet. */
static void make_plain(bt_text *out, size_t *plain) {
  for (; *plain < out->length; ++*plain)
    if (out->data[*plain] == '\033')
      out->data[*plain] = '?';
}

static void add_colour(const char *colour, size_t *plain, bt_text *out) {
  if (plain == NULL)
    return;
  make_plain(out, plain);
  bt_text_add(out, colour);
  *plain = out->length;
}

/* `plain`: how much of `out` is; NULL: without colour. */
static void add_verdict(const bt_unit_study *unit, bt_verdict verdict, const bt_study *of,
                        size_t *plain, bt_text *out) {
  add_colour(colour_of(report_unit_ink(unit, verdict, of)), plain, out);
  report_banner_words(unit, verdict, of, out);
  add_colour("\033[0m", plain, out);
}

/* In a column of its own; a longer one has a line to itself. */
static void add_title(const char *title, bt_text *out) {
  enum { WIDTH = 24 };
  size_t columns = report_columns(title);
  if (columns >= WIDTH) {
    report_wrap_plain(out, "", title);
    columns = 0;
  } else
    bt_text_add(out, title);
  for (; columns < WIDTH; columns++)
    bt_text_add(out, " ");
}

/* One that failed is told with the tolerance. */
static void add_retest(const bt_study *of, bt_text *out) {
  report_retest found;
  bool last = report_retest_of(of, of->checks.n - 1, &found) && found.last == of->checks.n - 1;
  if (last && found.failed)
    bt_text_add(out, ", a retest");
  else
    report_retest_told(of, out);
}

/* An alarm that is past, for as long as its step asks what it was, where its readings did not end
 * it. */
static void add_ended(const bt_unit_study *unit, const bt_study *of, bt_text *words) {
  for (bt_side side = BT_LOW; side <= BT_HIGH; side++) {
    const bt_episode *newest = report_newest_of(of, side);
    if (newest == NULL || newest->strength != BT_ALARM ||
        of->points.at[newest->last] < report_asks_since(unit) ||
        bt_study_ended_by(of, newest) == NULL)
      continue;
    bt_text_format(words, "; its last %s alarm ", report_side_word(side));
    (void)report_add_ended(of, newest, false, words);
  }
}

static void add_study(const bt_unit_study *unit, const bt_study *of, size_t *plain, bt_text *out) {
  bt_text words = {0};
  add_title(of->quantity.title, out);
  bt_verdict verdict = bt_study_shown_verdict(of);
  if (verdict == BT_VERDICT_NO_SIGNAL && report_is_judged(of))
    bt_text_add(out, report_verdict_words(unit, verdict, of));
  else
    add_verdict(unit, verdict, of, plain, out);
  bt_text_add(out, "\n");
  bt_text_add(&words, "last ");
  report_last_value(of, true, &words);
  add_retest(of, &words);
  if (report_is_judged(of)) {
    if (report_may_have_tolerance(of)) {
      bt_text_add(&words, "; tolerance: ");
      report_tolerance_state(of, &words);
    }
    bt_text_add(&words, "; ");
    report_control_state(of, true, &words);
    add_ended(unit, of, &words);
    if (report_is_shaky(of))
      bt_text_add(&words, "; its limits are provisional, from days that drift themselves");
  }
  if (of->stale_days > 0 && !report_is_told_current(unit, of)) {
    bt_text_add(&words, "; ");
    report_stale_words(unit, of, &words);
  }
  report_wrap_plain(out, "    ", bt_text_get(&words));
  bt_text_clear(&words);
  report_open_episodes(of, &words);
  if (!bt_text_empty(&words))
    report_wrap_plain(out, "    ", bt_text_get(&words));
  report_text_pass(&words, out);
}

/* The newest first. */
static void add_gaps(const bt_unit_study *unit, bt_text *out) {
  enum { MOST = 3 };
  bt_text words = {0};
  char period[REPORT_DATE_TEXT];
  if (unit->gaps_n == 0)
    return;
  for (size_t i = 0; i < unit->gaps_n && i < MOST; i++) {
    const bt_gap *gap = &unit->gaps[unit->gaps_n - 1 - i];
    bt_text_add(&words, i == 0 ? "no check for " : "; for ");
    report_count(&words, (uint64_t)gap->days, "day", "days");
    bt_text_format(&words, ", %s", report_short_period(gap->from, gap->to, period));
    if (gap->scheduled > 0)
      bt_text_format(&words, " (%lld of them on the schedule)", (long long)gap->scheduled);
  }
  if (unit->gaps_n > MOST)
    bt_text_format(&words, "; and %zu more in that year", unit->gaps_n - MOST);
  report_wrap_plain(out, "Gaps         ", bt_text_get(&words));
  report_text_pass(&words, out);
}

/* All that there is of a laser without a check; elsewhere events stand on the charts. */
static void add_events(const bt_unit_study *unit, bt_text *out) {
  const bt_history *history = &unit->history;
  bt_text words = {0};
  char date[REPORT_DATE_TEXT];
  if (history->events_n == 0)
    return;
  const bt_event *last = &history->events[history->events_n - 1];
  report_count(&words, history->events_n, "is noted: ", "are noted, the last: ");
  bt_text_format(&words, "%s on %s", bt_event_words(last->kind),
                 report_short_date(last->time, date));
  report_wrap_plain(out, "Events       ", bt_text_get(&words));
  report_text_pass(&words, out);
}

static bool has_open_alarm(const bt_study *of) {
  return report_is_judged(of) && bt_study_open_strength(of) == BT_ALARM;
}

/* A line for each characteristic that changed, in the order of page 1; or that none did. */
static void add_drift(const bt_unit_study *unit, bt_text *out) {
  bt_text words = {0};
  size_t lines = 0;
  for (const bt_drift *drift = report_drift_after(unit, NULL); drift != NULL;
       drift = report_drift_after(unit, drift)) {
    bt_text_clear(&words);
    report_drift_line(unit, drift, &words);
    if (!bt_text_empty(&words)) {
      report_wrap_plain(out, "Drift        ", bt_text_get(&words));
      lines++;
    }
    out->failed |= words.failed;
  }
  if (lines == 0) {
    bt_text_clear(&words);
    report_drift_none(unit, false, &words);
    report_wrap_plain(out, "Drift        ", bt_text_get(&words));
    out->failed |= words.failed;
  }
  bt_text_free(&words);
}

static void add_next(const bt_unit_study *unit, bt_text *out) {
  bt_text step = {0};
  bt_text_format(out, "\nWhat to do next (%s)\n", report_by_role);
  for (size_t i = 0; report_next_step(unit, report_asks_since(unit), i, &step); i++)
    report_wrap_plain(out, "  - ", bt_text_get(&step));
  report_text_pass(&step, out);
}

bt_status bt_report_status_line(const bt_unit_study *study, bt_text *out, bt_error *error) {
  bt_text words = {0};
  size_t named = 0, begin = out->length;
  bt_text_format(&words, "%s: ", study->history.unit);
  report_banner_words(study, study->verdict, NULL, &words);
  for (size_t i = 0; i < study->studies_n; i++)
    if (has_open_alarm(study->studies[i]))
      bt_text_format(&words, "%s%s", named++ == 0 ? ": " : ", ", study->studies[i]->quantity.title);
  report_wrap_plain(out, "  - ", bt_text_get(&words));
  make_plain(out, &begin);
  report_text_pass(&words, out);
  return bt_text_ok(out) ? BT_OK : bt_fail_memory(error);
}

bt_status bt_report_status(const bt_unit_study *study, bool colour, bt_text *out, bt_error *error) {
  bt_text words = {0};
  report_words failing = {0}, current = {0};
  char date[REPORT_DATE_TEXT];
  size_t begin = out->length, *plain = colour ? &begin : NULL;
  report_wrap_plain(out, "", study->history.unit);
  add_verdict(study, study->verdict, NULL, plain, out);
  bt_text_add(out, "\n");
  if (report_is_failing(study->verdict)) {
    report_failing_morning(study, &failing);
    bt_text_add(out, "\n");
    report_wrap_plain(out, "", bt_text_get(&failing.text));
  }
  report_lead_current(study, &current);
  if (!bt_text_empty(&current.text)) {
    bt_text_add(out, "\n");
    report_wrap_plain(out, "", bt_text_get(&current.text));
  }
  bt_text_add(out, "\n");
  if (study->has_check)
    bt_text_format(&words, "%s", report_short_date(study->last_check, date));
  else
    bt_text_add(&words, "none in the log");
  if (study->current) /* else the screen opens with it */
    report_check_ago(study, false, &words);
  report_wrap_plain(out, "Last check   ", bt_text_get(&words));
  if (!study->has_check)
    add_events(study, out);
  add_gaps(study, out);
  bt_text_clear(&words);
  report_selftest_words(study, &words);
  report_wrap_plain(out, "Self-test    ", bt_text_get(&words));
  add_drift(study, out);
  bt_text_add(out, "\n");
  for (size_t i = 0; i < study->studies_n; i++)
    add_study(study, study->studies[i], plain, out);
  if (study->studies_n == 0)
    bt_text_add(out, "The log holds no reading that is charted.\n");
  add_next(study, out);
  bt_text_add(out, "\n");
  report_wrap_plain(out, "", report_words_at);
  bt_text_clear(&words);
  report_provenance_words(study, &words);
  report_wrap_plain(out, "", bt_text_get(&words));
  report_wrap_plain(out, "", report_caution);
  make_plain(out, &begin);
  out->failed |= words.failed || failing.text.failed || current.text.failed;
  bt_text_free(&words);
  report_words_free(&failing);
  report_words_free(&current);
  return bt_text_ok(out) ? BT_OK : bt_fail_memory(error);
}
