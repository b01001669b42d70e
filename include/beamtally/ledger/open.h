/* A ledger opened and closed, and what is left beside one of an older version, which is brought up
 * to date then. */
#ifndef BEAMTALLY_LEDGER_OPEN_H
#define BEAMTALLY_LEDGER_OPEN_H

#include "beamtally/base.h"

typedef struct bt_ledger bt_ledger;

typedef enum bt_ledger_mode {
  BT_LEDGER_READ,  /* must exist */
  BT_LEDGER_WRITE, /* must exist */
  BT_LEDGER_CREATE /* made when it isn't there, and taken away when it's closed with no entry */
} bt_ledger_mode;

/* Opens a ledger defensively. A file that isn't one, or is of a newer version, is BT_REFUSED; one
 * that is damaged, or whose schema is not ours, BT_DAMAGED; a missing or empty (0 bytes) one
 * BT_NOTFOUND; one that this person may not read or write BT_SYSTEM: each with its sentence.
 * Writers wait for each other for 10 seconds, then fail with a sentence. A ledger is used by one
 * thread at a time.
 *
 * A ledger of an older version is brought to today's, in all modes, as an entry of its own, after a
 * copy of it was made beside it; where that can't be written, BT_SYSTEM says what to do. */
bt_status bt_ledger_open(const char *path, bt_ledger_mode mode, bt_ledger **ledger,
                         bt_error *error) BT_MUST_CHECK;

/* Opens for reading also a ledger whose triggers another program took away, so that
 * bt_ledger_verify can say what was edited then; nothing else may be done with it. */
bt_status bt_ledger_open_unguarded(const char *path, bt_ledger **ledger,
                                   bt_error *error) BT_MUST_CHECK;

/* What the opening of a ledger of an older version left beside it. */
typedef struct bt_migration {
  const char *copy;      /* path of the ledger as it was; NULL: nothing was brought up to date */
  bool copy_was_there;   /* made whole by a migration that was killed after it */
  int64_t parts_removed; /* unfinished copies of migrations that were killed */
} bt_migration;

/* Paths are borrowed. */
bt_migration bt_ledger_migrated(const bt_ledger *ledger);
void bt_ledger_close(bt_ledger *ledger);

#endif
