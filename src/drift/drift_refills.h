/* Refills while they are gathered (refills.c): from events and rows by fills.c, and from what
 * checks log (fills_logged.c). The list is owned by whom it is handed to. */
#ifndef DRIFT_REFILLS_H
#define DRIFT_REFILLS_H

#include "beamtally/drift.h"

typedef struct drift_refill {
  bt_time at;
  bool has_clock;
  bool in_row; /* noted in a check's row */
} drift_refill;

typedef struct drift_refills {
  drift_refill *item;
  size_t n, capacity;
} drift_refills;

/* Each is false where memory is out. */
bool drift_refill_add(drift_refills *list, bt_time at, bool has_clock, bool in_row);

/* In time order, those that are one joined. */
void drift_refills_join(drift_refills *list);

/* By the ages of checks before `until`. *first is when the fill of the first such check began,
 * where its age reaches back to the first check. */
bool drift_refills_by_age(const bt_history *history, bt_time until, drift_refills *list,
                          bool *has_first, bt_time *first);
/* By the ages of checks from that recorded refill on. */
bool drift_refills_by_age_after(const bt_history *history, bt_time recorded, drift_refills *list);
bool drift_refills_by_counter(const bt_history *history, drift_refills *list);

bool drift_has_age(const bt_history *history, size_t i);

#endif
