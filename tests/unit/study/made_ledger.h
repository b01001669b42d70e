/* A ledger in a temporary file, filled check by check, for tests of the study room. */
#ifndef MADE_LEDGER_H
#define MADE_LEDGER_H

#include "study_room.h"

#include <criterion/criterion.h>

typedef struct made_ledger {
  char path[64];
  bt_ledger *ledger;
  bt_import *import;
  int64_t line;
} made_ledger;

/* An empty ledger that takes checks and events of "Unit A" until made_finish. */
void made_begin(made_ledger *made);

/* Moment of a day counted from 2026-01-01 (day 0). */
bt_time made_time(int day, int hour, int minute);

/* A check with one or two readings; BT_READING_COUNT as the second reading: none. */
void made_check(made_ledger *made, bt_time at, bt_reading first, double a, bt_reading second,
                double b);
void made_full_check(made_ledger *made, bt_check check);
void made_event(made_ledger *made, bt_time at, bt_event_kind kind);
void made_finish(made_ledger *made);

/* Tolerance of one characteristic for Unit A; call after made_finish. */
void made_tolerance(made_ledger *made, bt_characteristic characteristic, double low, double high);

/* Freezes a baseline of those days, screened, drift accepted; gives its version. */
int64_t made_freeze(made_ledger *made, bt_characteristic characteristic, int from, int to);

/* A further log, after made_finish; it ends with made_finish as well. */
void made_again(made_ledger *made, const char *name);

/* A standard normal number of a seeded sequence. */
double made_normal(uint64_t *state);

/* The study of one characteristic, as of day 10,000 unless the request says otherwise. Owned. */
bt_unit_study *made_study(made_ledger *made, bt_study_request request);
void made_end(made_ledger *made);

#endif
