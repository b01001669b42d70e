/* The temporary tables of an import, and the memory that it may take.
 *
 * `staging` holds those rows of the log that meet other records, in order of (unit, time, arrival):
 * its `sequence` is the row's number in the file, its texts are the texts themselves. `fresh`
 * brings the digests of what was added back into the order of lines. `staging_own` holds the rows'
 * readings of the clinic's own characteristics, `seen_event` how many events of a unit, time,
 * kind and note the log has had, and how many of them the ledger knew. All are files that have no
 * name, and go with the transaction. */
#include "ledger_private.h"
#include "sql_private.h"
#include "staging_private.h"

#define STAGING_READING(ID, key, ...) ", " #key " REAL"
#define STAGING_TEXT(ID, key)         ", " #key " TEXT"
#define STAGING_COLUMNS                                                                            \
  "unit INTEGER, time INTEGER, sequence INTEGER, has_clock INTEGER, source INTEGER, "              \
  "line INTEGER, last_line INTEGER, state INTEGER, refill INTEGER" BT_READINGS(STAGING_READING)    \
      BT_TEXTS(STAGING_TEXT) ", digest BLOB"

static const char make_sql[] =
    "CREATE TABLE temp.staging (" STAGING_COLUMNS ", PRIMARY KEY (unit, time, sequence)) "
    "STRICT, WITHOUT ROWID;"
    "CREATE TABLE temp.fresh (line INTEGER, unit INTEGER, time INTEGER, sequence INTEGER, "
    "digest BLOB, PRIMARY KEY (line, unit, time, sequence)) STRICT, WITHOUT ROWID;"
    "CREATE TABLE temp.staging_own (unit INTEGER, time INTEGER, sequence INTEGER, own INTEGER, "
    "value REAL, PRIMARY KEY (unit, time, sequence, own)) STRICT, WITHOUT ROWID;"
    "CREATE TABLE temp.seen_event (unit INTEGER, time INTEGER, kind TEXT, note TEXT, n INTEGER, "
    "known INTEGER, PRIMARY KEY (unit, time, kind, note)) STRICT, WITHOUT ROWID";

/* Room for pages of the tables and of the temporary ones, in KiB: 64 MB together. */
static const char large_caches[] =
    "PRAGMA main.cache_size = -40000; PRAGMA temp.cache_size = -24000";
static const char usual_caches[] = "PRAGMA main.cache_size = -2000; PRAGMA temp.cache_size = -500";

bt_status ledger_staging_make(bt_ledger *ledger, bt_error *error) {
  bt_status status = ledger_run(ledger, large_caches, error);
  return status == BT_OK ? ledger_run(ledger, make_sql, error) : status;
}

bt_status ledger_staging_drop(bt_ledger *ledger, bt_error *error) {
  return ledger_run(ledger,
                    "DROP TABLE temp.staging; DROP TABLE temp.fresh; DROP TABLE temp.staging_own; "
                    "DROP TABLE temp.seen_event",
                    error);
}

void ledger_staging_shrink(bt_ledger *ledger) {
  /* Only memory: nothing is lost when the caches stay large. */
  (void)sqlite3_exec(ledger->db, usual_caches, NULL, NULL, NULL);
  (void)sqlite3_db_release_memory(ledger->db);
}
