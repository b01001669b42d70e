/* What to do next of a drift: measure where its day has passed, and whom to tell before which day.
 */
#include "report_next.h"

#include <math.h>

static const char *chance(const bt_drift *drift) {
  return drift->forecast.has_fail_5 ? "1-in-20" : "1-in-2";
}

/* The told drift with the nearest day, among those whose day has passed or those whose day has not;
 * NULL where there is none. */
static const bt_drift *nearest(const bt_unit_study *unit, bool passed) {
  const bt_drift *found = NULL;
  for (size_t i = 0; unit->drift != NULL && i < unit->drift->n; i++) {
    const bt_drift *drift = &unit->drift->drift[i];
    bool over = report_drift_passed(unit, drift) != REPORT_PASSED_NONE;
    if (report_drift_is_told(drift) && over == passed && report_drift_first_day(drift) < HUGE_VAL &&
        (found == NULL || report_drift_first_day(drift) < report_drift_first_day(found)))
      found = drift;
  }
  return found;
}

/* "Fluence and Pulse-energy ratio" of those that `is`; how many. */
static size_t add_titles(const bt_unit_study *unit,
                         bool (*is)(const bt_unit_study *, const bt_drift *), bt_text *out) {
  size_t n = 0, named = 0;
  for (size_t i = 0; unit->drift != NULL && i < unit->drift->n; i++)
    n += is(unit, &unit->drift->drift[i]);
  for (size_t i = 0; n > 0 && i < unit->drift->n; i++)
    if (is(unit, &unit->drift->drift[i])) {
      bt_text_format(out, "%s%s", report_list_join(named++, n),
                     unit->drift->drift[i].study->quantity.title);
    }
  return n;
}

static bool is_beyond(const bt_unit_study *unit, const bt_drift *drift) {
  (void)unit;
  return report_drift_is_told(drift) && drift->forecast.use == BT_FORECAST_BEYOND;
}

/* An alarm, or a failed check, has a step that says the same. */
static bool is_without_alarm(const bt_unit_study *unit, const bt_drift *drift) {
  (void)unit;
  return report_drift_is_told(drift) && report_is_judged(drift->study) &&
         bt_study_shown_verdict(drift->study) != BT_VERDICT_ALARM &&
         bt_study_shown_verdict(drift->study) != BT_VERDICT_OUT_OF_TOLERANCE;
}

/* ": the mean at a fill's end is 0.9671." */
static void add_beyond(const bt_unit_study *unit, size_t n, bt_text *out) {
  const bt_drift *drift = unit->drift->drift;
  while (!is_beyond(unit, drift))
    drift++;
  if (n > 1) {
    bt_text_add(out, ", as their means are just before a refill.");
    return;
  }
  bt_text_format(out, ": the mean%s is ", report_end_of_fill(drift));
  report_add_value(out, &drift->study->quantity, drift->oldest_now,
                   report_decimals(&drift->study->quantity, drift->sigma));
  bt_text_add(out, ".");
}

void report_measure_step(const bt_unit_study *unit, bool brief, bt_text *out) {
  char day[REPORT_DATE_TEXT], end[REPORT_DATE_TEXT];
  bt_text names = {0};
  const bt_drift *passed = report_is_measured(unit) ? NULL : nearest(unit, true);
  size_t beyond = add_titles(unit, is_beyond, &names);
  if (beyond > 0) {
    bt_text_format(out,
                   "Technician: tell the responsible person at once: single checks of %s must be "
                   "expected outside tolerance",
                   bt_text_get(&names));
    add_beyond(unit, beyond, out);
  }
  if (passed != NULL && brief)
    bt_text_format(out, "%sTechnician, before surgery: measure; the %s day of %s, %s, has passed.",
                   bt_text_empty(out) ? "" : " ", chance(passed), passed->study->quantity.title,
                   report_drift_date(report_drift_first_day(passed), day));
  else if (passed != NULL)
    bt_text_format(out,
                   "%sTechnician, before the next surgery day: measure, and import the log, if no "
                   "check was made after %s; the %s day of %s, %s, has passed.",
                   bt_text_empty(out) ? "" : " ", report_drift_log_end(passed, end), chance(passed),
                   passed->study->quantity.title,
                   report_drift_date(report_drift_first_day(passed), day));
  report_text_pass(&names, out);
}

bool report_asks_to_measure(const bt_unit_study *unit) {
  return !report_is_measured(unit) && nearest(unit, true) != NULL;
}

bool report_asks_to_measure_of(const bt_unit_study *unit, const bt_study *of) {
  bool asks = false;
  for (size_t i = 0; !report_is_measured(unit) && unit->drift != NULL && i < unit->drift->n; i++) {
    const bt_drift *drift = &unit->drift->drift[i];
    asks |= drift->study == of && report_drift_is_told(drift) &&
            report_drift_passed(unit, drift) != REPORT_PASSED_NONE;
  }
  return asks;
}

void report_visit_clause(const bt_unit_study *unit, bt_text *out) {
  char day[REPORT_DATE_TEXT];
  const bt_drift *next = nearest(unit, false);
  double today = (double)bt_day_of(report_known_to(unit) - 1);
  if (nearest(unit, true) != NULL || (next != NULL && floor(report_drift_first_day(next)) <= today))
    bt_text_add(out, ": agree on a visit now");
  else if (next != NULL)
    bt_text_format(out, ": agree on a visit before %s (the %s day of %s)",
                   report_drift_date(report_drift_first_day(next), day), chance(next),
                   next->study->quantity.title);
}

void report_drift_step(const bt_unit_study *unit, bt_text *out) {
  bt_text names = {0};
  if (add_titles(unit, is_without_alarm, &names) > 0) {
    bt_text_format(out,
                   "Responsible person: show the manufacturer’s engineer what %s did since the "
                   "change",
                   bt_text_get(&names));
    report_visit_clause(unit, out);
    bt_text_add(out, ".");
  }
  report_text_pass(&names, out);
}

/* Its limits are of before the meter change, and something is open by them. */
static bool is_judged_by_old_meter(const bt_study *of, const bt_event *change) {
  const bt_segment *now = bt_study_now(of);
  return report_has_limits(now) && bt_study_open_strength(of) != BT_QUIET &&
         of->points.n > now->from && of->points.at[now->from] < change->time;
}

/* Whether the day of the meter change begins with a point of the old meter. */
static bool has_old_point(const bt_study *of, const bt_event *change) {
  size_t point = bt_series_from(&of->points, bt_day_of(change->time) * BT_DAY);
  return point < of->points.n && of->points.at[point] < change->time;
}

/* What to do about limits of the old meter, by which even a high and a low alarm may be open at
 * once. */
static void add_limits(const bt_unit_study *unit, const bt_event *change, bool brief,
                       bt_text *out) {
  char day[BT_TIME_TEXT];
  const bt_study *first = NULL;
  size_t n = 0;
  bool after = false;
  for (size_t i = 0; i < unit->drift->n; i++) {
    const bt_drift *drift = &unit->drift->drift[i];
    if (report_drift_meter_change(unit, drift) == NULL ||
        !is_judged_by_old_meter(drift->study, change))
      continue;
    first = first == NULL ? drift->study : first;
    after |= has_old_point(drift->study, change);
    n++;
  }
  if (n == 0)
    return;
  const char *from = after ? "the day after" : "that day";
  bt_text_format(out,
                 brief ? " If it is the meter: a new baseline from %s on."
                       : " Its limits are of the old meter, so that alarms on either side may be "
                         "of the meter alone. If it is the meter, freeze a new baseline from %s "
                         "on, once there are 8 days or more: “beamtally baseline --unit ",
                 from);
  if (brief)
    return;
  bt_text_add_shell_word(out, unit->history.unit);
  bt_text_format(out, " --characteristic %s --from %s --to DATE --by NAME --why TEXT”",
                 first->quantity.key, bt_time_day_iso(change->time + (after ? BT_DAY : 0), day));
  bt_text_add(out, n > 1 ? ", and the same for the others." : ".");
}

void report_meter_step(const bt_unit_study *unit, bt_time since, bool brief, bt_text *out) {
  char day[REPORT_DATE_TEXT];
  const bt_event *event = NULL;
  size_t n = 0, named = 0;
  for (size_t i = 0; unit->drift != NULL && i < unit->drift->n; i++) {
    const bt_event_effect *meter = report_drift_meter_change(unit, &unit->drift->drift[i]);
    if (meter == NULL || unit->history.events[meter->event].time < since)
      continue;
    event = &unit->history.events[meter->event];
    n++;
  }
  if (n == 0)
    return;
  bt_text_add(out, "Technician: ");
  for (size_t i = 0; i < unit->drift->n; i++) {
    const bt_drift *drift = &unit->drift->drift[i];
    const bt_event_effect *meter = report_drift_meter_change(unit, drift);
    if (meter != NULL && unit->history.events[meter->event].time >= since)
      bt_text_format(out, "%s%s", report_list_join(named++, n), drift->study->quantity.title);
  }
  bt_text_format(out,
                 " changed on the day of the meter change, %s: have the old meter read the laser "
                 "beside the new one, since the log cannot tell the two apart.",
                 report_short_date(event->time, day));
  add_limits(unit, event, brief, out);
}
