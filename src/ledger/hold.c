/* What a reader relies on beside the checks that it reads itself, and holds to their digests
 * (whole.c): entries, units, sources, settings, baselines, decisions, events and rows held back are
 * as they were written, and no check was taken out. The same code verifies them (verify.c), but
 * for the readings of checks: these are computed anew when they are read.
 *
 * Tables are found by keys and indexes, which the chain does not see: SQLite looks at those of all
 * tables but the large ones. There a key that leads astray leads to a text or check that is missed
 * or differs (whole.c, history.c). */
#include "ledger_private.h"

/* All tables but checks, own_reading, held_own and text. `held` is few. */
static const char *const small_tables[] = {"entry",
                                           "unit",
                                           "source",
                                           "source_unit",
                                           "held",
                                           "event",
                                           "refusal",
                                           "setting_version",
                                           "unit_setting",
                                           "tolerance",
                                           "baseline",
                                           "baseline_exclusion",
                                           "own_characteristic",
                                           "own_key",
                                           "superseded",
                                           "superseded_event",
                                           "settled",
                                           "redaction",
                                           "disposition",
                                           "issued"};

bt_status bt_ledger_hold_entries(bt_ledger *ledger, bt_error *error) {
  bt_verification found = {0};
  bt_error none = {0};
  if (ledger->known_whole && bt_ledger_still_whole(ledger, &none) == BT_OK)
    return BT_OK;
  bt_status status = ledger_begin_reading(ledger, error);
  if (status != BT_OK)
    return status;
  for (size_t t = 0; t < sizeof small_tables / sizeof *small_tables && status == BT_OK; t++)
    status = ledger_check_structure(ledger, small_tables[t], error);
  if (status == BT_OK)
    status = ledger_verify_few(ledger, &found, error);
  if (status == BT_OK)
    status = ledger_verify_chain(ledger, &found, error);
  ledger_rollback(ledger);
  if (status == BT_DAMAGED)
    ledger_say_not_whole(error);
  return status;
}
