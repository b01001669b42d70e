/* Days that a clock which is wrong may have written.
 *
 * K1  A day after this computer's. Intake refuses what is later than tomorrow; tomorrow is kept,
 *     since a clinic may be ahead of the computer.
 * K2  Before 1985 intake refuses a row, too: 1970, where many clocks begin anew.
 * K3  1 January of 1990, 2000, 2010 or 2020, where others do: kept, and told where the log's newest
 *     row is over a year later. No source: common practice.
 *
 * Checked   tests/cli/import_doubts.c. */
#include "import_heard.h"

static const int64_t year_days = 366;

static bool begins_anew(bt_time time) {
  bt_civil civil = bt_civil_of(time);
  return civil.month == 1 && civil.day == 1 && civil.year >= 1990 && civil.year <= 2020 &&
         civil.year % 10 == 0;
}

void import_clocks_hear(import_clocks *of, bt_time time, int64_t line) {
  int64_t day = bt_day_of(time);
  if (day > of->today)
    import_lines_hear(&of->tomorrow, line);
  if (begins_anew(time))
    import_lines_hear(&of->anew, line);
  of->newest = day > of->newest ? day : of->newest;
  if (begins_anew(time))
    of->newest_anew = day > of->newest_anew ? day : of->newest_anew;
}

void import_clocks_hear_refusal(import_clocks *of, const bt_refusal *refusal, bool before) {
  if (refusal->clock == BT_CLOCK_EARLY)
    import_lines_hear(&of->every_early, refusal->line);
  else if (refusal->clock == BT_CLOCK_LATE)
    import_lines_hear(&of->every_late, refusal->line);
  if (refusal->clock == BT_CLOCK_EARLY && !before)
    import_lines_hear(&of->early, refusal->line);
  else if (refusal->clock == BT_CLOCK_LATE && !before)
    import_lines_hear(&of->late, refusal->line);
}

void import_clocks_forget(import_clocks *of) {
  of->early = of->every_early;
  of->late = of->every_late;
}

static void say(const import_lines *of, const char *path, const char *one, const char *more,
                const char *what) {
  bt_text where = {0};
  if (of->n == 0)
    return;
  import_lines_add(of, &where);
  cli_say("%s: %lld row%s (%s)%s", path, (long long)of->n, of->n == 1 ? one : more,
          bt_text_get(&where), what);
  bt_text_free(&where);
}

void import_clocks_say(const import_clocks *of, const char *path) {
  static const char correct[] =
      ": refused. A clock whose battery was empty begins anew at such a day: find out when it was, "
      "and correct the date in the log";
  bt_text today = {0};
  char day[BT_TIME_TEXT];
  say(&of->early, path, " is before 1985", "s are before 1985", correct);
  (void)bt_time_day_iso((of->today + 1) * BT_DAY, day);
  bt_text_format(
      &today,
      ", which by this computer's clock is %s: refused. Correct the date in the log, or, "
      "if it is the computer's clock that is wrong, that",
      day);
  say(&of->late, path, " is later than tomorrow", "s are later than tomorrow", bt_text_get(&today));
  bt_text_clear(&today);
  (void)bt_time_day_iso(of->today * BT_DAY, day);
  bt_text_format(&today,
                 ": kept. By this computer's clock today is %s; look whether the one that "
                 "wrote the log, or the computer's, is wrong",
                 day);
  say(&of->tomorrow, path, " is of tomorrow", "s are of tomorrow", bt_text_get(&today));
  if (of->newest > of->newest_anew + year_days)
    say(&of->anew, path, " is of a 1 January at which clocks begin anew",
        "s are of a 1 January at which clocks begin anew",
        ", over a year before the newest: kept. If the battery was empty, find out when it was, and "
        "correct the date: `beamtally correct` moves a check by time=");
  bt_text_free(&today);
}
