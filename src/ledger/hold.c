/* What a reader relies on beside the checks that it reads itself, and holds to their digests
 * (whole.c): entries, units, sources, settings, baselines, decisions, events and rows held back are
 * as they were written, and no check was taken out. The same code verifies them (verify.c), but
 * for the readings of checks: these are computed anew when they are read.
 *
 * Tables are found by keys and indexes, which the chain does not see: SQLite looks at those of all
 * tables but the large ones. There a key that leads astray leads to a text or check that is missed
 * or differs (whole.c, history.c).
 *
 * A check that went to another unit still has its digest in the chain, and who reads the unit that
 * it left doesn't meet it. So whoever reads a unit counts its checks: what logs brought for it is
 * in the chain (list T in entry.c); the few that came without a log are all computed anew. */
#include "ledger_private.h"
#include "sql_private.h"
#include "verify_private.h"
#include "whole_private.h"

/* All tables but checks, own_reading, held_own and text. `held` is few. */
static const char *const small_tables[] = {"entry",
                                           "unit",
                                           "source",
                                           "source_unit",
                                           "held",
                                           "event",
                                           "refusal",
                                           "left_out",
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

/* A log's events are counted among what it brought. */
static const char brought_sql[] =
    "SELECT (SELECT coalesce(sum(fresh), 0) FROM main.source_unit WHERE unit = ?1) "
    "- (SELECT count(*) FROM main.event WHERE unit = ?1 AND source IS NOT NULL)";

bt_status ledger_hold_count(bt_ledger *ledger, int64_t unit, const char *name, int64_t counted,
                            bt_error *error) {
  int64_t brought = 0;
  bt_status status = ledger_number_of(ledger, error, brought_sql, &brought, "i", unit);
  if (status != BT_OK || counted == brought)
    return status;
  status =
      bt_fail(error, BT_DAMAGED,
              "%s: logs brought %lld checks of \"%s\", and %lld stand there: some were taken out "
              "or given to another laser; use a backup of the ledger from before",
              ledger->path, (long long)brought, name, (long long)counted);
  ledger_say_not_whole(error);
  return status;
}
