/* The file of a ledger: whether it may be written, still has its name, and holds anything. */
#ifndef LEDGER_FILE_PRIVATE_H
#define LEDGER_FILE_PRIVATE_H

#include "beamtally/ledger.h"

enum { LEDGER_HEAD_BYTES = 100 }; /* of every SQLite file */

/* BT_DAMAGED, with a sentence of its own, where the file's head says that nobody may write it
 * (marks.c). Within a transaction, so that no writer changes it meanwhile. */
bt_status ledger_marks_as_written(bt_ledger *ledger, bt_error *error) BT_MUST_CHECK;

/* BT_SYSTEM: the file that is open has no longer the ledger's name; looked at by
 * ledger_is_in_place (unbegun.c). */
bt_status ledger_was_moved(const bt_ledger *ledger, bt_error *error) BT_MUST_CHECK;
bt_status ledger_is_in_place(bt_ledger *ledger, bt_error *error) BT_MUST_CHECK;

/* A file into which nothing was entered, as it was found. */
typedef struct ledger_nothing {
  int64_t bytes;
  unsigned char head[LEDGER_HEAD_BYTES];
} ledger_nothing;

/* Whether nothing stands in the ledger but that it was made; ends its transaction. Then, when it is
 * closed here, ledger_take_away takes the file away if it is still like that and nobody else uses
 * it. */
bool ledger_holds_nothing(bt_ledger *ledger, ledger_nothing *found) BT_MUST_CHECK;
void ledger_take_away(const char *path, const ledger_nothing *found);

#endif
