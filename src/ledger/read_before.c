/* How logs were read that came before: so that one of their kind isn't read otherwise without a
 * word. */
#include "ledger_private.h"
#include "reading_private.h"
#include "sql_private.h"

#include <stdlib.h>

static const char readings_sql[] =
    "SELECT n.name, n.reading, e.at, n.sha256 = ?2, n.name = ?1 FROM main.source AS n JOIN main.entry AS e "
    "ON e.number = n.entry WHERE n.kind IN ('checks', 'events') "
    "ORDER BY n.name = ?1 DESC, n.number DESC";

static bt_status keep(bt_read_before *before, const char *name, const char *reading, bt_time at,
                      const char *now, bt_error *error) {
  bt_text differs = {0};
  before->name = bt_copy(name);
  before->map = ledger_reading_map(reading);
  before->at = at;
  if (now != NULL) {
    ledger_reading_differs(reading, now, &differs);
    before->differs = bt_text_take(&differs);
  }
  return before->name == NULL || (now != NULL && before->differs == NULL) ? bt_fail_memory(error)
                                                                          : BT_OK;
}

/* The newest of its kind decides: where that one was read as this one is, nothing is to be said. */
bt_status bt_ledger_read_before(bt_ledger *ledger, const bt_source *source,
                                const char *const *headers, size_t n, bt_read_before *before,
                                bt_error *error) {
  sqlite3_stmt *statement = NULL;
  const char *now = source->reading;
  bool decided = false;
  *before = (bt_read_before){0};
  bt_status status = ledger_prepare(ledger, readings_sql, &statement, error);
  if (status == BT_OK)
    status = ledger_bind(ledger, error, statement, "tb", source->name, source->sha256,
                         sizeof source->sha256);
  while (!decided && ledger_next(ledger, statement, &status, error)) {
    const char *name = (const char *)sqlite3_column_text(statement, 0);
    const char *then = (const char *)sqlite3_column_text(statement, 1);
    bool same_name = sqlite3_column_int(statement, 4) != 0;
    bool fits = then != NULL && ledger_reading_fits(then, headers, n);
    if (name == NULL || then == NULL || !(fits || (now == NULL && same_name)))
      continue;
    bool same_file = sqlite3_column_int(statement, 3) != 0;
    char *map = ledger_reading_map(then);
    decided = now != NULL || map != NULL;
    /* Of the very file whose map isn't known same_file.c says more. */
    bool told =
        decided && (now == NULL || ledger_reading_loses(then, now)) && !(same_file && map == NULL);
    free(map);
    if (told)
      status = keep(before, name, then, sqlite3_column_int64(statement, 2), now, error);
  }
  (void)sqlite3_finalize(statement);
  if (status != BT_OK)
    bt_read_before_free(before);
  return status;
}

void bt_read_before_free(bt_read_before *before) {
  free(before->name);
  free(before->map);
  free(before->differs);
  *before = (bt_read_before){0};
}
