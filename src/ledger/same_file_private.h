/* A file that comes again (same_file.c). */
#ifndef LEDGER_SAME_FILE_PRIVATE_H
#define LEDGER_SAME_FILE_PRIVATE_H

#include "beamtally/ledger.h"

/* *seen: this very file is in the ledger; *repeated: last read in the same way, and nothing that it
 * attested was read again since. BT_REFUSED when it was read in another way and `again` is NULL. */
bt_status ledger_find_repeated(bt_ledger *ledger, const bt_source *source, const bt_again *again,
                               bool *seen, bool *repeated, bt_error *error) BT_MUST_CHECK;

/* The SHA-256 of the log of that name, or whose SHA-256 begins with these digits. BT_NOTFOUND where
 * there is none, BT_USAGE where there are several. */
bt_status ledger_find_replaced(bt_ledger *ledger, const char *name,
                               unsigned char sha256[BT_SHA256_BYTES],
                               bt_error *error) BT_MUST_CHECK;

/* What earlier imports of the file of that SHA-256 brought, and nobody has corrected, withdrawn or
 * settled since, no longer stands; *records is how many checks and events these were, *closed how
 * many of its conflicts were open. */
bt_status ledger_supersede_file(bt_ledger *ledger, const unsigned char sha256[BT_SHA256_BYTES],
                                int64_t entry, int64_t *records, int64_t *closed,
                                bt_error *error) BT_MUST_CHECK;

#endif
