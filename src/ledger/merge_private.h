/* The merge (merge.c) of an import with what stands, and what its files share: merge_read.c,
 * merge_fate.c. */
#ifndef LEDGER_MERGE_PRIVATE_H
#define LEDGER_MERGE_PRIVATE_H

#include "beamtally/ledger.h"

#include "compare_private.h"
#include "own_private.h"
#include "store_private.h"
#include "tally_private.h"

#include <sqlite3.h>

/* Beside the tallies: records that a wider row took the place of, texts that were left out. */
typedef struct ledger_merged {
  int64_t superseded, removed;
} ledger_merged;

/* Moves the staged rows to `checks` and `held`. */
bt_status ledger_merge(ledger_store *store, ledger_tally *tally, size_t tallies,
                       ledger_merged *merged, bt_error *error) BT_MUST_CHECK;

typedef struct ledger_merge_run {
  bt_ledger *ledger;
  ledger_store *store;
  sqlite3_stmt *groups, *rows;                                  /* over all that is staged */
  sqlite3_stmt *staged, *stored, *held;                         /* of one unit and time */
  ledger_own_reader own_rows, own_staged, own_stored, own_held; /* beside those above */
  ledger_contents incoming, must, may, instead, held_open;      /* of one unit and time */
  ledger_contents rest; /* incoming rows that met nothing yet */
  ledger_contents kept; /* contents and remarks of the stored ones */
  bool *twin;           /* of an incoming row: one before it says the same */
  size_t twin_capacity;
  unsigned char *fate, *rest_fate;
  int32_t *replaces; /* M11: sequence of the check whose place a row takes; -1 */
  size_t fate_capacity, rest_capacity, replaces_capacity;
  sqlite3_stmt *removed; /* M12; NULL where nothing was ever removed */
  unsigned left_out;     /* bit f set: text field f of the unit and time at hand */
  bool with_words;       /* contents are read with remark and operator */
  ledger_merged merged;
} ledger_merge_run;

/* How a stored row is compared, as the queries below say it after a row's columns. */
typedef enum ledger_standing {
  LEDGER_MUST_BE_MET,
  LEDGER_MAY_BE_MET,
  LEDGER_NOT_COMPARED,
  LEDGER_MET_INSTEAD, /* M10 */
  LEDGER_STANDINGS
} ledger_standing;
/* Makes the statements over what is staged and stored. The run is closed by the caller, after a
 * failure too. */
bt_status ledger_merge_open(ledger_merge_run *m, bt_error *error) BT_MUST_CHECK;
void ledger_merge_close(ledger_merge_run *m);

/* M12: finds which texts of that unit and time must not come back. */
bt_status ledger_merge_find_removed(ledger_merge_run *m, int64_t unit, bt_time time,
                                    bt_error *error) BT_MUST_CHECK;

/* Takes them out of a staged row; how many they were. */
int ledger_merge_leave_out(const ledger_merge_run *m, bt_check *check);

/* Contents of the rows that a statement gives for one unit and time, each appended to the list of
 * its standing; *n is how many rows there were. */
bt_status ledger_merge_contents(ledger_merge_run *m, sqlite3_stmt *statement,
                                ledger_own_reader *own, int64_t unit, bt_time time,
                                ledger_contents *const lists[], size_t *n,
                                bt_error *error) BT_MUST_CHECK;

/* Decides the fate of the n rows of one unit and time (M2 to M5). *hold: it is a conflict, and what
 * is ADDed goes to `held`. *next is the sequence of the first row stored. */
bt_status ledger_merge_decide(ledger_merge_run *m, int64_t unit, bt_time time, size_t n, bool *hold,
                              size_t *next, bt_error *error) BT_MUST_CHECK;

#endif
