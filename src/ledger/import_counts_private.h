/* What an import did, counted (import_counts.c). */
#ifndef LEDGER_IMPORT_COUNTS_PRIVATE_H
#define LEDGER_IMPORT_COUNTS_PRIVATE_H

#include "beamtally/ledger.h"

#include "log_units_private.h"

/* Stores the tallies of the source's units, and adds to *counts what they hold and what of its rows
 * was left out or held back before. Of *counts `rows`, `refused` and `closed` are set by then. */
bt_status ledger_count_import(bt_ledger *ledger, int64_t source, int64_t entry,
                              const ledger_log_units *units, bt_import_counts *counts,
                              bt_error *error) BT_MUST_CHECK;

#endif
