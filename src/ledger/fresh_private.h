/* Digests of the checks that an import added (fresh.c). */
#ifndef LEDGER_FRESH_PRIVATE_H
#define LEDGER_FRESH_PRIVATE_H

#include "beamtally/ledger.h"

#include "entry_private.h"
#include "row_private.h"

/* *fresh is closed by the caller after a failure too; temp.fresh must be there. */
bt_status ledger_fresh_open(bt_ledger *ledger, ledger_fresh **fresh, bt_error *error) BT_MUST_CHECK;
void ledger_fresh_close(ledger_fresh *fresh);

/* late: it doesn't come in the order of lines. */
bt_status ledger_fresh_add(ledger_fresh *fresh, const ledger_row *row, const unsigned char *digest,
                           bool late, bt_error *error) BT_MUST_CHECK;

/* No more will come. *in_table: LEDGER_FRESH_DIGESTS gives all of them, else ledger_fresh_next. */
bt_status ledger_fresh_settle(ledger_fresh *fresh, bool *in_table, bt_error *error) BT_MUST_CHECK;
bt_status ledger_fresh_next(ledger_fresh *fresh, unsigned char *digest, bool *there,
                            bt_error *error) BT_MUST_CHECK;

/* Digests of what an import added, for ledger_lists_open. */
#define LEDGER_FRESH_DIGESTS "SELECT ?1, digest FROM temp.fresh ORDER BY line, unit, time, sequence"

#endif
