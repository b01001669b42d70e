/* What the merge (merge.c) reads: staged rows, and those that they are compared with. */
#include "compare_private.h"
#include "digest_private.h"
#include "merge_private.h"
#include "own_private.h"
#include "row_private.h"
#include "sql_private.h"
#include "told_private.h"

#include <stdlib.h>

/* A stored row's standing stands behind its columns. */
enum { STANDING = LEDGER_DIGEST + 1 };

#define STORED_STANDING                                                                            \
  "CASE WHEN EXISTS (SELECT 1 FROM main.superseded AS n WHERE n.new_unit = c.unit "                \
  "AND n.new_time = c.time AND n.new_sequence = c.sequence AND n.kind = 'corrected' "              \
  "AND n.unit = c.unit AND n.time = c.time) THEN 3 "                                               \
  "ELSE (SELECT CASE s.kind WHEN 'settled' THEN 1 WHEN 'read again' THEN 2 ELSE 0 END "            \
  "FROM main.superseded AS s WHERE s.unit = c.unit AND s.time = c.time "                           \
  "AND s.sequence = c.sequence) END"

/* A conflict that nobody has settled is none to be met. */
#define HELD_STANDING                                                                              \
  "coalesce((SELECT CASE WHEN (SELECT e.kind FROM main.entry AS e WHERE e.number = s.entry) "      \
  "IS 'settlement' THEN 1 ELSE 2 END FROM main.settled AS s WHERE s.unit = c.unit "                \
  "AND s.time = c.time AND s.source = c.source), 0)"

/* M12: for each text field, whether one of that unit and time was removed. */
#define REMOVED_TEXT(ID, key)                                                                      \
  ", EXISTS (SELECT 1 FROM main.checks AS c JOIN main.text AS t ON t.number = c." #key             \
  " WHERE c.unit = ?1 AND c.time = ?2 AND t.salt = x'') OR EXISTS (SELECT 1 FROM main.held AS c "  \
  "JOIN main.text AS t ON t.number = c." #key                                                      \
  " WHERE c.unit = ?1 AND c.time = ?2 AND t.salt = x'') OR EXISTS (SELECT 1 FROM main.redaction "  \
  "AS r WHERE r.unit = ?1 AND r.time = ?2 AND r.field = '" #key "')"
#define REMOVED_TEXTS "SELECT 0" BT_TEXTS(REMOVED_TEXT)

#define OF_ONE_TIME " AS c WHERE unit = ?1 AND time = ?2 ORDER BY sequence"

bt_status ledger_merge_open(ledger_merge_run *m, bt_error *error) {
  int64_t any = 0; /* a ledger in which nothing was superseded asks no row for it */
  int64_t removed = 0;
  bt_status status =
      ledger_number(m->ledger, "SELECT EXISTS (SELECT 1 FROM main.superseded)", &any, error);
  if (status == BT_OK)
    status =
        ledger_number(m->ledger, "SELECT EXISTS (SELECT 1 FROM main.redaction)", &removed, error);
  if (status == BT_OK && removed != 0)
    status = ledger_prepare(m->ledger, REMOVED_TEXTS, &m->removed, error);
  const struct {
    sqlite3_stmt **statement;
    const char *sql;
  } wanted[] = {
      {&m->groups, "SELECT unit, time, count(*) FROM temp.staging GROUP BY unit, time "
                   "ORDER BY unit, time"},
      {&m->rows, "SELECT " LEDGER_CHECK_COLUMNS " FROM temp.staging ORDER BY unit, time, sequence"},
      {&m->staged, "SELECT " LEDGER_CHECK_COLUMNS " FROM temp.staging" OF_ONE_TIME},
      {&m->stored, any == 0 ? "SELECT " LEDGER_CHECK_BODIES " FROM main.checks" OF_ONE_TIME
                            : "SELECT " LEDGER_CHECK_BODIES ", " STORED_STANDING
                              " FROM main.checks" OF_ONE_TIME},
      {&m->held, "SELECT " LEDGER_CHECK_BODIES ", " HELD_STANDING " FROM main.held" OF_ONE_TIME},
  };
  const struct {
    ledger_own_reader *reader;
    const char *table, *where;
  } readers[] = {{&m->own_rows, "temp.staging_own", ""},
                 {&m->own_staged, "temp.staging_own", "WHERE unit = ?1 AND time = ?2"},
                 {&m->own_stored, "main.own_reading", "WHERE unit = ?1 AND time = ?2"},
                 {&m->own_held, "main.held_own", "WHERE unit = ?1 AND time = ?2"}};
  for (size_t i = 0; i < sizeof wanted / sizeof wanted[0] && status == BT_OK; i++)
    status = ledger_prepare(m->ledger, wanted[i].sql, wanted[i].statement, error);
  for (size_t i = 0; i < sizeof readers / sizeof readers[0] && status == BT_OK; i++)
    status =
        ledger_own_open(m->ledger, readers[i].table, readers[i].where, readers[i].reader, error);
  return status == BT_OK ? ledger_own_seek(&m->own_rows, 0, 0, error) : status;
}

void ledger_merge_close(ledger_merge_run *m) {
  sqlite3_stmt *const all[] = {m->groups, m->rows, m->staged, m->stored, m->held, m->removed};
  for (size_t i = 0; i < sizeof all / sizeof all[0]; i++)
    (void)sqlite3_finalize(all[i]);
  ledger_own_close(&m->own_rows);
  ledger_own_close(&m->own_staged);
  ledger_own_close(&m->own_stored);
  ledger_own_close(&m->own_held);
  free(m->incoming.digest);
  free(m->must.digest);
  free(m->may.digest);
  free(m->instead.digest);
  free(m->held_open.digest);
  free(m->rest.digest);
  free(m->kept.digest);
  free(m->twin);
  free(m->fate);
  free(m->rest_fate);
  free(m->replaces);
}

bt_status ledger_merge_find_removed(ledger_merge_run *m, int64_t unit, bt_time time,
                                    bt_error *error) {
  bool row = false;
  m->left_out = 0;
  if (m->removed == NULL || unit > m->store->with.last_unit)
    return BT_OK;
  bt_status status = ledger_bind(m->ledger, error, m->removed, "ii", unit, time);
  if (status == BT_OK)
    status = ledger_step(m->ledger, m->removed, &row, error);
  for (int f = 0; status == BT_OK && row && f < BT_FIELD_COUNT; f++)
    if (sqlite3_column_int(m->removed, f + 1) != 0)
      m->left_out |= 1U << f;
  (void)sqlite3_reset(m->removed);
  return status;
}

int ledger_merge_leave_out(const ledger_merge_run *m, bt_check *check) {
  int n = 0;
  for (int f = 0; m->left_out != 0 && f < BT_FIELD_COUNT; f++)
    if ((m->left_out >> f & 1U) != 0 && check->text[f] != NULL) {
      check->text[f] = NULL;
      n++;
    }
  return n;
}

bt_status ledger_merge_contents(ledger_merge_run *m, sqlite3_stmt *statement,
                                ledger_own_reader *own, int64_t unit, bt_time time,
                                ledger_contents *const lists[], size_t *n, bt_error *error) {
  *n = 0;
  bt_status status = ledger_bind(m->ledger, error, statement, "ii", unit, time);
  if (status == BT_OK)
    status = ledger_own_seek(own, unit, time, error);
  while (ledger_next(m->ledger, statement, &status, error)) {
    ledger_row read;
    ledger_row_read(statement, &read);
    status = ledger_own_take(own, &read, error);
    if (status != BT_OK)
      break;
    (*n)++;
    if (statement == m->staged)
      (void)ledger_merge_leave_out(m, &read.check);
    int standing =
        sqlite3_column_count(statement) > STANDING ? sqlite3_column_int(statement, STANDING) : 0;
    if (standing == LEDGER_NOT_COMPARED)
      continue;
    ledger_contents *list = lists[standing];
    if (!bt_grow(&list->digest, &list->capacity, list->n + 1, sizeof list->digest[0]))
      return bt_fail_memory(error);
    unsigned char *content = list->digest[list->n++];
    ledger_check_content(&read.check, content);
    if (m->with_words)
      ledger_check_words(&read.check, content);
    else if (statement == m->stored)
      status = ledger_texts_keep(&m->kept, content, &read.check, error);
  }
  return status;
}
