/* Which sources concern a unit: those that had rows of it. */
#include "ledger_private.h"
#include "sql_private.h"
#include "unit_private.h"

#include <stdlib.h>

bt_status bt_ledger_unit_sources(bt_ledger *ledger, const char *unit, int64_t **numbers, size_t *n,
                                 bt_error *error) {
  sqlite3_stmt *statement = NULL;
  int64_t number = 0;
  size_t room = 0;
  *numbers = NULL;
  *n = 0;
  bt_status status = ledger_unit_known(ledger, unit, &number, error);
  if (status == BT_OK)
    status = ledger_prepare(ledger,
                            "SELECT source FROM main.source_unit WHERE unit = ?1 AND source IN "
                            "(SELECT number FROM main.source WHERE entry <= ?2) ORDER BY source",
                            &statement, error);
  if (status == BT_OK)
    status = ledger_bind(ledger, error, statement, "ii", number, ledger_last_seen(ledger));
  while (ledger_next(ledger, statement, &status, error)) {
    if (bt_grow(numbers, &room, *n + 1, sizeof **numbers))
      (*numbers)[(*n)++] = sqlite3_column_int64(statement, 0);
    else
      status = bt_fail_memory(error);
  }
  (void)sqlite3_finalize(statement);
  if (status != BT_OK) {
    free(*numbers);
    *numbers = NULL;
    *n = 0;
  }
  return status;
}
