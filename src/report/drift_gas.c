/* Gas or not: one plain sentence first, hedged, and claiming no more than the causes that are
 * named; then the numbers that it rests on. */
#include "report_drift.h"

#include <ctype.h>
#include <math.h>
#include <string.h>

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

/* The fills' part of the loss, or its slope inside them, was asked, and is no greater. */
static bool is_unchanged_inside(const bt_drift *drift) {
  uint32_t facts = report_drift_evidence(drift, BT_CAUSE_NOT_RESTORED_BY_REFILL) |
                   report_drift_evidence(drift, BT_CAUSE_GAS_AGEING);
  return (facts & BT_FACT_LOSS_UNCHANGED) != 0;
}

/* One number: of the gas alone where the levels tell it and some of the loss is lasting, else of
 * all that is lost inside a fill; and how it stands on the last day, where it grows. */
static void loss_inside(const bt_drift *drift, bt_text *out) {
  bool alone = (report_drift_evidence(drift, BT_CAUSE_GAS_AGEING) & BT_FACT_LEVELS_HOLD) != 0;
  bt_text_add(out, "Inside a fill it goes by ");
  if (drift->gas.given && !alone) {
    report_drift_rate(drift, drift->gas.per_day, drift->gas.low, drift->gas.high, "a day", 1, out);
    bt_text_add(out, " by the ageing of the gas alone, the lasting loss taken off");
  } else {
    report_drift_rate(drift, drift->slope.per_day, drift->slope.low, drift->slope.high, "a day", 1,
                      out);
  }
  if (drift->growth.given) {
    bt_text_add(out, " since the change, and more from fill to fill: by the last day ");
    report_drift_rate(drift, drift->growth.now, drift->growth.low, drift->growth.high, "a day", 1,
                      out);
  }
  if (drift->baseline_slope.df >= 1) {
    bt_text_add(out, "; inside those of the baseline it went by ");
    report_drift_rate(drift, drift->baseline_slope.per_day, drift->baseline_slope.low,
                      drift->baseline_slope.high, "a day", 1, out);
    if (is_unchanged_inside(drift))
      bt_text_add(out, ": what the two differ by is not told from chance");
  }
  bt_text_add(out, ".");
  if (drift->study->pulses_per_day > 0) {
    char pulses[REPORT_NUMBER_TEXT];
    bt_text_format(out, " Fill age is counted by pulses: a day of it stands for %s.",
                   report_number(drift->study->pulses_per_day, 0, pulses));
  }
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

/* Left out while an alarm is open, and where no fill of the baseline was half as long: it would
 * read as leave to wait. */
static void fill_lasts(const bt_unit_study *unit, const bt_drift *drift, bt_text *out) {
  char number[REPORT_NUMBER_TEXT], other[REPORT_NUMBER_TEXT];
  const bt_unit_setting *setting = bt_settings_unit(&unit->settings, unit->history.unit);
  const bt_baseline *baseline = &bt_study_now(drift->study)->baseline;
  if (drift->has_alarm || drift->fill_days.days > 2 * baseline->oldest_age_days ||
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
                 report_drift_date(drift->values.day[first], day));
}

/* Of what changed, where the fills of the log tell. */
static void by_causes(const bt_unit_study *unit, const bt_drift *drift, bt_text *out) {
  const bt_evidence *all = &unit->drift->evidence;
  uint32_t gas = report_drift_evidence(drift, BT_CAUSE_GAS_AGEING),
           lasting = report_drift_evidence(drift, BT_CAUSE_NOT_RESTORED_BY_REFILL);
  bool climbs = drift->loss > 0;
  const char *more = climbs ? "it climbs more inside the fills" : "the fills lose more";
  const char *kept =
      climbs ? "refills do not bring the climb down" : "refills do not bring the loss back";
  if (gas != 0 && lasting != 0)
    bt_text_format(
        out,
        "Gas: in part, likely: %s than in the baseline, and refills do not bring all of it %s.",
        more, climbs ? "down" : "back");
  else if (gas != 0)
    bt_text_format(out, "Gas: yes, likely: %s than in the baseline%s%s.", more,
                   (gas & BT_FACT_LEVELS_HOLD) == 0 ? "" : ", and refills bring it ",
                   (gas & BT_FACT_LEVELS_HOLD) == 0 ? ""
                   : climbs                         ? "down"
                                                    : "back");
  else if (lasting != 0 && (lasting & BT_FACT_LOSS_UNCHANGED) != 0)
    bt_text_format(
        out,
        "Likely not the ageing of the gas in its fills; the gas supply is not ruled out: %s, and inside the fills no %s than in the baseline shows.",
        kept, climbs ? "steeper climb" : "greater loss");
  else if (lasting != 0)
    bt_text_format(
        out, "Gas: no sign that the fills age faster, but the gas supply is not ruled out: %s.",
        kept);
  else if (drift->moved.sign != drift->loss)
    bt_text_format(out, "Gas: no sign: it is no %s, which is what ageing gas would make.",
                   climbs ? "climb" : "loss");
  else if (drift->characteristic == BT_FLUENCE && all->energy.looked_at && !all->energy.changed)
    bt_text_add(out, "Gas: no sign: the energy, which the gas acts on first, shows no change.");
  else if (drift->characteristic == BT_HIGH_VOLTAGE && all->demand.changed && all->demand.sign > 0)
    bt_text_add(out, "Gas: no sign: the demand climbs, and the voltage with it.");
  else
    bt_text_add(out, "The log cannot tell whether it is the gas: what moved with it speaks neither "
                     "for nor against the fills.");
}

void report_drift_gas_line(const bt_unit_study *unit, const bt_drift *drift, bt_text *out) {
  if (drift == NULL && !unit->has_check)
    bt_text_add(out, "No check is stored for this laser up to then: import its log of checks.");
  else if (drift == NULL)
    bt_text_add(out, "The log cannot tell whether it is the gas: no reading that it acts on was "
                     "looked at.");
  else if (drift->loss == 0)
    bt_text_add(out, "Gas: not asked: a gas fill is not known to act on this reading.");
  else if (drift->use != BT_DRIFT_LOOKED_AT)
    bt_text_add(out, "The log cannot tell whether it is the gas: this reading was not looked at.");
  else if (report_drift_is_changed(drift) && drift->fills_tell)
    by_causes(unit, drift, out);
  else if (report_drift_is_changed(drift))
    bt_text_format(out, "The log cannot tell whether it is the gas: %s.",
                   drift->fills_before + drift->fills_since == 0
                       ? "no gas fill of known age is in it"
                       : "too few gas fills are known");
  else if (bt_study_open_strength(drift->study) != BT_QUIET)
    bt_text_format(out,
                   "The log cannot tell whether it is the gas: a chart has %s open, but no change "
                   "for good%s is told from chance.",
                   bt_study_open_strength(drift->study) == BT_ALARM ? "an alarm" : "a notice",
                   drift->window.event != BT_NONE ? " since the last event that moved it" : "");
  else
    bt_text_format(out, "Gas: no sign%s: there is no %s past the threshold that it would explain.",
                   drift->window.event != BT_NONE ? " since the last event that moved it" : "",
                   drift->loss > 0 ? "climb" : "loss");
}

void report_drift_gas_brief(const bt_unit_study *unit, const bt_drift *drift, bool whole,
                            bt_text *out) {
  static const char head[] = "Gas: ";
  bt_text line = {0};
  report_drift_gas_line(unit, drift, &line);
  const char *words = bt_text_get(&line);
  words += strncmp(words, head, strlen(head)) == 0 ? strlen(head) : 0;
  size_t length = whole ? strlen(words) : strcspn(words, ":");
  length -= length > 0 && words[length - 1] == '.';
  if (length > 0) {
    char first = (char)tolower((unsigned char)*words);
    bt_text_add_bytes(out, &first, 1);
    bt_text_add_bytes(out, words + 1, length - 1);
  }
  bt_text_format(out, " (%s)", drift->study->quantity.title);
  report_text_pass(&line, out);
}

void report_drift_gas_numbers(const bt_unit_study *unit, const bt_drift *drift, bt_text *out) {
  bt_text doubt = {0};
  if (drift->use != BT_DRIFT_LOOKED_AT || drift->loss == 0)
    return;
  if (unit->fills.from_counter)
    bt_text_add(out,
                "No refill is recorded: they are read off the pulse counter, which falls there. ");
  if (!drift->fills_tell || drift->slope.df < 1)
    too_few_fills(drift, out);
  else {
    loss_inside(drift, out);
    fill_lasts(unit, drift, out);
    /* One question about the refills is enough. */
    if (report_refill_doubt(drift, &doubt) ||
        (drift->suspected_n == 0 && report_refills_missing(unit, drift, &doubt)))
      bt_text_format(out, " %s", bt_text_get(&doubt));
    report_text_pass(&doubt, out);
  }
  report_drift_suspected(drift, out);
}

void report_drift_gas(const bt_unit_study *unit, const bt_drift *drift, bt_text *out) {
  bt_text numbers = {0};
  if (drift->use != BT_DRIFT_LOOKED_AT)
    return;
  report_drift_gas_line(unit, drift, out);
  report_drift_gas_numbers(unit, drift, &numbers);
  if (numbers.length > 0)
    bt_text_format(out, " %s", bt_text_get(&numbers));
  report_text_pass(&numbers, out);
}
