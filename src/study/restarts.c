/* Where the CUSUM begins anew, with headstart.
 *
 * R1 Both sides restart at the first judged point after a service, recalibration, cleaning or meter
 *    change, and after an action that a person noted with a disposition of this characteristic:
 *    after the last point of its episode, unless the disposition says when the action was done.
 *    When it was typed in doesn't matter.
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

static bt_restart of_disposition(const bt_disposition *disposition) {
  bool said = disposition->restart_at != 0;
  return (bt_restart){.at = said ? disposition->restart_at : disposition->to,
                      .kind = BT_EVENT_OTHER,
                      .resolved = true,
                      .ended = !said};
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
      causes[n++] = of_disposition(disposition);
  }
  qsort(causes, n, sizeof *causes, by_time);
  return n;
}

static bool is_after(bt_time point, const bt_restart *cause) {
  return cause->ended ? point > cause->at : point >= cause->at;
}

/* R3. Without a point of Phase I it is the baseline's first day that counts. */
static bool came_before(const bt_study *study, const bt_segment *segment, const bt_restart *cause) {
  if (segment->phase2 == segment->from)
    return cause->at < segment->baseline.from;
  bt_time last = study->points.at[segment->phase2 - 1];
  return cause->ended ? cause->at < last : cause->at <= last;
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
    while (p < study->points.n && (!is_after(study->points.at[p], &cause) || study->judged[p] != 1))
      p++;
    if (p == study->points.n)
      break;
    const bt_segment *segment = &study->segments[study->points.segment[p]];
    if (came_before(study, segment, &cause)) /* R3 */
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
