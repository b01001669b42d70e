/* Where the CUSUM begins anew, with headstart.
 *
 * R1 Both sides restart at the first judged point after a service, recalibration, cleaning or meter
 *    change, and after a person asked for it with a disposition of this characteristic.
 * R2 Of two causes before one point the later counts.
 * R3 A cause before a baseline's last point belongs to no point that it judges: its limits saw what
 *    came of it. One after that point does, on the baseline's last day as well, and then the sums
 *    begin Phase II with their headstart. */
#include "study_room.h"

#include <stdlib.h>
#include <string.h>

static bool restarts_cusum(bt_event_kind kind) {
  return kind == BT_EVENT_SERVICE || kind == BT_EVENT_RECALIBRATION ||
         kind == BT_EVENT_OPTICS_CLEANED || kind == BT_EVENT_METER_CHANGED;
}

static int by_time(const void *a, const void *b) {
  const bt_restart *first = a, *second = b;
  if (first->at != second->at)
    return first->at < second->at ? -1 : 1;
  return (int)first->resolved - (int)second->resolved;
}

/* R1: all causes in order of their time; points are found later. */
static size_t gather(const bt_study *study, const study_place *place, bt_restart *causes) {
  const bt_history *history = place->history;
  size_t n = 0;
  for (size_t e = 0; e < history->events_n; e++)
    if (restarts_cusum(history->events[e].kind))
      causes[n++] = (bt_restart){.at = history->events[e].time, .kind = history->events[e].kind};
  for (size_t d = 0; d < place->dispositions_n; d++) {
    const bt_disposition *disposition = &place->dispositions[d];
    if (disposition->restart && strcmp(disposition->characteristic, study->quantity.key) == 0)
      causes[n++] = (bt_restart){.at = disposition->at, .kind = BT_EVENT_OTHER, .resolved = true};
  }
  qsort(causes, n, sizeof *causes, by_time);
  return n;
}

/* R3. Without a point of Phase I it is the baseline's first day that counts. */
static bool came_before(const bt_study *study, const bt_segment *segment, bt_time at) {
  return segment->phase2 > segment->from ? at <= study->points.at[segment->phase2 - 1]
                                         : at < segment->baseline.from;
}

bt_status study_restarts(bt_study *study, const study_place *place, bt_error *error) {
  bt_cusum *cusum = &study->cusum;
  size_t most = place->history->events_n + place->dispositions_n;
  bt_restart *found = bt_new(most, sizeof *found);
  if (found == NULL)
    return bt_fail_memory(error);
  size_t causes = gather(study, place, found), kept = 0, p = 0;
  for (size_t c = 0; c < causes; c++) {
    bt_restart cause = found[c];
    while (p < study->points.n && (study->points.at[p] < cause.at || study->judged[p] != 1))
      p++;
    if (p == study->points.n)
      break;
    const bt_segment *segment = &study->segments[study->points.segment[p]];
    if (came_before(study, segment, cause.at)) /* R3 */
      continue;
    if (kept > 0 && found[kept - 1].point == p) /* R2 */
      kept--;
    cause.point = p;
    found[kept++] = cause;
  }
  cusum->restarts = found;
  cusum->restarts_n = kept;
  return BT_OK;
}
