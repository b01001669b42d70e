/* The storing of rows of an import (store.c). */
#ifndef LEDGER_STORE_PRIVATE_H
#define LEDGER_STORE_PRIVATE_H

#include "beamtally/ledger.h"

#include "entry_private.h"
#include "own_private.h"
#include "row_private.h"
#include "text_private.h"

#include <sqlite3.h>

typedef struct ledger_merging {
  int64_t source;        /* of the rows */
  int64_t entry;         /* that they belong to */
  int64_t last_unit;     /* units up to this number were there before */
  ledger_own_keys *keys; /* all that the rows have */
  ledger_fresh *fresh;   /* takes the digests of what is added */
  bool seen;             /* the file was imported before */
  bool again;            /* and is read in another way */
} ledger_merging;

/* The statements that store rows of an import (store.c). */
typedef struct ledger_store {
  bt_ledger *ledger;
  ledger_merging with;
  sqlite3_stmt *add, *hold, *add_own, *hold_own;
  ledger_texts *texts;
} ledger_store;

/* It is closed by the caller after a failure too. */
bt_status ledger_store_open(bt_ledger *ledger, const ledger_merging *merging, ledger_store *store,
                            bt_error *error) BT_MUST_CHECK;
void ledger_store_close(ledger_store *store);

/* Stores one row in `checks` or `held` under the sequence that it bears; its texts' numbers and
 * the digest (LEDGER_DIGEST_BYTES) are set. */
bt_status ledger_store_row(ledger_store *store, ledger_row *row, bool hold, unsigned char *digest,
                           bt_error *error) BT_MUST_CHECK;

#endif
