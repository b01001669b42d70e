#include "forge.h"
#include "digest_private.h"
#include "entry_private.h"
#include "ledger_private.h"
#include "row_private.h"
#include "sql_private.h"

#include "helpers.h"

#include <stdio.h>
#include <stdlib.h>

void forge_digest(bt_ledger *ledger, const char *where) {
  ledger_row row;
  unsigned char digest[LEDGER_DIGEST_BYTES];
  bt_error error = {0};
  sqlite3_stmt *statement = NULL;
  char *sql = sqlite3_mprintf("SELECT " LEDGER_CHECK_BODIES " FROM checks AS c %s", where);
  cr_ok(ledger_prepare(ledger, sql, &statement, &error), error);
  sqlite3_free(sql);
  cr_assert_eq(sqlite3_step(statement), SQLITE_ROW);
  ledger_row_read(statement, &row); /* a check without texts */
  ledger_check_digest('c', &row, digest);
  (void)sqlite3_finalize(statement);
  sql = sqlite3_mprintf("UPDATE checks SET digest = ?1 %s", where);
  cr_ok(ledger_put(ledger, &error, sql, "b", digest, sizeof digest), error);
  sqlite3_free(sql);
}

void forge_chain(bt_ledger *ledger, int64_t first) {
  bt_error error = {0};
  int64_t last = test_number(ledger, "SELECT max(number) FROM entry");
  for (int64_t n = first; n <= last; n++) {
    unsigned char previous[LEDGER_STATE_BYTES], state[LEDGER_STATE_BYTES];
    sqlite3_stmt *head = NULL;
    ledger_lists lists = {0};
    cr_ok(ledger_prepare(ledger,
                         "SELECT e.kind, e.at, e.by, e.why, p.state FROM entry AS e JOIN entry AS "
                         "p ON p.number = e.number - 1 WHERE e.number = ?1",
                         &head, &error),
          error);
    cr_ok(ledger_bind(ledger, &error, head, "i", n), error);
    cr_assert_eq(sqlite3_step(head), SQLITE_ROW);
    memcpy(previous, sqlite3_column_blob(head, 4), sizeof previous);
    ledger_entry entry = {.number = n,
                          .kind = (const char *)sqlite3_column_text(head, 0),
                          .at = sqlite3_column_int64(head, 1),
                          .by = (const char *)sqlite3_column_text(head, 2),
                          .why = (const char *)sqlite3_column_text(head, 3),
                          .form = LEDGER_FORM};
    cr_ok(ledger_lists_open(ledger, &entry,
                            "SELECT ?1, digest FROM checks WHERE source IN (SELECT number FROM "
                            "source WHERE entry = ?1) ORDER BY line, unit, time, sequence",
                            &lists, &error),
          error);
    cr_ok(ledger_entry_state(ledger, &entry, previous, &lists, state, &error), error);
    (void)sqlite3_finalize(head);
    ledger_lists_close(&lists);
    cr_ok(ledger_put(ledger, &error, "UPDATE entry SET previous = ?1, state = ?2 WHERE number = ?3",
                     "bbi", previous, sizeof previous, state, sizeof state, n),
          error);
  }
}

/* Each issue names the state of the entry before it, as it is by now. */
static void forge_issues(bt_ledger *ledger) {
  bt_error error = {0};
  int64_t last = test_number(ledger, "SELECT max(number) FROM entry");
  for (int64_t n = 2; n <= last; n++) {
    cr_ok(ledger_put(ledger, &error,
                     "UPDATE issued SET state = (SELECT substr(state, 1, 10) FROM entry WHERE "
                     "number = ?1 - 1) WHERE entry = ?1",
                     "i", n),
          error);
    forge_chain(ledger, n);
  }
}

void forge_reading(const char *path, int64_t line, double energy_mj, bool issues_too) {
  bt_ledger *ledger = test_open(path, BT_LEDGER_WRITE);
  bt_error error = {0};
  char where[40];
  char *triggers = test_drop_triggers(ledger);
  (void)snprintf(where, sizeof where, "WHERE line = %lld", (long long)line);
  cr_ok(ledger_put(ledger, &error, "UPDATE checks SET energy_mj = ?1 WHERE line = ?2", "ri",
                   energy_mj, line),
        error);
  cr_assert_eq(sqlite3_changes(ledger->db), 1);
  forge_digest(ledger, where);
  forge_chain(ledger, 2);
  if (issues_too)
    forge_issues(ledger);
  cr_ok(ledger_run(ledger, triggers, &error), error);
  free(triggers);
  bt_ledger_close(ledger);
}
