/* What to do next of what failed in the last month and passed since: a self-test, and a check that
 * a retest or only a later check was inside tolerance after. Nothing fails now, so that no other
 * step may ask; what is not written down by then is known to nobody when it comes again. */
#include "report_episodes.h"
#include "report_next.h"

enum { MONTH = 30 }; /* days: our own choice, no source */

static bt_time month_ago(const bt_unit_study *unit) {
  return (unit->has_check ? unit->last_check : unit->until) - MONTH * BT_DAY;
}

static void add_command(const bt_unit_study *unit, bt_time at, bt_text *out) {
  char iso[BT_TIME_TEXT];
  bt_text_add(out, "“beamtally event --unit ");
  bt_text_add_shell_word(out, unit->history.unit);
  bt_text_format(out, " --at %s --by NAME other --note TEXT”",
                 bt_time_iso(at, report_has_clock(at), iso));
}

/* By the clock where both are of one day. */
static void add_moments(bt_time failed, bt_time passed, bt_text *out) {
  char first[REPORT_DATE_TEXT], then[REPORT_DATE_TEXT];
  bool clock = bt_day_of(failed) == bt_day_of(passed) && report_has_clock(passed);
  bt_text_format(out, "failed on %s and passed on %s", report_short_moment(failed, clock, first),
                 report_short_moment(passed, clock, then));
}

/* By the clinic's settings. */
static void add_whom(const bt_unit_study *unit, bt_text *out) {
  if (unit->settings.tell != NULL && *unit->settings.tell != '\0')
    bt_text_format(out, " Whom to tell: %s.", unit->settings.tell);
}

/* Self-tests that failed in the last month, of which the last passed since. */
static size_t passed_selftests(const bt_unit_study *unit) {
  const bt_rare *rare = &unit->selftest.rare;
  size_t n = 0;
  if (unit->selftest.passed_at == 0 || rare->failed_at == NULL)
    return 0;
  for (size_t i = 0; i < rare->failures; i++)
    n += rare->failed_at[i] >= month_ago(unit);
  return n;
}

void report_selftest_step(const bt_unit_study *unit, bool brief, bt_text *out) {
  const bt_selftest *test = &unit->selftest;
  const bt_rare *rare = &test->rare;
  size_t n = passed_selftests(unit);
  if (n == 0)
    return;
  bt_time failed = rare->failed_at[rare->failures - 1];
  bt_text_add(out, "Technician: the self-test ");
  add_moments(failed, test->passed_at, out);
  if (test->failed_items != NULL && !brief)
    bt_text_format(out, " (failed: %s)", test->failed_items);
  bt_text_add(out, ": note what failed and what was done");
  if (!brief) {
    bt_text_add(out, ", ");
    add_command(unit, failed, out);
  }
  if (n > 1)
    bt_text_format(out, "; it failed %zu times within a month: tell the manufacturer’s engineer.",
                   n);
  else
    bt_text_add(out, "; tell the manufacturer’s engineer if it comes again.");
  if (!brief)
    add_whom(unit, out);
}

/* Whether somebody has written what an episode was that holds a check of that time. */
static bool is_concluded(const bt_study *of, bt_time at) {
  for (size_t e = 0; e < of->episodes_n; e++)
    if (bt_day_of(of->points.at[of->episodes[e].first]) <= bt_day_of(at) &&
        bt_day_of(of->points.at[of->episodes[e].last]) >= bt_day_of(at) &&
        report_disposition(of, &of->episodes[e]) != NULL)
      return true;
  return false;
}

/* A check that failed, and that nobody has concluded anything of. */
static bool asks(const bt_study *of, size_t check, report_retest *found) {
  return report_failed_of(of, check, found) && !is_concluded(of, of->checks.at[check]);
}

/* Whether a characteristic before that one asks of the same check. */
static bool is_counted(const bt_unit_study *unit, size_t study, bt_time at) {
  report_retest found;
  for (size_t s = 0; s < study; s++) {
    const bt_study *of = unit->studies[s];
    for (size_t i = bt_series_from(&of->checks, at); i < of->checks.n && of->checks.at[i] == at;
         i++)
      if (asks(of, i, &found))
        return true;
  }
  return false;
}

/* Of the checks of the last month that ask, the newest; and how many there are, each once, however
 * many characteristics it failed with. */
static size_t passed_checks(const bt_unit_study *unit, const bt_study **whose,
                            report_retest *newest) {
  size_t n = 0;
  for (size_t s = 0; s < unit->studies_n; s++) {
    const bt_study *of = unit->studies[s];
    report_retest found;
    for (size_t i = bt_series_from(&of->checks, month_ago(unit)); i < of->checks.n; i++) {
      if (!asks(of, i, &found))
        continue;
      if (*whose == NULL || of->checks.at[i] > (*whose)->checks.at[newest->first]) {
        *whose = of;
        *newest = found;
      }
      n += !is_counted(unit, s, of->checks.at[i]);
    }
  }
  return n;
}

/* Beside a drift or an open alarm one failure is told at once, not when it comes again. */
static bool is_told_at_once(const bt_unit_study *unit, const bt_study *of) {
  const bt_drift *drift =
      unit->drift == NULL ? NULL : bt_unit_drift_of(unit->drift, of->characteristic);
  return bt_study_shown_verdict(of) == BT_VERDICT_ALARM ||
         (drift != NULL && report_drift_is_told(drift));
}

void report_retest_step(const bt_unit_study *unit, bool brief, bt_text *out) {
  const bt_study *of = NULL;
  report_retest newest = {0};
  size_t n = passed_checks(unit, &of, &newest);
  if (n == 0)
    return;
  bt_text_format(out, "Technician: %s %s", of->quantity.title, newest.failed ? "failed " : "");
  report_failed_words(of, &newest, out);
  bt_text_add(out, ": note what was done in between");
  if (!brief) {
    bt_text_add(out, ", ");
    add_command(unit, of->checks.at[report_failing_check(of, &newest)], out);
  }
  bt_text_add(out, is_told_at_once(unit, of) || n > 1
                       ? "; tell the manufacturer’s engineer of it."
                       : "; tell the manufacturer’s engineer if it comes again.");
  if (!brief && passed_selftests(unit) == 0) /* else said just before */
    add_whom(unit, out);
  if (n > 1) {
    bt_text_add(out, " In the last month ");
    report_count(out, n - 1, "other check failed as well", "other checks failed as well");
    bt_text_add(out, ".");
  }
}
