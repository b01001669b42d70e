/* What is said of a drift, in plain and hedged words, for the screen and the page. */
#include "report_drift.h"

#include <math.h>
#include <stdio.h>

static const double days_a_month = 30.4375;

bool report_drift_is_changed(const bt_drift *drift) {
  return drift->use == BT_DRIFT_LOOKED_AT && drift->moved.changed;
}

bt_time report_drift_time(double day) {
  return (bt_time)floor(day) * BT_DAY;
}

static const char *date(double day, char *buffer) {
  return report_short_date(report_drift_time(day), buffer);
}

static bool is_step(const bt_drift *drift) {
  return drift->moved.kind == BT_CHANGE_STEP;
}

/* Decimals that show two digits of that size. */
static int decimals_of(double size) {
  double digits = size > 0 ? 1 - floor(log10(size)) : 4;
  return digits < 0 ? 0 : digits > 8 ? 8 : (int)digits;
}

void report_drift_rate(const bt_drift *drift, double per_day, double low, double high,
                       const char *what, double days, bt_text *out) {
  char by[REPORT_NUMBER_TEXT], from[REPORT_NUMBER_TEXT], to[REPORT_NUMBER_TEXT];
  bool ratio = drift->characteristic == BT_ENERGY_RATIO;
  double scale = ratio ? 100 * days : days;
  int decimals = decimals_of(scale * (high > low ? (high - low) / 2 : fabs(per_day)));
  bt_text_add(out, report_signed(scale * per_day, decimals, by));
  if (ratio)
    bt_text_add(out, REPORT_JOIN "%");
  else
    report_add_unit(out, &drift->study->quantity);
  bt_text_format(out, " %s", what);
  if (high > low)
    bt_text_format(out, " (%s to %s)", report_signed(scale * low, decimals, from),
                   report_signed(scale * high, decimals, to));
}

static void between_days(const bt_drift *drift, bt_text *out) {
  char from[REPORT_DATE_TEXT], to[REPORT_DATE_TEXT];
  const bt_change *change = &drift->change;
  if (floor(change->from) >= floor(change->to))
    bt_text_format(out, "%s", date(change->from, from));
  else
    bt_text_format(out, "a day between %s and %s", date(change->from, from), date(change->to, to));
}

void report_drift_short(const bt_drift *drift, bt_text *out) {
  const char *title = drift->study->quantity.title;
  if (drift->use != BT_DRIFT_LOOKED_AT) {
    bt_text_format(out, "%s: not looked at, %s", title,
                   drift->use == BT_DRIFT_NO_BASELINE ? "there is no baseline yet"
                   : drift->use == BT_DRIFT_COARSE    ? "the readings are too coarse"
                                                      : "too few values since the last event");
    return;
  }
  if (!drift->moved.changed) {
    bt_text_format(out, "%s: no change past the threshold", title);
    return;
  }
  bt_text_format(out, "%s: %s ", title,
                 is_step(drift)          ? drift->moved.sign < 0 ? "lower, in a step, since"
                                                                 : "higher, in a step, since"
                 : drift->moved.sign < 0 ? "falling since"
                                         : "climbing since");
  between_days(drift, out);
}

void report_drift_headline(const bt_drift *drift, bt_text *out) {
  char day[REPORT_DATE_TEXT], limit[REPORT_NUMBER_TEXT];
  const bt_forecast *ahead = &drift->forecast;
  bool given = ahead->use == BT_FORECAST_GIVEN && ahead->has_fail_5;
  if (drift->causes_n == 0 && !given)
    return;
  report_drift_short(drift, out);
  if (given)
    bt_text_format(out, "; a check %s %s becomes possible (5" REPORT_JOIN "%%) by %s",
                   ahead->side == BT_LOW ? "below" : "above", report_plain(ahead->limit, limit),
                   date(ahead->fail_5, day));
}

void report_drift_line(const bt_drift *drift, bt_text *out) {
  size_t before = out->length;
  report_drift_headline(drift, out);
  if (out->length > before)
    bt_text_format(out, ": “beamtally drift --unit N --characteristic %s”",
                   drift->study->quantity.key);
}

void report_drift_is(const bt_drift *drift, bt_text *out) {
  char now[REPORT_NUMBER_TEXT], low[REPORT_NUMBER_TEXT], high[REPORT_NUMBER_TEXT],
      by[REPORT_NUMBER_TEXT], ratio[REPORT_NUMBER_TEXT], threshold[REPORT_NUMBER_TEXT];
  const bt_quantity *quantity = &drift->study->quantity;
  int decimals = report_decimals(quantity, drift->sigma);
  if (drift->use != BT_DRIFT_LOOKED_AT) {
    report_drift_short(drift, out);
    bt_text_add(out, ".");
    return;
  }
  if (!drift->moved.changed)
    bt_text_add(out, "No change past the threshold. A drift too slow, or too young, to be told "
                     "from chance may be there all the same.");
  else if (is_step(drift))
    bt_text_format(out,
                   "It changed in a step: it is %s than before. A step is not a drift, and "
                   "says nothing of what comes.",
                   drift->moved.sign < 0 ? "lower" : "higher");
  else
    bt_text_format(out, "Yes: it has been %s.", drift->moved.sign < 0 ? "falling" : "climbing");
  bt_text_format(out, " Its level now is %s", report_number(drift->now, decimals, now));
  report_add_unit(out, quantity);
  bt_text_format(out, " (%s to %s)%s, %s from its first baseline.",
                 report_number(drift->now_low, decimals, low),
                 report_number(drift->now_high, decimals, high),
                 drift->study->adjusted ? " at the mean fill age" : "",
                 report_signed(drift->from_first, decimals, by));
  bt_text_format(out, " (Likelihood ratio %s, threshold %s, of %zu values.)",
                 report_number(drift->change.likelihood_ratio, 1, ratio),
                 report_number(drift->look.threshold, 1, threshold), drift->look.n);
}

void report_drift_since(const bt_drift *drift, bt_text *out) {
  if (!report_drift_is_changed(drift))
    return;
  bt_text_add(out, "Since ");
  between_days(drift, out);
  if (drift->change.open)
    bt_text_add(out, ", or earlier: the days looked at begin there");
  bt_text_add(out, ".");
  if (!is_step(drift) && drift->trend.given) {
    bt_text_add(out,
                drift->trend_of_fills ? " From fill to fill the level goes by " : " It goes by ");
    report_drift_rate(drift, drift->trend.slope, drift->trend.low, drift->trend.high, "a month",
                      days_a_month, out);
    bt_text_add(out, ".");
  }
  if (drift->forecast.use == BT_FORECAST_GIVEN && drift->forecast.step_possible)
    bt_text_add(out, " A step explains the checks about as well.");
}

void report_drift_gas(const bt_unit_study *unit, const bt_drift *drift, bt_text *out) {
  char number[REPORT_NUMBER_TEXT], other[REPORT_NUMBER_TEXT];
  if (drift->use != BT_DRIFT_LOOKED_AT)
    return;
  if (drift->loss == 0) {
    bt_text_add(out, "The gas fills are not asked: nothing is known of how they act on it.");
    return;
  }
  if (unit->fills.n < 3 || drift->slope.df < 1) {
    bt_text_add(out, "Too few gas fills are known to tell.");
    return;
  }
  bt_text_add(out, "Inside the fills it goes by ");
  report_drift_rate(drift, drift->slope.per_day, drift->slope.low, drift->slope.high, "a day", 1,
                    out);
  if (drift->baseline_slope.df >= 1) {
    bt_text_add(out, "; in the baseline it was ");
    report_drift_rate(drift, drift->baseline_slope.per_day, 0, 0, "a day", 1, out);
  }
  if (drift->gas.given) {
    bt_text_add(out, ". Gas ageing alone: ");
    report_drift_rate(drift, drift->gas.per_day, drift->gas.low, drift->gas.high, "a day", 1, out);
  }
  bt_text_add(out, ".");
  if (drift->pulses_slope.df >= 1) {
    bt_text_add(out, " By the pulse counter: ");
    report_drift_rate(drift, drift->pulses_slope.per_day, drift->pulses_slope.low,
                      drift->pulses_slope.high, "a thousand pulses", 1, out);
    bt_text_add(out, ".");
  }
  const bt_unit_setting *setting = bt_settings_unit(&unit->settings, unit->history.unit);
  bool planned = setting != NULL && setting->refill_interval_days > 0;
  if (drift->fill_days.use == BT_FILL_GIVEN || drift->fill_days.use == BT_FILL_BEYOND) {
    bt_text_format(out, " A fill would last about %s days before its mean meets %s",
                   report_number(drift->fill_days.days, drift->fill_days.days < 20 ? 1 : 0, number),
                   report_plain(drift->fill_days.limit, other));
    if (planned)
      bt_text_format(out, "; the clinic plans %s",
                     report_plain(setting->refill_interval_days, number));
    bt_text_add(out, ".");
  }
  if (drift->suspected_n > 0) {
    char day[REPORT_DATE_TEXT];
    size_t first = drift->suspected[drift->suspected_n - 1].first;
    bt_text_add(out, " ");
    report_count(out, drift->suspected_n, "jump looks", "jumps look");
    bt_text_format(out,
                   " like a refill that nobody recorded, the last before the check of %s; "
                   "fills and ages stay as recorded.",
                   date(drift->values.day[first], day));
  }
}

static void when_given(const bt_drift *drift, bt_text *out) {
  char limit[REPORT_NUMBER_TEXT], day[REPORT_DATE_TEXT], to[REPORT_DATE_TEXT];
  const bt_forecast *of = &drift->forecast;
  bt_text_format(out, "If it goes on like this, a check %s %s",
                 of->side == BT_LOW ? "below" : "above", report_plain(of->limit, limit));
  report_add_unit(out, &drift->study->quantity);
  if (of->has_fail_5)
    bt_text_format(out, " becomes possible (5" REPORT_JOIN "%%) by %s", date(of->fail_5, day));
  if (of->has_fail_50)
    bt_text_format(out, "%s likely (50" REPORT_JOIN "%%) by %s", of->has_fail_5 ? "," : " becomes",
                   date(of->fail_50, day));
  if (!of->has_fail_5 && !of->has_fail_50)
    bt_text_add(out, " is not to be expected within 20 years");
  bt_text_format(out, ". The mean at the oldest usual fill age meets it about %s",
                 date(of->mean_at, day));
  if (of->has_mean_to)
    bt_text_format(out, " (95" REPORT_JOIN "%%: %s to %s)", date(of->mean_from, day),
                   date(of->mean_to, to));
  else
    bt_text_format(out, " (95" REPORT_JOIN "%%: from %s, with no finite date)",
                   date(of->mean_from, day));
  bt_text_add(out, ". It is a forecast of the drift alone, not of what a cleaning would restore.");
}

void report_drift_when(const bt_drift *drift, bt_text *out) {
  if (drift->use != BT_DRIFT_LOOKED_AT)
    return;
  switch (drift->forecast.use) {
  case BT_FORECAST_GIVEN:
    when_given(drift, out);
    break;
  case BT_FORECAST_NO_DRIFT:
    bt_text_add(out, "No forecast: no drift past the threshold.");
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
    bt_text_add(out, "The mean at the oldest usual fill age is beyond the tolerance already.");
    break;
  }
}

const char *report_cause_strength(bt_cause_strength strength) {
  static const char *const words[] = {"weak", "moderate", "strong"};
  return words[strength];
}

const char *report_cause_words(const bt_cause *cause) {
  const uint32_t shown =
      BT_FACT_CLEANING_RESTORED | BT_FACT_BOTTLE_RESTORED | BT_FACT_METER_DIFFERS;
  switch (cause->kind) {
  case BT_CAUSE_GAS_AGEING:
    return "Gas ageing: the fills lose more than in the baseline";
  case BT_CAUSE_NOT_RESTORED_BY_REFILL:
    return (cause->evidence & shown) != 0
               ? "A loss that refills do not bring back: optics, cavity, gas supply or meter"
               : "A loss that refills do not bring back: optics, cavity, gas supply or meter; the "
                 "log cannot tell them apart";
  case BT_CAUSE_VOLTAGE_CEILING:
    return "The discharge voltage is on its way to its ceiling";
  case BT_CAUSE_DEMAND_CREEP:
    return "The demand is raised again and again while the ratio passes";
  case BT_CAUSE_DELIVERY_OPTICS:
    return "Delivery optics: the fluence falls behind the energy meter";
  case BT_CAUSE_PLUME_OR_PLATE:
    return "Plume or test plate: the plate reads low while the energy does not";
  case BT_CAUSE_METER:
    return "The energy meter";
  case BT_CAUSE_ALIGNMENT:
    return "Alignment: the tracker's offset changed when the laser was moved";
  case BT_CAUSE_SPREAD:
    return "Discharge: the spread from pulse to pulse grew first";
  case BT_CAUSE_COUNT:
    break;
  }
  return "";
}

/* Whom to ask, of what is named most clearly. */
static const char *whom_to_ask(const bt_drift *drift) {
  switch (drift->causes[0].kind) {
  case BT_CAUSE_GAS_AGEING:
    return "Show the loss inside the fills to the manufacturer's engineer, with the batch of the "
           "gas bottle; gas is handled by trained people only.";
  case BT_CAUSE_METER:
    return "Have the energy meter compared with another one that was calibrated, and keep its "
           "certificate with the record.";
  case BT_CAUSE_PLUME_OR_PLATE:
    return "Repeat the test on a plate of another batch by the clinic's procedure before anything "
           "else is concluded.";
  case BT_CAUSE_ALIGNMENT:
    return "Tell the manufacturer's engineer that the offset changed when the laser was moved.";
  default:
    return "Show this to the manufacturer's engineer, who decides what it is; the record alone "
           "does not.";
  }
}

bool report_drift_next(const bt_drift *drift, size_t i, bt_text *out) {
  const char *steps[5];
  size_t n = 0;
  bool given = drift->forecast.use == BT_FORECAST_GIVEN;
  if (drift->forecast.use == BT_FORECAST_BEYOND)
    steps[n++] = "Tell the responsible person today: single checks must be expected outside "
                 "tolerance.";
  if (drift->causes_n > 0)
    steps[n++] = whom_to_ask(drift);
  else if (report_drift_is_changed(drift))
    steps[n++] = "Compare the dates with what was done to the laser, the meter and the room, and "
                 "write down what is missing: “beamtally event”.";
  if (given)
    steps[n++] = "Agree on a service visit well before the first date above; the responsible "
                 "person decides about treatment.";
  if (report_drift_is_changed(drift) && drift->look_back.days > 0)
    steps[n++] = "Let the responsible person judge whether days since the change are affected; "
                 "they are listed below.";
  if (n == 0)
    steps[n++] = "Go on checking as planned.";
  bt_text_clear(out);
  if (i < n)
    bt_text_add(out, steps[i]);
  return i < n;
}
