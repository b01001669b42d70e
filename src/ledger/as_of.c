/* The ledger as it stood after an entry. */
#include "ledger_private.h"

void bt_ledger_as_of(bt_ledger *ledger, int64_t entry) {
  ledger->as_of = entry;
}

int64_t ledger_last_seen(const bt_ledger *ledger) {
  return ledger->as_of == 0 ? INT64_MAX : ledger->as_of;
}
