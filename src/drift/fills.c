/* Gas fills of a unit: the spans between refills.
 *
 * Requirements
 *   F1  A refill is a gas_refill event, or a check whose own row says that one came before it (its
 *       moment is the check's time) or after it (one second later: the check is of the old fill).
 *   F2  Before the first of these, after the last, and where there are none at all, refills are
 *       read off the logged fill age (fills_logged.c): a list of refills often ends before the log
 *       does.
 *   F3, F4  Which refills are one: refills.c.
 *   F5  Where the log begins before the first refill, the first fill begins at the first check and
 *       its start isn't known; unless its age is logged and reaches back to that check: then it
 *       begins at that check's time less its age.
 *   F6  A fill ends at the next refill; the last one at the last check (or where it began, when it
 *       was filled after that).
 *   F7  interval_days is the median length of the whole fills: start known, ended by a refill.
 *   F8  Where no check is logged yet, the fills are those that refill events begin; the last one
 *       ends where it began.
 *   F9  Where neither a refill nor a fill age is logged at all, refills are read off the pulse
 *       counter of the fill (fills_logged.c).
 *
 * Source: this program's design, section 7. Checked by hand-written histories
 * (tests/unit/drift/fills.c). */
#include "beamtally/drift.h"
#include "drift_refills.h"

#include <gsl/gsl_sort.h>
#include <gsl/gsl_statistics_double.h>
#include <stdlib.h>

/* F1 */
static bool collect_recorded(const bt_history *history, drift_refills *list) {
  for (size_t e = 0; e < history->events_n; e++) {
    const bt_event *event = &history->events[e];
    if (event->kind == BT_EVENT_GAS_REFILL &&
        !drift_refill_add(list, event->time, event->has_clock, false))
      return false;
  }
  for (size_t i = 0; i < history->n; i++) {
    if (history->refill[i] == BT_REFILL_NONE)
      continue;
    bt_time at = history->at[i] + (history->refill[i] == BT_REFILL_AFTER ? 1 : 0);
    if (!drift_refill_add(list, at, history->has_clock[i] != 0, true))
      return false;
  }
  return true;
}

/* F7 */
static bool set_interval(bt_fills *fills) {
  double *length = bt_new(fills->n, sizeof *length);
  if (length == NULL)
    return false;
  size_t whole = 0;
  for (size_t f = 0; f + 1 < fills->n; f++)
    if (fills->fill[f].start_known)
      length[whole++] = (double)(fills->fill[f].to - fills->fill[f].from) / (double)BT_DAY;
  gsl_sort(length, 1, whole);
  fills->interval_days = whole == 0 ? 0 : gsl_stats_median_from_sorted_data(length, 1, whole);
  free(length);
  return true;
}

/* F5, F6, F8: fills from the joined refills. */
static bool set_fills(const bt_history *history, const drift_refills *list, bool has_first,
                      bt_time first, bt_fills *fills) {
  bool any = history->n > 0;
  bool early = any && (list->n == 0 || list->item[0].at > history->at[0]);
  fills->fill = bt_new(list->n + 1, sizeof *fills->fill);
  if (fills->fill == NULL)
    return false;
  if (early)
    fills->fill[fills->n++] =
        (bt_fill){.from = has_first ? first : history->at[0], .start_known = has_first};
  for (size_t r = 0; r < list->n; r++)
    fills->fill[fills->n++] = (bt_fill){.from = list->item[r].at, .start_known = true};

  bt_time last = any ? history->at[history->n - 1] : INT64_MIN;
  for (size_t f = 0; f < fills->n; f++) {
    bt_fill *fill = &fills->fill[f];
    fill->to = f + 1 < fills->n ? fill[1].from : last > fill->from ? last : fill->from;
  }
  return set_interval(fills);
}

bt_status bt_fills_find(const bt_history *history, bt_fills *fills, bt_error *error) {
  *fills = (bt_fills){0};
  for (size_t i = 0; i < history->n && !fills->from_log; i++)
    fills->from_log = drift_has_age(history, i);

  drift_refills list = {0};
  bool has_first = false, done = false;
  bt_time first = 0, recorded_from = INT64_MAX, recorded_to = INT64_MIN;
  if (!collect_recorded(history, &list))
    goto done;
  for (size_t r = 0; r < list.n; r++) {
    if (list.item[r].at < recorded_from)
      recorded_from = list.item[r].at;
    if (list.item[r].at > recorded_to)
      recorded_to = list.item[r].at;
  }
  if (!drift_refills_by_age(history, recorded_from, &list, &has_first, &first))
    goto done;
  if (recorded_to != INT64_MIN && !drift_refills_by_age_after(history, recorded_to, &list))
    goto done;
  if (list.n == 0 && !fills->from_log) { /* F9 */
    if (!drift_refills_by_counter(history, &list))
      goto done;
    fills->from_counter = list.n > 0;
  }
  drift_refills_join(&list);
  done = set_fills(history, &list, has_first, first, fills);
done:
  free(list.item);
  if (!done) {
    bt_fills_free(fills);
    return bt_fail_memory(error);
  }
  return BT_OK;
}
