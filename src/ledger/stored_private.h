/* Checks as stored, one by one, with the texts and readings that they own (stored.c), and the
 * finding of the one that a person means (find_check.c). */
#ifndef LEDGER_STORED_PRIVATE_H
#define LEDGER_STORED_PRIVATE_H

#include "beamtally/ledger.h"

#include "row_private.h"

#include <sqlite3.h>

/* A row of `checks` or `held` that owns its texts and readings. */
typedef struct ledger_stored {
  bt_check check; /* texts that were removed are NULL; own readings in order of key */
  int64_t unit, source;
  int64_t text[BT_FIELD_COUNT]; /* rows of `text`, of removed ones too; 0 where there is none */
} ledger_stored;

typedef struct ledger_stored_list {
  ledger_stored *row;
  size_t n, capacity;
} ledger_stored_list;

void ledger_stored_free(ledger_stored_list *list);

/* What a query of `checks AS c` or `held AS c` selects for ledger_stored_read. */
#define LEDGER_STORED_COLUMNS LEDGER_CHECK_COLUMNS

/* Rows of unit and time, in order of sequence. */
#define LEDGER_STORED_CHECKS                                                                       \
  "SELECT " LEDGER_STORED_COLUMNS " FROM main.checks AS c WHERE c.unit = ?1 AND c.time = ?2 "
#define LEDGER_STORED_HELD                                                                         \
  "SELECT " LEDGER_STORED_COLUMNS " FROM main.held AS c WHERE c.unit = ?1 AND c.time = ?2 "

/* Appends all rows of a statement whose parameters are bound. `held` tells the table. BT_DAMAGED
 * names the first that is not as its digest has it. */
bt_status ledger_stored_read(bt_ledger *ledger, sqlite3_stmt *statement, bool held,
                             ledger_stored_list *list, bt_error *error) BT_MUST_CHECK;

/* The checks of that unit and time that stood before that entry (LEDGER_NOW: that stand), in order
 * of sequence. */
#define LEDGER_NOW INT64_MAX
bt_status ledger_stored_standing(bt_ledger *ledger, int64_t unit, bt_time time, int64_t before,
                                 ledger_stored_list *list, bt_error *error) BT_MUST_CHECK;

/* The check of that key, whether it stands or not: none or one row. */
bt_status ledger_stored_one(bt_ledger *ledger, int64_t unit, bt_time time, int32_t sequence,
                            ledger_stored_list *list, bt_error *error) BT_MUST_CHECK;

typedef struct ledger_place {
  int64_t unit;
  bt_time time;
  int32_t sequence;
} ledger_place;

/* The check of that place that stands, its memory the caller's; `name` is the unit's as asked for.
 * As bt_ledger_find_check otherwise; BT_REFUSED for one that no longer stands. */
bt_status ledger_find_standing(bt_ledger *ledger, const char *name, const ledger_place *place,
                               bool has_sequence, ledger_stored *found,
                               bt_error *error) BT_MUST_CHECK;

#endif
