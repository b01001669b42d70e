/* Refills while they are gathered, and which of them are one.
 *
 * Requirements
 *   F3  Two refills within 6 hours are one, from the later.
 *   F4  A refill without a clock time may have been at any time of its day: with another of that
 *       day it is one refill, and the moment is that noted in a check's row (which says on which
 *       side of it the reading lies), else the one with a clock, else the later.
 *
 * Source: this program's design, the 6-hour rule of section 5. Checked by hand-written histories
 * (tests/unit/drift/fills.c). */
#include "drift_refills.h"

#include <stdlib.h>

bool drift_refill_add(drift_refills *list, bt_time at, bool has_clock, bool in_row) {
  if (!bt_grow(&list->item, &list->capacity, list->n + 1, sizeof *list->item))
    return false;
  list->item[list->n++] = (drift_refill){.at = at, .has_clock = has_clock, .in_row = in_row};
  return true;
}

static int by_time(const void *a, const void *b) {
  const drift_refill *first = a, *second = b;
  return (first->at > second->at) - (first->at < second->at);
}

/* True and the joined refill in *first when the two are one. *first is the earlier. */
static bool join(drift_refill *first, const drift_refill *second) {
  bool one_day = bt_day_of(first->at) == bt_day_of(second->at);
  if (one_day && !(first->has_clock && second->has_clock)) { /* F4 */
    bool keep_first =
        first->in_row != second->in_row ? first->in_row : first->has_clock && !second->has_clock;
    if (!keep_first)
      *first = *second;
    return true;
  }
  if (second->at - first->at > 6 * BT_HOUR)
    return false;
  *first = *second; /* F3 */
  return true;
}

void drift_refills_join(drift_refills *list) {
  if (list->n == 0)
    return;
  qsort(list->item, list->n, sizeof *list->item, by_time);
  size_t kept = 0;
  for (size_t r = 1; r < list->n; r++)
    if (!join(&list->item[kept], &list->item[r]))
      list->item[++kept] = list->item[r];
  list->n = kept + 1;
}
