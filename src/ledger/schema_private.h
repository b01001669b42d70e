/* The structure of a ledger: made, told by its digest, and compared with ours. */
#ifndef LEDGER_SCHEMA_PRIVATE_H
#define LEDGER_SCHEMA_PRIVATE_H

#include "beamtally/ledger.h"

#include <sqlite3.h>

/* Makes those tables that aren't there, and all triggers, of which there is none yet. */
bt_status ledger_schema_complete(bt_ledger *ledger, bt_error *error) BT_MUST_CHECK;

/* The same in any connection; SQLite's code. */
int ledger_schema_run(sqlite3 *db);

/* Of a ledger's structure, and what it is for a version, up to today's: see migrate.c. */
bt_status ledger_schema_digest(bt_ledger *ledger, char digits[2 * BT_SHA256_BYTES + 1],
                               bt_error *error) BT_MUST_CHECK;
const char *ledger_schema_known(int64_t version);

/* Rows by which schemas are compared. */
#define LEDGER_SCHEMA_ROWS                                                                         \
  "SELECT type, name, tbl_name, coalesce(sql, '') FROM main.sqlite_schema ORDER BY type, name"

/* BT_DAMAGED naming the first table, index, trigger or view that is not as ours
 * (schema_compare.c). */
bt_status ledger_schema_compare(bt_ledger *ledger, bt_error *error) BT_MUST_CHECK;

#endif
