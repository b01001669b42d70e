/* Rows on their way in (batch.c). */
#ifndef LEDGER_BATCH_PRIVATE_H
#define LEDGER_BATCH_PRIVATE_H

#include "beamtally/ledger.h"

#include "store_private.h"
#include "tally_private.h"

typedef struct ledger_batch ledger_batch;

/* *batch is closed by the caller after a failure too. */
bt_status ledger_batch_open(bt_ledger *ledger, const ledger_merging *merging, ledger_batch **batch,
                            bt_error *error) BT_MUST_CHECK;
void ledger_batch_close(ledger_batch *batch);

/* Takes a copy of the check, of the unit of that tally. */
bt_status ledger_batch_add(ledger_batch *batch, const bt_check *check, ledger_tally *tallies,
                           size_t tally, bt_error *error) BT_MUST_CHECK;

/* Sends on what it holds: to `checks`, or to the staging table for the merge. */
bt_status ledger_batch_flush(ledger_batch *batch, ledger_tally *tallies,
                             bt_error *error) BT_MUST_CHECK;

/* By which it stores rows, for the merge to go on with. */
ledger_store *ledger_batch_store(ledger_batch *batch);

/* Whether any row was staged. */
bool ledger_batch_staged(const ledger_batch *batch);

#endif
