/* Writing single checks beside those that stand (placing.c). */
#ifndef LEDGER_PLACING_PRIVATE_H
#define LEDGER_PLACING_PRIVATE_H

#include "beamtally/ledger.h"

#include "stored_private.h"
#include "text_private.h"

/* The row of a text: that of the old body (its row is `number`) when they are the same, so that
 * removing it removes it from both; else a new one. number 0 in *text for a body of NULL. */
bt_status ledger_share_text(bt_ledger *ledger, const char *body, const char *old, int64_t number,
                            ledger_text *text, bt_error *error) BT_MUST_CHECK;

/* Stores a check of place->unit under the next sequence of its time; the rest of *place is set.
 * Texts that are those of `like` (NULL: none) share their rows. */
bt_status ledger_place_check(bt_ledger *ledger, const bt_check *check, int64_t entry,
                             const ledger_stored *like, int64_t source, ledger_place *place,
                             bt_error *error) BT_MUST_CHECK;

/* The source of what the entry's person types in. */
bt_status ledger_place_source(bt_ledger *ledger, int64_t entry, int64_t *number,
                              bt_error *error) BT_MUST_CHECK;

/* Says that a check no longer stands; place NULL: nothing took its place. */
bt_status ledger_supersede(bt_ledger *ledger, const ledger_place *old, int64_t entry,
                           const char *kind, const ledger_place *place,
                           bt_error *error) BT_MUST_CHECK;

/* Digests of the checks that the entry put into the place of others, for ledger_entry_seal. */
#define LEDGER_REPLACED_DIGESTS                                                                    \
  "SELECT ?1, c.digest FROM main.superseded AS s JOIN main.checks AS c "                           \
  "ON c.unit = s.new_unit AND c.time = s.new_time AND c.sequence = s.new_sequence "                \
  "WHERE s.entry = ?1 ORDER BY c.line, c.unit, c.time, c.sequence"

#endif
