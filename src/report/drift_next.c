/* Causes in words, and whom to ask: what to do next about a drift. */
#include "report_drift.h"

const char *report_cause_strength(bt_cause_strength strength) {
  static const char *const words[] = {"weak", "moderate", "strong"};
  return words[strength];
}

/* Ageing gas shows as a loss of energy, but as a voltage that climbs. */
static const char *not_restored(bool climbs, bool shown) {
  if (climbs)
    return shown ? "A climb that refills do not bring down: optics, cavity, gas supply or meter"
                 : "A climb that refills do not bring down: optics, cavity, gas supply or meter; "
                   "the log cannot tell them apart";
  return shown ? "A loss that refills do not bring back: optics, cavity, gas supply or meter"
               : "A loss that refills do not bring back: optics, cavity, gas supply or meter; the "
                 "log cannot tell them apart";
}

const char *report_cause_words(const bt_drift *drift, const bt_cause *cause) {
  const uint32_t shown = BT_FACT_CLEANING_RESTORED | BT_FACT_BOTTLE_RESTORED |
                         BT_FACT_METER_DIFFERS | BT_FACT_METER_SHARED;
  switch (cause->kind) {
  case BT_CAUSE_GAS_AGEING:
    return drift->loss > 0 ? "Gas ageing: it climbs more inside the fills than in the baseline"
                           : "Gas ageing: the fills lose more than in the baseline";
  case BT_CAUSE_NOT_RESTORED_BY_REFILL:
    return not_restored(drift->loss > 0, (cause->evidence & shown) != 0);
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

/* Whom to ask of that cause. */
static const char *whom_to_ask(bt_cause_kind kind) {
  switch (kind) {
  case BT_CAUSE_GAS_AGEING:
    return "Show the change inside the fills to the manufacturer's engineer, with the batch of the "
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

/* The new meter and the laser changed on one day, as far as the log goes. */
static const char old_meter[] =
    "Have the old meter read the laser beside the new one, on one day: what the two differ by is "
    "the meter's, the rest of the change is the laser's. Keep the result with the record.";

static const char new_baseline[] =
    "If it is the meter, freeze a new baseline from the change on, once there are 8 days or more: "
    "its limits are of the old meter, so that alarms on either side may be of the meter alone "
    "(“beamtally baseline --from DATE --to DATE”).";

/* Whether a meter is among the causes, but not the first one. */
static bool asks_meter_too(const bt_drift *drift) {
  bool asks = false;
  for (size_t c = 1; c < drift->causes_n; c++)
    asks = asks || drift->causes[c].kind == BT_CAUSE_METER;
  return asks;
}

/* Long, as each sentence is one condition more, in the order in which they are told. */
bool report_drift_next(const bt_unit_study *unit, const bt_drift *drift, size_t i, bt_text *out) {
  const char *steps[11];
  size_t n = 0, failed, points;
  bool given = drift->forecast.use == BT_FORECAST_GIVEN;
  if (drift->forecast.use == BT_FORECAST_BEYOND)
    steps[n++] = "Tell the responsible person at once: single checks must be expected outside "
                 "tolerance.";
  bool passed = report_drift_passed(unit, drift) != REPORT_PASSED_NONE;
  if (passed && !report_is_measured(unit))
    steps[n++] = "Measure now and import it, if nobody has since: the day from which a failing "
                 "check is possible has passed.";
  if (drift->far_n > drift->far_before)
    steps[n++] = "Look the readings that were left out up in the log; one that was mistyped is put "
                 "right with “beamtally correct”.";
  bool with_meter = report_drift_meter_change(unit, drift) != NULL;
  if (with_meter)
    steps[n++] = old_meter;
  if (with_meter && bt_study_open_strength(drift->study) != BT_QUIET)
    steps[n++] = new_baseline;
  if (!with_meter && asks_meter_too(drift)) /* the least to do, and soonest done */
    steps[n++] = whom_to_ask(BT_CAUSE_METER);
  if (drift->causes_n > 0 && !(with_meter && drift->causes[0].kind == BT_CAUSE_METER))
    steps[n++] = whom_to_ask(drift->causes[0].kind);
  else if (drift->causes_n == 0 && report_drift_is_changed(drift))
    steps[n++] = "Compare the dates with what was done to the laser, the meter and the room, and "
                 "write down what is missing: “beamtally event”.";
  if (given)
    steps[n++] = passed ? "Agree on the service visit now; the responsible person decides about "
                          "treatment."
                        : "Agree on a service visit before it comes to that; the responsible "
                          "person decides about treatment.";
  if (report_drift_looks_back(drift) && drift->look_back.days > 0)
    steps[n++] = "Let the responsible person judge whether the days of the change are affected; "
                 "they are listed below.";
  if (report_is_shaky(drift->study)) /* before a step that says to freeze */
    steps[n++] = "Do not freeze the provisional limits: the days that they come from drift "
                 "themselves. Choose a period without drift: “beamtally baseline --from DATE --to "
                 "DATE”.";
  if (report_drift_is_constant(drift))
    steps[n++] =
        "Ask whether this reading is meant to be the same each time; else log more digits. "
        "Nothing here says that it has not changed.";
  else if (drift->use == BT_DRIFT_COARSE)
    steps[n++] =
        "Log more digits: as logged no drift can be seen, and nothing here says that it has not changed.";
  else if (report_is_barred(drift->study, &failed, &points))
    steps[n++] = "Compare the tolerance with its source, and its unit with that of the readings "
                 "(“beamtally settings --show”): points outside it make no baseline. Until there "
                 "is one nothing here says that it has not changed.";
  else if (drift->use == BT_DRIFT_OTHER_TARGET)
    steps[n++] =
        "Freeze a baseline for the new target (“beamtally baseline”), or correct a mistyped "
        "one (“beamtally correct”). Until then nothing here says that the voltage has not "
        "changed.";
  else if (drift->use != BT_DRIFT_LOOKED_AT)
    steps[n++] = "Go on checking: it is looked at as soon as there is enough. Until then nothing "
                 "here says that it has not changed.";
  else if (n == 0 && drift->has_alarm)
    steps[n++] = "Look at the open alarm with the responsible person, and tell the manufacturer's "
                 "engineer; nothing here says what it is.";
  else if (n == 0)
    steps[n++] = drift->has_notice ? "Look again after the next checks: a notice is open."
                                   : "Keep to your schedule of checks.";
  bt_text_clear(out);
  if (i < n)
    bt_text_add(out, steps[i]);
  return i < n;
}
