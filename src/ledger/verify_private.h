/* Verifying: records, references and the chain of entries. */
#ifndef LEDGER_VERIFY_PRIVATE_H
#define LEDGER_VERIFY_PRIVATE_H

#include "beamtally/ledger.h"

/* SQLite's own check of a table and its indexes; NULL: of the whole file (verify.c). */
bt_status ledger_check_structure(bt_ledger *ledger, const char *table,
                                 bt_error *error) BT_MUST_CHECK;

/* BT_DAMAGED naming table and row of the first reference that leads to no row. */
bt_status ledger_verify_references(bt_ledger *ledger, bt_error *error) BT_MUST_CHECK;

/* Computes the digest of every check, row held back and event anew and counts them. BT_DAMAGED
 * naming the first that differs. *stray_text: the first text that none of them names; 0 without. */
bt_status ledger_verify_rows(bt_ledger *ledger, bt_verification *found, int64_t *stray_text,
                             bt_error *error) BT_MUST_CHECK;
/* The same for rows held back, checks that no log brought and events alone, without stray texts:
 * what is read beside single checks, and what no count guards. */
bt_status ledger_verify_few(bt_ledger *ledger, bt_verification *found,
                            bt_error *error) BT_MUST_CHECK;
bt_status ledger_text_is_stray(const bt_ledger *ledger, int64_t number,
                               bt_error *error) BT_MUST_CHECK;

/* Computes every entry's state anew from the stored digests, those of checks as well. BT_DAMAGED
 * naming the first entry that differs. */
bt_status ledger_verify_chain(bt_ledger *ledger, bt_verification *found,
                              bt_error *error) BT_MUST_CHECK;

#endif
