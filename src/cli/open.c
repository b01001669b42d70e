/* The ledger and the units a command works on. */
#include "cli.h"

#include <stdlib.h>

bt_status cli_open(const cli_context *cli, bt_ledger_mode mode, bt_ledger **ledger,
                   bt_error *error) {
  bt_status status = bt_ledger_open(cli->ledger, mode, ledger, error);
  if (status == BT_NOTFOUND)
    return bt_fail(
        error, BT_NOTFOUND,
        "there is no ledger \"%s\" yet; `beamtally import FILE` makes one from a log, and "
        "--ledger FILE names one that stands elsewhere",
        cli->ledger);
  return status;
}

bt_status cli_units(bt_ledger *ledger, const char *unit, char ***names, size_t *n,
                    bt_error *error) {
  if (unit == NULL) {
    bt_status status = bt_ledger_units(ledger, names, n, error);
    if (status == BT_OK && *n == 0) {
      bt_names_free(*names, *n);
      return bt_fail(error, BT_NOTFOUND,
                     "the ledger holds no unit yet; `beamtally import FILE` brings one in");
    }
    return status;
  }
  char *found;
  bt_status status = bt_ledger_find_unit(ledger, unit, &found, error);
  if (status != BT_OK)
    return status;
  *names = bt_new(1, sizeof **names);
  if (*names == NULL) {
    free(found);
    return bt_fail_memory(error);
  }
  (*names)[0] = found;
  *n = 1;
  return BT_OK;
}

bool cli_wants_a_look(const bt_unit_study *study) {
  bool look = study->selftest.last_failed || study->provenance.refused > 0 ||
              study->provenance.conflicts > 0;
  for (size_t i = 0; i < study->studies_n && !look; i++)
    look = study->studies[i]->tolerance.last_is_outside ||
           bt_study_open_strength(study->studies[i]) == BT_ALARM;
  return look;
}
