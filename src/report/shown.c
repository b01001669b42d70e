/* What of a study is shown: spans of points, gas fills, which sides are open, and alarm points. */
#include "report_study.h"

void report_between(const bt_series *series, bt_time from, bt_time to, size_t *first,
                    size_t *last) {
  *first = bt_series_from(series, from);
  *last = bt_series_from(series, to);
  if (*last < *first)
    *last = *first;
}

bool report_is_judged(const bt_study *of) {
  return !bt_characteristic_is_covariate(of->characteristic);
}

const bt_episode *report_open_on(const bt_study *of, bt_side side) {
  for (size_t i = of->episodes_n; i > 0 && report_is_judged(of); i--) {
    const bt_episode *episode = &of->episodes[i - 1];
    if (episode->side == side && bt_study_is_open(of, episode))
      return episode;
  }
  return NULL;
}

report_alarms report_alarms_of(const bt_study *of, const bt_episode *episode) {
  report_alarms found = {.first = BT_NONE, .last = BT_NONE};
  for (size_t p = episode->first; p <= episode->last && p < of->points.n; p++)
    if ((of->rules[episode->side][p] & BT_ALARM_RULES) != 0) {
      found.first = found.n++ == 0 ? p : found.first;
      found.last = p;
    }
  return found;
}

bool report_is_open_side(const bt_study *of, bt_side side) {
  bt_strength open = bt_study_open_strength_on(of, side);
  return open != BT_QUIET && open == bt_study_open_strength(of);
}

bool report_began_in(const bt_fill *fill, bt_time from, bt_time to) {
  return fill->start_known && fill->from >= from && fill->from < to;
}

size_t report_refills(const bt_unit_study *unit, bt_time from, bt_time to) {
  size_t n = 0;
  for (size_t i = 0; i < unit->fills.n; i++)
    n += report_began_in(&unit->fills.fill[i], from, to);
  return n;
}

static bool notes_a_refill(const bt_history *history) {
  bool notes = false;
  for (size_t e = 0; e < history->events_n && !notes; e++)
    notes = history->events[e].kind == BT_EVENT_GAS_REFILL;
  for (size_t i = 0; i < history->n && history->refill != NULL && !notes; i++)
    notes = history->refill[i] != BT_REFILL_NONE;
  return notes;
}

const char *report_refills_from(const bt_unit_study *unit) {
  return unit->fills.from_counter ? " (read off the pulse counter)"
         : unit->fills.from_log && !notes_a_refill(&unit->history)
             ? " (read off the logged age of the gas)"
             : "";
}
