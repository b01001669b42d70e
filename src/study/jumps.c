/* Jumps back behind signals that no recorded event explains: neither an event from the day of the
 * point before up to the jump, nor a refill between the two. */
#include "study_room.h"

static bool has_event(const study_place *place, bt_time after, bt_time until) {
  const bt_history *history = place->history;
  for (size_t i = 0; i < history->events_n; i++)
    if (bt_day_of(history->events[i].time) >= bt_day_of(after) && history->events[i].time <= until)
      return true;
  for (size_t i = 0; i < place->fills->n; i++)
    if (place->fills->fill[i].from > after && place->fills->fill[i].from <= until)
      return true;
  return false;
}

bt_status study_jumps(bt_study *study, const study_place *place, bt_error *error) {
  const bt_segment *now = bt_study_now(study);
  const bt_series *points = &study->points;
  if (now == NULL || now->state != BT_CHART_DRAWN || !(now->chart.mr_ucl > 0))
    return BT_OK;
  const bt_jump_basis basis = {.n = points->n,
                               .phase2 = now->phase2,
                               .value = points->value,
                               .moving_range = study->moving_range,
                               .has_range = study->has_range,
                               .judged = study->judged,
                               .rules = {study->rules[BT_LOW], study->rules[BT_HIGH]},
                               .range_limit = now->chart.mr_ucl};
  size_t found = 0;
  bt_status status = bt_jumps_find(&basis, &study->jumps, &found, error);
  for (size_t i = 0; i < found; i++) {
    const bt_jump *jump = &study->jumps[i];
    if (!has_event(place, points->at[jump->before], points->at[jump->at]))
      study->jumps[study->jumps_n++] = *jump;
  }
  return status;
}
