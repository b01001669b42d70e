/* The rows of one unit in one import, counted. */
#ifndef LEDGER_TALLY_PRIVATE_H
#define LEDGER_TALLY_PRIVATE_H

#include "beamtally/record.h"

typedef struct ledger_tally {
  int64_t unit;
  int64_t rows, fresh, known, conflicts, held_before;
  bt_told_rows twins, reworded;
  bool asked, any; /* whether the ledger was asked for the span below, and has any check of it */
  bt_time oldest, newest;
} ledger_tally;

#endif
