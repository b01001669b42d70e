/* Storing a row of an import in `checks` or `held`, with its texts, digest and own readings. */
#include "digest_private.h"
#include "own_private.h"
#include "row_private.h"
#include "sql_private.h"
#include "store_private.h"
#include "text_private.h"

#include <stdlib.h>

bt_status ledger_store_open(bt_ledger *ledger, const ledger_merging *merging, ledger_store *store,
                            bt_error *error) {
  *store = (ledger_store){.ledger = ledger, .with = *merging};
  const struct {
    sqlite3_stmt **statement;
    const char *sql;
  } wanted[] = {
      {&store->add, LEDGER_CHECK_INSERT("main.checks")},
      {&store->hold, LEDGER_CHECK_INSERT("main.held")},
      {&store->add_own, LEDGER_OWN_INSERT("main.own_reading")},
      {&store->hold_own, LEDGER_OWN_INSERT("main.held_own")},
  };
  bt_status status = ledger_texts_open(ledger, &store->texts, error);
  for (size_t i = 0; i < sizeof wanted / sizeof wanted[0] && status == BT_OK; i++)
    status = ledger_prepare(ledger, wanted[i].sql, wanted[i].statement, error);
  return status;
}

void ledger_store_close(ledger_store *store) {
  sqlite3_stmt *const all[] = {store->add, store->hold, store->add_own, store->hold_own};
  for (size_t i = 0; i < sizeof all / sizeof all[0]; i++)
    (void)sqlite3_finalize(all[i]);
  ledger_texts_close(store->texts);
  *store = (ledger_store){0};
}

bt_status ledger_store_row(ledger_store *store, ledger_row *row, bool hold, unsigned char *digest,
                           bt_error *error) {
  sqlite3_stmt *insert = hold ? store->hold : store->add;
  bool bound = ledger_row_bind(insert, row);
  bool more = false;
  for (bt_text_field f = 0; f < BT_FIELD_COUNT; f++) {
    int at = LEDGER_TEXT + (int)f + 1;
    if (row->check.text[f] == NULL)
      continue;
    bt_status put =
        ledger_texts_put(store->ledger, store->texts, f, row->check.text[f], &row->text[f], error);
    if (put != BT_OK)
      return put;
    bound = sqlite3_bind_int64(insert, at, row->text[f].number) == SQLITE_OK && bound;
  }
  ledger_check_digest(hold ? 'h' : 'c', row, digest);
  bound = sqlite3_bind_blob(insert, LEDGER_DIGEST + 1, digest, LEDGER_DIGEST_BYTES,
                            SQLITE_STATIC) == SQLITE_OK &&
          bound;
  if (!bound)
    return ledger_fault(store->ledger, "importing", error);
  bt_status status = ledger_step(store->ledger, insert, &more, error);
  if (status == BT_OK && row->check.own_n > 0)
    status = ledger_own_put(store->ledger, hold ? store->hold_own : store->add_own, row,
                            store->with.keys, store->with.entry, error);
  return status;
}
