/* Gas or not, and when it matters: the answers on a drift that need more than the change itself. */
#include "report_drift.h"

#include <math.h>
#include <stdio.h>

static const char *date(double day, char *buffer) {
  return report_short_date(report_drift_time(day), buffer);
}

/* Where nothing is moved along fill ages, a mean is of no age. */
static const char *of_oldest(const bt_drift *drift) {
  return drift->study->adjusted ? " at the oldest usual fill age" : "";
}

static void too_few_fills(const bt_drift *drift, bt_text *out) {
  if (drift->fills_before + drift->fills_since == 0)
    bt_text_add(out,
                "No gas fill of known age is in the log, so the gas and the rest can’t be told "
                "apart.");
  else
    bt_text_format(out,
                   "Too few gas fills are known to tell: %zu %s and %zu %s, where 3 of each are "
                   "needed.",
                   drift->fills_before,
                   report_drift_is_changed(drift) ? "before the change" : "in the baseline",
                   drift->fills_since,
                   report_drift_is_changed(drift) ? "since" : "in the days looked at");
}

/* One number: of the gas alone where the levels tell it, else of all that is lost inside a fill. */
static void loss_inside(const bt_drift *drift, bt_text *out) {
  if (drift->gas.given) {
    bt_text_add(out, "Inside a fill it goes by ");
    report_drift_rate(drift, drift->gas.per_day, drift->gas.low, drift->gas.high, "a day", 1, out);
    bt_text_add(out, " by the age of the gas alone, what stays lost after refills taken off");
  } else {
    bt_text_add(out, "Inside a fill it goes by ");
    report_drift_rate(drift, drift->slope.per_day, drift->slope.low, drift->slope.high, "a day", 1,
                      out);
  }
  if (drift->baseline_slope.df >= 1) {
    bt_text_add(out, "; inside those of the baseline it went by ");
    report_drift_rate(drift, drift->baseline_slope.per_day, drift->baseline_slope.low,
                      drift->baseline_slope.high, "a day", 1, out);
  }
  bt_text_add(out, ".");
  if (drift->pulses_slope.df >= 1) {
    bt_text_add(out, " By the pulse counter: ");
    report_drift_rate(drift, drift->pulses_slope.per_day, drift->pulses_slope.low,
                      drift->pulses_slope.high, "a thousand pulses", 1, out);
    bt_text_add(out, ".");
  }
}

static int decimals_of_days(double days) {
  return days < 20 ? 1 : 0;
}

static void lasting_from_to(const bt_fill_days *of, bt_text *out) {
  char low[REPORT_NUMBER_TEXT], high[REPORT_NUMBER_TEXT];
  if (of->has_high)
    bt_text_format(out, " (95" REPORT_JOIN "%%: %s to %s)",
                   report_number(of->low, decimals_of_days(of->low), low),
                   report_number(of->high, decimals_of_days(of->high), high));
  else
    bt_text_add(out, " (95" REPORT_JOIN "%: with no finite end)");
}

/* Left out while an alarm is open: it would read as leave to wait. */
static void fill_lasts(const bt_unit_study *unit, const bt_drift *drift, bt_text *out) {
  char number[REPORT_NUMBER_TEXT], other[REPORT_NUMBER_TEXT];
  const bt_unit_setting *setting = bt_settings_unit(&unit->settings, unit->history.unit);
  if (drift->has_alarm ||
      (drift->fill_days.use != BT_FILL_GIVEN && drift->fill_days.use != BT_FILL_BEYOND))
    return;
  bt_text_format(
      out, " A fill would last about %s days before its mean meets %s",
      report_number(drift->fill_days.days, decimals_of_days(drift->fill_days.days), number),
      report_plain(drift->fill_days.limit, other));
  report_add_unit(out, &drift->study->quantity);
  lasting_from_to(&drift->fill_days, out);
  bt_text_add(out, ", single checks earlier");
  if (setting != NULL && setting->refill_interval_days > 0)
    bt_text_format(out, "; the clinic plans a refill every %s days",
                   report_plain(setting->refill_interval_days, number));
  else if (unit->fills.interval_days > 0)
    bt_text_format(out, "; in this log a refill comes about every %s days",
                   report_plain(round(10 * unit->fills.interval_days) / 10, number));
  bt_text_add(out, ". That is no reason to refill later.");
}

void report_drift_suspected(const bt_drift *drift, bt_text *out) {
  char day[REPORT_DATE_TEXT];
  if (drift->suspected_n == 0)
    return;
  size_t first = drift->suspected[drift->suspected_n - 1].first;
  bt_text_add(out, " ");
  report_count(out, drift->suspected_n, "jump looks", "jumps look");
  bt_text_format(out,
                 " like a refill that nobody recorded, the last before the check of %s; "
                 "fills and ages stay as recorded.",
                 date(drift->values.day[first], day));
}

/* Evidence of that cause; 0 where it is not named. */
static uint32_t evidence_of(const bt_drift *drift, bt_cause_kind kind) {
  for (size_t c = 0; c < drift->causes_n; c++)
    if (drift->causes[c].kind == kind)
      return drift->causes[c].evidence;
  return 0;
}

/* The question's own answer, as far as the data carry it; the numbers follow. */
static void gas_or_not(const bt_unit_study *unit, const bt_drift *drift, bt_text *out) {
  const bt_evidence *all = &unit->drift->evidence;
  uint32_t gas = evidence_of(drift, BT_CAUSE_GAS_AGEING),
           lasting = evidence_of(drift, BT_CAUSE_NOT_RESTORED_BY_REFILL);
  if (!report_drift_is_changed(drift))
    bt_text_add(out, "No loss past the threshold: nothing to explain. ");
  if (!report_drift_is_changed(drift) || !drift->fills_tell)
    return;
  if (gas != 0 && lasting != 0)
    bt_text_add(out, "It may be both: the fills lose more than in the baseline, and refills do not "
                     "bring all of it back. ");
  else if (gas != 0)
    bt_text_format(out, "It looks like the gas: the fills lose more than in the baseline%s. ",
                   (gas & BT_FACT_LEVELS_HOLD) != 0 ? ", and refills bring it back" : "");
  else if (lasting != 0)
    bt_text_format(out,
                   "Not the ageing of the fills: refills do not bring it back%s. The gas supply is "
                   "not ruled out. ",
                   (lasting & BT_FACT_LOSS_UNCHANGED) != 0
                       ? ", and inside the fills no greater loss than in the baseline shows"
                       : "");
  else if (drift->moved.sign != drift->loss)
    bt_text_add(out, "It is no loss, which is what the gas would make. ");
  else if (drift->characteristic == BT_FLUENCE && all->energy.looked_at && !all->energy.changed)
    bt_text_add(out, "The energy, which the gas acts on first, did not change. ");
  else if (drift->characteristic == BT_HIGH_VOLTAGE && all->demand.changed && all->demand.sign > 0)
    bt_text_add(out, "The demand climbs, and the voltage with it: that is no sign of the gas. ");
  else
    bt_text_add(out, "These checks do not tell. ");
}

void report_drift_gas(const bt_unit_study *unit, const bt_drift *drift, bt_text *out) {
  bt_text doubt = {0};
  if (drift->use != BT_DRIFT_LOOKED_AT)
    return;
  if (drift->loss == 0) {
    bt_text_add(out, "Not asked: a gas fill is not known to act on this reading.");
    return;
  }
  gas_or_not(unit, drift, out);
  if (unit->fills.from_counter)
    bt_text_add(out,
                "No refill is recorded: they are read off the pulse counter, which falls there. ");
  if (!drift->fills_tell || drift->slope.df < 1)
    too_few_fills(drift, out);
  else {
    loss_inside(drift, out);
    fill_lasts(unit, drift, out);
    if (report_refill_doubt(unit, drift, &doubt))
      bt_text_format(out, " %s", bt_text_get(&doubt));
    out->failed |= doubt.failed;
    bt_text_free(&doubt);
  }
  report_drift_suspected(drift, out);
}

/* Where the record's day is past what was forecast. */
static void past_days(const bt_unit_study *unit, const bt_drift *drift, bt_text *out) {
  char last[REPORT_DATE_TEXT];
  const bt_series *checks = &drift->study->checks;
  report_passed passed = report_drift_passed(unit, drift);
  if (passed == REPORT_PASSED_NONE)
    return;
  bt_text_format(out, " %s: the log ends on %s, and what came since is not in it.",
                 passed == REPORT_PASSED_BOTH  ? "Both dates have passed"
                 : drift->forecast.has_fail_50 ? "The first of these dates has passed"
                                               : "This date has passed",
                 report_short_date(checks->at[checks->n - 1], last));
}

static void when_given(const bt_unit_study *unit, const bt_drift *drift, bt_text *out) {
  char limit[REPORT_NUMBER_TEXT], day[REPORT_DATE_TEXT], to[REPORT_DATE_TEXT];
  const bt_forecast *of = &drift->forecast;
  bt_text_add(out, "If it goes on as up to ");
  report_drift_last(drift, out);
  bt_text_format(out, ", a check %s %s", of->side == BT_LOW ? "below" : "above",
                 report_plain(of->limit, limit));
  report_add_unit(out, &drift->study->quantity);
  if (of->has_fail_5)
    bt_text_format(out, " becomes possible (5" REPORT_JOIN "%%) by %s", date(of->fail_5, day));
  if (of->has_fail_50)
    bt_text_format(out, "%s likely (50" REPORT_JOIN "%%) by %s", of->has_fail_5 ? "," : " becomes",
                   date(of->fail_50, day));
  if (!of->has_fail_5 && !of->has_fail_50)
    bt_text_add(out, " is not to be expected within 20 years");
  bt_text_add(out, ".");
  past_days(unit, drift, out);
  bt_text_format(out, " The mean%s meets it about %s", of_oldest(drift), date(of->mean_at, day));
  if (of->has_mean_to)
    bt_text_format(out, " (95" REPORT_JOIN "%%: %s to %s)", date(of->mean_from, day),
                   date(of->mean_to, to));
  else
    bt_text_format(out, " (95" REPORT_JOIN "%%: from %s, with no finite date)",
                   date(of->mean_from, day));
  if (of->has_fail_50 && of->fail_50 < of->mean_at)
    bt_text_add(out, "; single checks scatter about the mean, so that one of many fails before it");
  bt_text_add(out, ". It is a forecast of the drift alone, not of what a cleaning would restore.");
}

void report_drift_when(const bt_unit_study *unit, const bt_drift *drift, bt_text *out) {
  if (drift->use != BT_DRIFT_LOOKED_AT)
    return;
  switch (drift->forecast.use) {
  case BT_FORECAST_GIVEN:
    when_given(unit, drift, out);
    break;
  case BT_FORECAST_NO_DRIFT:
    bt_text_add(out, report_drift_is_changed(drift)
                         ? "No forecast: a drift alone does not pass the threshold."
                         : "No forecast without a change.");
    break;
  case BT_FORECAST_STEP:
    bt_text_add(out, "No forecast: a step explains the checks better, and says nothing of what "
                     "comes.");
    break;
  case BT_FORECAST_SIGNS_DIFFER:
    bt_text_add(out, "No forecast: the change and the trend of the levels point to different "
                     "sides.");
    break;
  case BT_FORECAST_NO_LIMIT:
    bt_text_add(out, "No forecast: no tolerance is entered on the side that it goes to.");
    break;
  case BT_FORECAST_BEYOND:
    bt_text_format(out, "The mean%s is beyond the tolerance already.", of_oldest(drift));
    break;
  }
}
