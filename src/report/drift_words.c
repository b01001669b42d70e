/* What is said of a change, in plain and hedged words, for the screen and the page: what it is,
 * since when, and where the level is now. Differences of a ratio are told in per cent, levels as
 * they are. */
#include "report_drift.h"

#include <math.h>

static bool is_step(const bt_drift *drift) {
  return drift->moved.kind == BT_CHANGE_STEP;
}

/* Both explain the checks about as well. */
static bool is_step_or_drift(const bt_drift *drift) {
  return drift->forecast.use == BT_FORECAST_GIVEN && drift->forecast.step_possible;
}

void report_drift_last(const bt_drift *drift, bt_text *out) {
  char day[REPORT_DATE_TEXT];
  const bt_series *checks = &drift->study->checks;
  bool last = floor(drift->last_day) == (double)bt_day_of(checks->at[checks->n - 1]);
  bt_text_format(out, "%s, of %s", last ? "its last check" : "the last value looked at",
                 report_drift_date(drift->last_day, day));
}

void report_drift_headline(const bt_unit_study *unit, const bt_drift *drift, bool page_1,
                           bt_text *out) {
  char day[REPORT_DATE_TEXT];
  const bt_forecast *ahead = &drift->forecast;
  bool given = ahead->use == BT_FORECAST_GIVEN && ahead->has_fail_5;
  if (drift->causes_n == 0 && !given)
    return;
  if (page_1)
    report_drift_short_about(unit, drift, out);
  else
    report_drift_short(unit, drift, out);
  if (!given)
    return;
  bt_text failed = {0};
  if (report_drift_failed(drift, true, false, &failed))
    bt_text_format(out, "; %s", bt_text_get(&failed));
  report_text_pass(&failed, out);
  bt_text_format(out, "; as of %s, ", report_drift_date(drift->last_day, day));
  report_drift_failing(drift, out);
  bt_text_format(out, ": 1 in 20 by %s", report_drift_date(ahead->fail_5, day));
  report_passed passed = report_drift_passed(unit, drift);
  bool two = passed == REPORT_PASSED_BOTH || (ahead->has_fail_50 && !page_1);
  if (two)
    bt_text_format(out, ", 1 in 2 by %s", report_drift_date(ahead->fail_50, day));
  if (passed == REPORT_PASSED_NONE)
    return;
  bt_text_add(out, "; ");
  report_drift_passed_words(unit, drift, two, out);
  if (!report_is_measured(unit))
    bt_text_add(out, ": measure now");
}

void report_drift_line(const bt_unit_study *unit, const bt_drift *drift, bt_text *out) {
  size_t before = out->length;
  report_drift_headline(unit, drift, false, out);
  if (out->length == before &&
      (report_drift_is_changed(drift) || report_drift_meter_change(unit, drift) != NULL))
    report_drift_short(unit, drift, out);
  if (out->length == before)
    return;
  bt_text_add(out, ": “beamtally drift --unit ");
  bt_text_add_shell_word(out, unit->history.unit);
  bt_text_format(out, " --characteristic %s”", drift->study->quantity.key);
}

void report_drift_is(const bt_unit_study *unit, const bt_drift *drift, bt_text *out) {
  if (drift->use != BT_DRIFT_LOOKED_AT) {
    bt_text_add(out, "It was not looked at: ");
    report_drift_why_not(drift, out);
    bt_text_add(out, ".");
  } else if (!drift->moved.changed)
    bt_text_add(out, report_drift_meter_change(unit, drift) != NULL
                         ? "No change past the threshold since the meter change; what came with "
                           "that stands above."
                     : report_drift_was_changed(drift) || report_drift_window_effect(drift) != NULL
                         ? "No change past the threshold since that event."
                         : "No change past the threshold.");
  else if (drift->moved.levelled)
    bt_text_format(out, "It is %s, by a slope that has ended.",
                   drift->moved.sign < 0 ? "lower" : "higher");
  else if (is_step(drift))
    bt_text_format(out, "It is %s, in a step%s.", drift->moved.sign < 0 ? "lower" : "higher",
                   is_step_or_drift(drift) ? " or by a slow drift: these checks do not tell which"
                                           : "");
  else
    bt_text_format(out, "Yes: it is %s.", drift->moved.sign < 0 ? "falling" : "climbing");
}

/* A chart that signals beside "no change" is no contradiction. */
static void unchanged(const bt_drift *drift, bt_text *out) {
  bt_text_add(out, "A drift too slow, or too young, to be told from chance may be there all the "
                   "same. ");
  bt_strength open = bt_study_open_strength(drift->study);
  if (open == BT_QUIET)
    return;
  bt_text_format(out, "Its chart has %s open all the same: it ",
                 open == BT_ALARM ? "an alarm" : "a notice");
  bt_text_add(out, drift->window.event != BT_NONE
                       ? "compares with the baseline, the look for drift with the days since the "
                         "event alone. "
                       : "asks whether points stand out of the baseline’s scatter, the look for "
                         "drift whether the level changed for good. ");
}

static void level_name(const bt_drift *drift, bt_text *out) {
  bt_text_format(out, "%s%s",
                 !report_drift_is_changed(drift) ? "The mean of the last values"
                 : !is_step(drift)               ? "The end of the fitted line"
                 : drift->moved.levelled         ? "The mean since the middle of the slope"
                                                 : "The mean since the step",
                 drift->study->adjusted ? ", at the mean fill age," : "");
}

void report_drift_level(const bt_drift *drift, bt_text *out) {
  char now[REPORT_NUMBER_TEXT], low[REPORT_NUMBER_TEXT], high[REPORT_NUMBER_TEXT];
  const bt_study *of = drift->study;
  int decimals = report_decimals(&of->quantity, drift->sigma);
  bool changed = report_drift_is_changed(drift), other = of->from_first.given;
  if (drift->use != BT_DRIFT_LOOKED_AT)
    return;
  if (!changed)
    unchanged(drift, out);
  level_name(drift, out);
  bt_text_format(out, " is %s", report_number(drift->now, decimals, now));
  report_add_unit(out, &of->quantity);
  bt_text_format(out, " (%s to %s), ", report_number(drift->now_low, decimals, low),
                 report_number(drift->now_high, decimals, high));
  report_add_size(of, drift->from_first, out);
  bt_text_format(out, " from the centre of its %s.%s", other ? "first baseline" : "baseline",
                 changed ? " The change is past the threshold that a laser which has not changed "
                           "passes in fewer than 1 of 20 years."
                         : "");
}

void report_drift_likelihood(const bt_drift *drift, bt_text *out) {
  char ratio[REPORT_NUMBER_TEXT], threshold[REPORT_NUMBER_TEXT];
  if (drift->use != BT_DRIFT_LOOKED_AT)
    return;
  bt_text_format(out,
                 "Twice the log likelihood ratio, how much better a change explains these %zu "
                 "values than none does, is %s; its threshold is %s.",
                 drift->look.n, report_number(drift->change.likelihood_ratio, 1, ratio),
                 report_number(drift->look.threshold, 1, threshold));
}

void report_drift_since(const bt_drift *drift, bt_text *out) {
  char day[REPORT_DATE_TEXT];
  if (!report_drift_is_changed(drift))
    return;
  report_drift_between(&drift->change, "A day", out);
  bt_text_add(out, drift->change.open ? ", or earlier: the days looked at begin there" : "");
  if (floor(drift->change.from) < floor(drift->change.to))
    bt_text_format(out, "; the likeliest is %s", report_drift_date(drift->change.day, day));
  bt_text_add(out, ". ");
  report_drift_pace(drift, false, out);
}

/* What is told of the line, and reckoned ahead with it, may not hold for them. */
static void add_newest(const bt_drift *drift, bt_text *out) {
  const bt_newest *newest = &drift->newest;
  if (!newest->given || !newest->differs)
    return;
  bt_text_format(out, " The newest %zu values lie off that %s by ", newest->n,
                 is_step(drift) ? "level" : "line");
  report_drift_rate(drift, newest->difference, newest->low, newest->high, "on average", 1, out);
  bt_text_add(out, ", as chance gives in under 1 of 1,000 looks: look again after the next checks");
  if (drift->forecast.use == BT_FORECAST_GIVEN)
    bt_text_add(out, newest->difference * drift->moved.sign > 0
                         ? ", and reckon with earlier days than those of the forecast"
                         : "; the forecast goes by the line");
  bt_text_add(out, ".");
}

void report_drift_pace(const bt_drift *drift, bool brief, bt_text *out) {
  const bt_hinge *hinge = &drift->change.hinge;
  if (!report_drift_is_changed(drift))
    return;
  if (is_step(drift)) {
    bt_text_add(out, "It went by ");
    report_drift_gone(drift, out);
    bt_text_add(out, drift->moved.levelled ? " or more in all" : " in the step");
    if (is_step_or_drift(drift)) {
      bt_text_add(out,
                  ". A slow drift explains the checks about as well, and a forecast is of that.");
      add_newest(drift, out);
      return;
    }
    bt_text_add(out, ", which says nothing of what comes.");
  } else {
    bt_text_add(out, "The fitted line goes by ");
    report_drift_rate(drift, hinge->per_day, hinge->low, hinge->high, "a month", BT_DAYS_A_MONTH,
                      out);
    if (!brief) {
      bt_text_add(out, ", and has gone by ");
      report_drift_gone(drift, out);
      bt_text_add(out, " since it began");
    }
    bt_text_add(out, ".");
  }
  if (is_step_or_drift(drift))
    bt_text_add(out, " A step explains the checks about as well.");
  add_newest(drift, out);
}

void report_drift_first_signals(const bt_drift *drift, bt_text *out) {
  char day[REPORT_DATE_TEXT];
  if (!report_drift_is_changed(drift) || !drift->has_notice)
    return;
  bt_text_format(out, "The charts speak of it since %s, their first notice",
                 report_short_date(drift->notice_at, day));
  if (drift->has_alarm)
    bt_text_format(out, "; the first alarm is of %s", report_short_date(drift->alarm_at, day));
  bt_text_add(out, ". Those are days on which it stood out of the scatter of single checks; “Since "
                   "when?” is reckoned back from all of them, and is the one to compare with what "
                   "was done.");
  if (report_drift_alarm_is_older(drift))
    bt_text_add(out, " The alarm is older than the likeliest day of the change: single points can "
                     "stand out before the level does, by chance or for a reason of their own.");
  if (report_drift_alarm_is_of_before(drift))
    bt_text_format(out, " The alarm came with the change until %s, and is open since.",
                   report_short_date(drift->before.until, day));
}

void report_drift_trend(const bt_drift *drift, bt_text *out) {
  char day[REPORT_DATE_TEXT];
  const bt_trend *trend = &drift->trend;
  if (!trend->given)
    return;
  bt_text_format(
      out,
      "Trend of the %s from %s on (Theil-Sen: the median of the slopes from each of them to "
      "each other, which stray ones hardly move): ",
      drift->trend_of_fills ? "levels from fill to fill" : "values",
      report_drift_date(trend->from_day, day));
  report_drift_rate(drift, trend->slope, trend->low, trend->high, "a month", BT_DAYS_A_MONTH, out);
  bt_text_format(out,
                 "; %sit is not the slope of the fitted line, but a forecast needs both to go to "
                 "the same side.",
                 report_drift_is_changed(drift)
                     ? "that day is where its first value stands, not when it began; "
                     : "");
}

/* Another reading that an event moved, beside one that none did: without it the two would read as
 * if one were wrong. Ends the sentence. */
static void add_moved(const bt_unit_study *unit, const bt_drift *drift, bt_text *out) {
  char at[REPORT_DATE_TEXT];
  for (size_t i = 0; i < unit->drift->n; i++) {
    const bt_drift *other = &unit->drift->drift[i];
    bool beside =
        drift->loss != 0 && other->loss != 0; /* of the light; an offset is another tale */
    if (other == drift || !beside || other->use != BT_DRIFT_LOOKED_AT ||
        other->window.event == BT_NONE)
      continue;
    bt_text_format(out, ", though one of %s moved %s (%s)",
                   report_short_date(other->window.from, at), other->study->quantity.title,
                   bt_event_words(unit->history.events[other->window.event].kind));
    break;
  }
  bt_text_add(out, ".");
}

void report_drift_span(const bt_unit_study *unit, const bt_drift *drift, bt_text *out) {
  char day[REPORT_DATE_TEXT], at[REPORT_DATE_TEXT];
  (void)report_drift_date(drift->values.day[0], day);
  if (drift->values.cut)
    bt_text_format(out, "Only the newest %zu values are looked at: they begin on %s.",
                   drift->values.n, day);
  else if (drift->window.event != BT_NONE)
    bt_text_format(out, "%zu values are looked at, from %s on: an event of %s moved them (%s).",
                   drift->values.n, day, report_short_date(drift->window.from, at),
                   bt_event_words(unit->history.events[drift->window.event].kind));
  else
    bt_text_format(out, "%zu values are looked at, from the first, of %s, on: no event moved them",
                   drift->values.n, day);
  if (!drift->values.cut && drift->window.event == BT_NONE)
    add_moved(unit, drift, out);
}

void report_drift_left_out(const bt_drift *drift, bt_text *out) {
  const struct {
    size_t n;
    const char *words;
  } left_out[] = {
      {drift->misread, "outside tolerance, which the retest did not confirm"},
      {drift->of_no_age, "whose gas age is unknown, or over a day older than any of the baseline"},
      {drift->off_baseline, drift->characteristic == BT_HIGH_VOLTAGE
                                ? "that the screening of a baseline left out, or of another target"
                                : "that the screening of a baseline left out"},
  };
  char day[REPORT_DATE_TEXT];
  size_t told = 0;
  for (size_t i = 0; i < sizeof left_out / sizeof *left_out; i++) {
    if (left_out[i].n == 0)
      continue;
    if (told++ > 0)
      bt_text_add(out, "; ");
    else
      bt_text_format(out, "Left out of the chart’s points from %s on: ",
                     report_short_date(drift->looked_from, day));
    bt_text_format(out, "%zu %s", left_out[i].n, left_out[i].words);
  }
  if (told > 0)
    bt_text_add(out, ".");
}

void report_drift_last_good(const bt_drift *drift, bt_text *out) {
  char date[REPORT_DATE_TEXT];
  size_t last = drift->look_back.last_good;
  bt_text_format(out, "Last %scheck before the change: %s", drift->tolerance != NULL ? "good " : "",
                 last == BT_NONE ? "none in the log"
                                 : report_short_date(drift->study->checks.at[last], date));
  if (drift->tolerance == NULL)
    bt_text_format(out, " (no tolerance is %s, so that no check can be called good)",
                   drift->study->tolerance.to_come == NULL ? "entered" : "in force");
  bt_text_add(out, ". ");
}
