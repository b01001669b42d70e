/* When it matters: the answer on a drift that looks ahead. */
#include "report_drift.h"

/* Where the record's day is past what was forecast. */
static void past_days(const bt_unit_study *unit, const bt_drift *drift, bt_text *out) {
  char last[REPORT_DATE_TEXT];
  report_passed passed = report_drift_passed(unit, drift);
  if (passed == REPORT_PASSED_NONE)
    return;
  bt_text_format(out, " %s: this is of checks up to %s, and what came since is not in it.",
                 passed == REPORT_PASSED_BOTH  ? "Both dates have passed"
                 : drift->forecast.has_fail_50 ? "The first of these dates has passed"
                                               : "This date has passed",
                 report_drift_date(drift->last_day, last));
}

static void when_given(const bt_unit_study *unit, const bt_drift *drift, bt_text *out) {
  char day[REPORT_DATE_TEXT], to[REPORT_DATE_TEXT];
  const bt_forecast *of = &drift->forecast;
  bt_text_add(out, "If it goes on as up to ");
  report_drift_last(drift, out);
  bt_text_add(out, ", ");
  report_drift_failing(drift, out);
  if (of->has_fail_5)
    bt_text_format(out, " has a chance of 1 in 20 by %s", report_drift_date(of->fail_5, day));
  if (of->has_fail_50)
    bt_text_format(out, "%s 1 in 2 by %s", of->has_fail_5 ? "," : " has a chance of",
                   report_drift_date(of->fail_50, day));
  if (!of->has_fail_5 && !of->has_fail_50)
    bt_text_add(out, " is not to be expected within 20 years");
  bt_text_add(out, ".");
  past_days(unit, drift, out);
  bt_text_format(out, " The mean%s", report_end_of_fill(drift));
  if (drift->study->adjusted)
    bt_text_format(out, " (gas %s days old)", report_number(drift->fill_end_days, 1, to));
  bt_text_format(out, " meets it about %s", report_drift_date(of->mean_at, day));
  if (of->has_mean_to)
    bt_text_format(out, " (95" REPORT_JOIN "%%: %s to %s)", report_drift_date(of->mean_from, day),
                   report_drift_date(of->mean_to, to));
  else
    bt_text_format(out, " (95" REPORT_JOIN "%%: from %s, with no finite date)",
                   report_drift_date(of->mean_from, day));
  if (of->has_fail_50 && of->fail_50 < of->mean_at)
    bt_text_add(out, "; single checks scatter about the mean, so that one of many fails before it");
  bt_text_add(out, ". It is a forecast of the drift alone, not of what a cleaning would restore.");
}

/* The newest past forecast that is still open; NULL: none. */
static const bt_past_forecast *open_past(const bt_drift *drift) {
  const bt_past_forecast *newest = NULL;
  for (size_t i = 0; i < drift->past_n; i++)
    if (drift->past[i].forecast.use == BT_FORECAST_GIVEN && drift->past[i].result == BT_PAST_OPEN &&
        (newest == NULL || drift->past[i].until > newest->until))
      newest = &drift->past[i];
  return newest;
}

/* A forecast of before, listed as open, must not read as one that is given now. */
static void without_change(const bt_unit_study *unit, const bt_drift *drift, bt_text *out) {
  char made[REPORT_DATE_TEXT], at[REPORT_DATE_TEXT];
  const bt_past_forecast *past = open_past(drift);
  bt_text_add(out, "No forecast without a change.");
  if (past == NULL)
    return;
  bt_text_format(out, " That of %s, still open, ", report_short_date(past->until - BT_DAY, made));
  if (drift->window.event != BT_NONE)
    bt_text_format(out, "rests on checks before the event of %s and ",
                   report_short_date(unit->history.events[drift->window.event].time, at));
  bt_text_add(out, "no longer holds.");
}

/* What is left to do where no day is, since a reader looks for one. */
static void after_a_step(const bt_drift *drift, bt_text *out) {
  bt_text_format(
      out,
      "No forecast: %s, so that there is no day to name. What counts is the level that it "
      "left, held against %s, and whether the next checks keep to it.",
      drift->moved.levelled ? "a slope that has ended does not go on" : "a step does not go on",
      drift->tolerance != NULL ? "the tolerance" : "a tolerance, once one is entered");
}

void report_drift_when_ahead(const bt_unit_study *unit, const bt_drift *drift, bt_text *out) {
  char day[REPORT_DATE_TEXT];
  if (drift->use != BT_DRIFT_LOOKED_AT)
    return;
  switch (drift->forecast.use) {
  case BT_FORECAST_GIVEN:
    when_given(unit, drift, out);
    break;
  case BT_FORECAST_NO_DRIFT:
    if (report_drift_is_changed(drift) && drift->moved.kind == BT_CHANGE_STEP)
      after_a_step(drift, out);
    else if (report_drift_is_changed(drift))
      bt_text_add(out, "No forecast: a drift alone does not pass the threshold.");
    else
      without_change(unit, drift, out);
    break;
  case BT_FORECAST_STEP:
    after_a_step(drift, out);
    break;
  case BT_FORECAST_SIGNS_DIFFER:
    bt_text_add(out, "No forecast: the change and the trend of the levels point to different "
                     "sides.");
    break;
  case BT_FORECAST_NO_LIMIT:
    if (drift->study->tolerance.to_come != NULL)
      bt_text_format(out, "No forecast: no tolerance is in force; the next begins on %s.",
                     report_short_date(drift->study->tolerance.to_come->from, day));
    else
      bt_text_add(
          out, "No forecast: no tolerance is entered on the side that it goes to, and without one "
               "there is no date (“beamtally settings”).");
    break;
  case BT_FORECAST_BEYOND:
    bt_text_format(out, "The mean%s is beyond the tolerance already.", report_end_of_fill(drift));
    break;
  }
}

/* What a forecast is of has come: that is said before any day. */
static void add_failed(const bt_drift *drift, bt_text *out) {
  bt_text failed = {0};
  if (report_drift_failed(drift, false, true, &failed))
    bt_text_format(out, "%s. ", bt_text_get(&failed));
  report_text_pass(&failed, out);
}

void report_drift_when(const bt_unit_study *unit, const bt_drift *drift, bt_text *out) {
  add_failed(drift, out);
  report_drift_when_ahead(unit, drift, out);
}
