/* Days of forecasts that have gone by: the newest one's, which nobody may read as still ahead; and
 * the past forecasts held against what came, so that a reader can judge how far to trust the
 * newest. */
#include "report_drift.h"

#include <math.h>

static bool is_over(const bt_unit_study *unit, double day) {
  return report_drift_time(day) + BT_DAY < report_known_to(unit);
}

report_passed report_drift_passed(const bt_unit_study *unit, const bt_drift *drift) {
  const bt_forecast *of = &drift->forecast;
  if (of->use != BT_FORECAST_GIVEN)
    return REPORT_PASSED_NONE;
  bool likely = of->has_fail_50 && is_over(unit, of->fail_50);
  bool possible = (of->has_fail_5 && is_over(unit, of->fail_5)) || likely;
  return likely ? REPORT_PASSED_BOTH : possible ? REPORT_PASSED_FIRST : REPORT_PASSED_NONE;
}

void report_drift_passed_words(const bt_unit_study *unit, const bt_drift *drift, bool two,
                               bt_text *out) {
  switch (report_drift_passed(unit, drift)) {
  case REPORT_PASSED_NONE:
    break;
  case REPORT_PASSED_FIRST:
    bt_text_add(out, two ? "the first of them has passed" : "this date has passed");
    break;
  case REPORT_PASSED_BOTH:
    bt_text_add(out, "both dates have passed");
    break;
  }
}

/* ---- Those of month ends before -------------------------------------------------------------- */

static void add_apart(const bt_past_score *of, bt_text *out) {
  if (of->overtaken > 0) {
    bt_text_add(out, " Apart from that, ");
    report_count(out, of->overtaken, "was", "were");
    bt_text_add(out, " overtaken by an event that moved the readings.");
  }
  if (of->open > 0) {
    bt_text_add(out, " Open, with the 1-in-2 day ahead of the last check: ");
    bt_text_format(out, "%zu.", of->open);
  }
}

/* "27 days before", "1 day after", "0 days after". */
static void add_place(double days, bt_text *out) {
  double whole = round(days);
  report_count(out, (uint64_t)fabs(whole), "day", "days");
  bt_text_add(out, whole < 0 ? " before" : " after");
}

static void add_moved(const bt_past_score *of, bt_text *out) {
  double least = round(of->moved_least_days), most = round(of->moved_most_days);
  if (of->moved == 0)
    return;
  bt_text_add(out, " The newest forecast’s 1-in-2 day lies ");
  if (most > least && (least < 0) == (most < 0)) /* "27 to 74 days after" */
    bt_text_format(out, "%.0f to ", fmin(fabs(least), fabs(most)));
  else if (most > least) {
    add_place(least, out);
    bt_text_add(out, " to ");
  }
  add_place(fabs(most) > fabs(least) || (least < 0) != (most < 0) ? most : least, out);
  bt_text_format(out,
                 of->moved == 1 ? " that of the one it can be held against."
                                : " those of the %zu it can be held against.",
                 of->moved);
}

void report_drift_past_score(const bt_drift *drift, bt_text *out) {
  const bt_past_score *of = &drift->past_score;
  size_t told = of->inside + of->sooner + of->later;
  if (of->given == 0)
    return;
  bt_text_add(out, "Of ");
  report_count(out, of->given, "forecast", "forecasts");
  bt_text_add(out, " made at month ends, ");
  if (told == 0)
    bt_text_add(out, "none can be judged yet.");
  else
    bt_text_format(out,
                   "%zu can be judged: the first failing check came between the 1-in-20 "
                   "and the 1-in-2 day in %zu, sooner in %zu, later or not yet in "
                   "%zu. Of good forecasts about half come later and 1 in 20 sooner; those of one "
                   "drift hold or fail together.",
                   told, of->inside, of->sooner, of->later);
  if (of->sooner > 0)
    bt_text_add(out, " Where it came sooner, do not wait for the days that are named now.");
  add_apart(of, out);
  add_moved(of, out);
}

static void add_result(const bt_drift *drift, const bt_past_forecast *of, bt_text *out) {
  char day[REPORT_DATE_TEXT];
  if (of->failed && of->result != BT_PAST_OVERTAKEN)
    bt_text_format(out, "one came on %s", report_drift_date(of->failed_on, day));
  else
    bt_text_format(out, "none in the log, which ends on %s", report_drift_log_end(drift, day));
  switch (of->result) {
  case BT_PAST_SOONER:
    bt_text_add(out, ": sooner");
    break;
  case BT_PAST_INSIDE:
    bt_text_add(out, ": between the two");
    break;
  case BT_PAST_LATER:
    bt_text_add(out, of->failed ? ": later" : ": not yet");
    break;
  case BT_PAST_OPEN:
    bt_text_add(out, drift->forecast.use == BT_FORECAST_NO_DRIFT && !drift->moved.changed
                         ? ": open, but it no longer holds, as nothing has changed in the days "
                           "looked at now"
                         : ": open");
    break;
  case BT_PAST_OVERTAKEN:
    bt_text_format(out, ": overtaken, as an event of %s moved the readings",
                   report_drift_date(of->overtaken_on, day));
    break;
  case BT_PAST_NONE:
    break;
  }
  if (of->has_moved) {
    bt_text_add(out, "; the newest forecast’s 1-in-2 day lies ");
    add_place(of->moved_days, out);
    bt_text_add(out, " this one’s");
  }
}

void report_drift_past(const bt_drift *drift, bt_text *out) {
  bt_text words = {0};
  char until[REPORT_DATE_TEXT], five[REPORT_DATE_TEXT], fifty[REPORT_DATE_TEXT];
  size_t given = 0;
  for (size_t i = 0; i < drift->past_n; i++) {
    const bt_past_forecast *of = &drift->past[i];
    const bt_forecast *forecast = &of->forecast;
    if (forecast->use != BT_FORECAST_GIVEN)
      continue;
    if (given++ == 0) {
      bt_text_add(out, "  Forecasts of month ends before, made again, and what came\n");
      report_drift_past_score(drift, &words);
      report_drift_answer(out, "    ", &words);
    }
    bt_text_format(&words, "%s: first failing check, 1 in 20 by %s, 1 in 2 by %s; ",
                   report_short_date(of->until - BT_DAY, until),
                   forecast->has_fail_5 ? report_drift_date(forecast->fail_5, five) : "no date",
                   forecast->has_fail_50 ? report_drift_date(forecast->fail_50, fifty) : "no date");
    add_result(drift, of, &words);
    report_drift_answer(out, "    ", &words);
  }
  bt_text_free(&words);
}
