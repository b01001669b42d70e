/* A ledger while it is open: its file, its version, and what readers see of it. Not for other
 * rooms. */
#ifndef LEDGER_PRIVATE_H
#define LEDGER_PRIVATE_H

#include "beamtally/ledger.h"

#include <sqlite3.h>

enum {
  LEDGER_APPLICATION_ID = 0x42544C47, /* "BTLG" */
  LEDGER_VERSION = 6
};

/* The copy of a ledger of an older version (migrate_copy.c). */
typedef struct ledger_kept {
  char *path;            /* NULL: the ledger was of today's version */
  bool was_there;        /* a migration that was killed had made it */
  int64_t parts_removed; /* of such migrations */
} ledger_kept;

struct bt_ledger {
  sqlite3 *db;
  char *path;
  bt_ledger_mode mode;
  bool unguarded; /* opened to be looked at although triggers are missing */
  bool begun;     /* by this opening, and nothing was entered since */
  ledger_kept kept;
  int64_t as_of;         /* entry that readers see the ledger after; 0: all of it */
  bool unended;          /* a transaction that failed could not be rolled back either */
  bool known_whole;      /* verified through this connection ... */
  int64_t whole_version; /* ... while others had written so far (PRAGMA data_version) */
};

/* The last entry that readers see (as_of.c). */
int64_t ledger_last_seen(const bt_ledger *ledger);

#endif
