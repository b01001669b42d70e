/* How far the removal of a text reaches.
 *
 * R1  A text is known by its bytes, in whatever field of whatever record: what a person calls
 *     removed is nowhere in the ledger any more.
 * R2  The record that was named goes with what is its own history: the records that it superseded,
 *     by whatever steps; those after it, and those of its times that no longer stand (of a file
 *     that was read again), that say the same; and the rows held back at its time, or at an earlier
 *     one of its times with the same text.
 * R3  Of that history all texts of the field go that no further record says, since a name may have
 *     been written over before it was removed. A word that others say too (an operator before a
 *     typing error) goes only where the record that was named says it itself, or says nothing.
 * R4  Where further records say what is to go, that is refused, unless it was asked for
 *     everywhere. */
#include "redact_private.h"
#include "sql_private.h"

#include <stdlib.h>
#include <string.h>

static const char make_sql[] =
    "CREATE TABLE temp.named_record (kind TEXT, unit INTEGER, time INTEGER, number INTEGER, "
    "PRIMARY KEY (kind, unit, time, number)) STRICT, WITHOUT ROWID;"
    "CREATE TABLE temp.gone_text (number INTEGER PRIMARY KEY) STRICT";

bt_status ledger_reach_end(bt_ledger *ledger, bt_error *error) {
  return ledger_run(ledger, "DROP TABLE temp.named_record; DROP TABLE temp.gone_text", error);
}

/* ---- R2 -------------------------------------------------------------------------------------- */

#define SAME_KEY(a, b)                                                                             \
  a ".unit = " b ".unit AND " a ".time = " b ".time AND " a ".sequence = " b ".sequence"

/* The check of unit ?1, time ?2 and sequence ?4, whose own body is ?3. */
static const char check_form[] =
    "INSERT INTO temp.named_record WITH RECURSIVE before (unit, time, sequence) AS (VALUES (?1, "
    "?2, ?4) UNION SELECT s.unit, s.time, s.sequence FROM main.superseded AS s JOIN before AS b "
    "ON s.new_unit = b.unit AND s.new_time = b.time AND s.new_sequence = b.sequence), "
    "after (unit, time, sequence) AS (VALUES (?1, ?2, ?4) UNION SELECT s.new_unit, s.new_time, "
    "s.new_sequence FROM main.superseded AS s JOIN after AS a ON " SAME_KEY(
        "s", "a") " WHERE s.new_unit IS NOT NULL) "
                  "SELECT 'check', unit, time, sequence FROM before "
                  "UNION SELECT 'check', c.unit, c.time, c.sequence FROM after AS a "
                  "JOIN main.checks AS c ON " SAME_KEY(
                      "c", "a") " JOIN main.text AS o ON o.number = c.%w WHERE o.body = ?3 "
                                "UNION SELECT 'check', c.unit, c.time, c.sequence "
                                "FROM before AS b JOIN main.checks AS c ON c.unit = b.unit "
                                "AND c.time = b.time JOIN main.text AS o ON o.number = c.%w "
                                "WHERE o.body = ?3 AND (EXISTS (SELECT 1 FROM main.superseded "
                                "AS s WHERE " SAME_KEY(
                                    "s", "c") ") OR EXISTS (SELECT 1 FROM main.superseded AS s "
                                              "WHERE s.unit = ?1 AND s.time = ?2 "
                                              "AND s.sequence = ?4)) "
                                              "UNION SELECT 'held', h.unit, h.time, h.sequence "
                                              "FROM main.held AS h "
                                              "WHERE h.unit = ?1 AND h.time = ?2 "
                                              "UNION SELECT 'held', h.unit, h.time, h.sequence "
                                              "FROM before AS b JOIN main.held AS h "
                                              "ON h.unit = b.unit AND h.time = b.time "
                                              "JOIN main.text AS o ON o.number = h.%w "
                                              "WHERE o.body = ?3";

/* The event ?4 of that unit and time, whose own body is ?3. */
static const char event_sql[] =
    "INSERT INTO temp.named_record WITH RECURSIVE before (number) AS (VALUES (?4) UNION "
    "SELECT s.event FROM main.superseded_event AS s JOIN before AS b ON s.replacement = b.number), "
    "after (number) AS (VALUES (?4) UNION SELECT s.replacement FROM main.superseded_event AS s "
    "JOIN after AS a ON s.event = a.number WHERE s.replacement IS NOT NULL) "
    "SELECT 'event', 0, 0, number FROM before "
    "UNION SELECT 'event', 0, 0, v.number FROM after AS a JOIN main.event AS v "
    "ON v.number = a.number JOIN main.text AS o ON o.number = v.note WHERE o.body = ?3 "
    "UNION SELECT 'event', 0, 0, v.number FROM before AS b JOIN main.event AS m "
    "ON m.number = b.number JOIN main.event AS v ON v.unit = m.unit AND v.time = m.time "
    "JOIN main.text AS o ON o.number = v.note WHERE o.body = ?3 AND EXISTS (SELECT 1 FROM "
    "main.superseded_event AS s WHERE s.event IN (v.number, ?4)) AND ?1 = ?1 AND ?2 = ?2";

static bt_status name_records(bt_ledger *ledger, const ledger_removal *r, bt_error *error) {
  char *form = r->event != 0 ? NULL : sqlite3_mprintf(check_form, r->field, r->field, r->field);
  if (r->event == 0 && form == NULL)
    return bt_fail_memory(error);
  bt_status status =
      ledger_put(ledger, error, r->event != 0 ? event_sql : form, "iiti", r->place.unit,
                 r->place.time, r->body, r->event != 0 ? r->event : (int64_t)r->place.sequence);
  sqlite3_free(form);
  return status;
}

/* ---- What they say --------------------------------------------------------------------------- */

/* Texts of the field, each once, and a record of the history that says it. */
static const char said_form[] =
    "SELECT t.body, n.time, n.number FROM temp.named_record AS n "
    "JOIN main.%s AS c ON c.unit = n.unit AND c.time = n.time AND c.sequence = n.number "
    "JOIN main.text AS t ON t.number = c.%w "
    "WHERE n.kind = '%s' AND t.salt <> x'' GROUP BY t.body";

static const char said_of_event_sql[] =
    "SELECT t.body, v.time, n.number FROM temp.named_record AS n "
    "JOIN main.event AS v ON v.number = n.number JOIN main.text AS t ON t.number = v.note "
    "WHERE n.kind = 'event' AND t.salt <> x'' GROUP BY t.body";

typedef struct said {
  char *body;
  bt_time time;
  int64_t number; /* sequence of a check, number of an event */
  bool standing;  /* it can be named: no row held back */
  bt_text_holders further;
} said;

typedef struct said_list {
  said *list;
  size_t n, capacity;
} said_list;

static void release(said_list *all) {
  for (size_t i = 0; i < all->n; i++)
    free(all->list[i].body);
  free(all->list);
}

static bool is_there(const said_list *all, const char *body) {
  for (size_t i = 0; i < all->n; i++)
    if (strcmp(all->list[i].body, body) == 0)
      return true;
  return false;
}

static bt_status read_said(bt_ledger *ledger, const char *sql, bool standing, said_list *all,
                           bt_error *error) {
  sqlite3_stmt *statement = NULL;
  bt_status status = ledger_prepare(ledger, sql, &statement, error);
  while (ledger_next(ledger, statement, &status, error)) {
    const char *body = (const char *)sqlite3_column_text(statement, 0);
    if (body != NULL && is_there(all, body))
      continue;
    if (body == NULL || !bt_grow(&all->list, &all->capacity, all->n + 1, sizeof *all->list)) {
      status = bt_fail_memory(error);
      break;
    }
    all->list[all->n] = (said){.body = bt_copy(body),
                               .time = sqlite3_column_int64(statement, 1),
                               .number = sqlite3_column_int64(statement, 2),
                               .standing = standing};
    if (all->list[all->n].body == NULL)
      status = bt_fail_memory(error);
    else
      all->n++;
  }
  (void)sqlite3_finalize(statement);
  return status;
}

static bt_status read_all_said(bt_ledger *ledger, const ledger_removal *r, said_list *all,
                               bt_error *error) {
  if (r->event != 0)
    return read_said(ledger, said_of_event_sql, true, all, error);
  static const char *const tables[][2] = {{"checks", "check"}, {"held", "held"}};
  bt_status status = BT_OK;
  for (size_t i = 0; i < 2 && status == BT_OK; i++) {
    char *sql = sqlite3_mprintf(said_form, tables[i][0], r->field, tables[i][1]);
    status = sql == NULL ? bt_fail_memory(error) : read_said(ledger, sql, i == 0, all, error);
    sqlite3_free(sql);
  }
  return status;
}

/* ---- Who else says it ------------------------------------------------------------------------ */

#define SAYS(ID, key) " OR c." #key " IN (SELECT number FROM same)"
#define SAYS_IT       "(0" BT_TEXTS(SAYS) ")"
#define NOT_NAMED(kind)                                                                            \
  " AND NOT EXISTS (SELECT 1 FROM temp.named_record AS n WHERE n.kind = '" kind                    \
  "' AND n.unit = c.unit AND n.time = c.time AND n.number = c.sequence)"

/* R1. ?1 is the body. */
static const char further_sql[] =
    "WITH same (number) AS MATERIALIZED (SELECT number FROM main.text WHERE body = ?1 "
    "AND salt <> x''), holder (stands, event, source) AS ("
    "SELECT NOT EXISTS (SELECT 1 FROM main.superseded AS s WHERE " SAME_KEY(
        "s", "c") "), 0, c.source FROM main.checks AS c WHERE " SAYS_IT
        NOT_NAMED("check") " UNION ALL SELECT 0, 0, c.source FROM main.held AS c WHERE " SAYS_IT
            NOT_NAMED(
                "held") " UNION ALL SELECT NOT EXISTS (SELECT 1 FROM main.superseded_event AS s "
                        "WHERE s.event = v.number), 1, v.source FROM main.event AS v WHERE v.note IN (SELECT number "
                        "FROM same) AND NOT EXISTS (SELECT 1 FROM temp.named_record AS n WHERE n.kind = 'event' "
                        "AND n.number = v.number)) "
                        "SELECT total(h.stands AND NOT h.event), total(h.stands AND h.event), total(NOT h.stands), "
                        "count(DISTINCT iif(o.kind <> 'typed', o.sha256, NULL)), "
                        "total(o.kind IS NULL OR o.kind = 'typed') FROM holder AS h "
                        "LEFT JOIN main.source AS o ON o.number = h.source";

static bt_status find_further(bt_ledger *ledger, said *one, bt_error *error) {
  sqlite3_stmt *statement = NULL;
  bool row = false;
  bt_status status = ledger_prepare(ledger, further_sql, &statement, error);
  if (status == BT_OK)
    status = ledger_bind(ledger, error, statement, "t", one->body);
  if (status == BT_OK)
    status = ledger_step(ledger, statement, &row, error);
  if (status == BT_OK && row)
    one->further = (bt_text_holders){.checks = sqlite3_column_int64(statement, 0),
                                     .events = sqlite3_column_int64(statement, 1),
                                     .past = sqlite3_column_int64(statement, 2),
                                     .logs = sqlite3_column_int64(statement, 3),
                                     .typed = sqlite3_column_int64(statement, 4) > 0};
  (void)sqlite3_finalize(statement);
  return status;
}

static int64_t count(const bt_text_holders *h) {
  return h->checks + h->events + h->past;
}

/* ---- R3, R4 ---------------------------------------------------------------------------------- */

static bool goes(const ledger_removal *r, const said *one) {
  return r->body == NULL || strcmp(r->body, one->body) == 0 || count(&one->further) == 0;
}

static void say_way_out(const ledger_removal *r, const said_list *all, bt_text *out) {
  bt_text_format(out,
                 "a text that is removed for good goes from all of them. To replace the word in "
                 "this one alone, correct it: %s=WHAT IT WAS (what it said stays in its history). "
                 "To remove it from all, add --everywhere",
                 r->field);
  for (size_t i = 0; i < all->n; i++) {
    const said *one = &all->list[i];
    char at[BT_TIME_TEXT];
    if (!one->standing || goes(r, one) == (count(&one->further) > 0))
      continue;
    bt_text_add(out,
                ". What an earlier version of it said, and no other, is removed by naming that "
                "one: ");
    if (r->event != 0)
      bt_text_format(out, "--event %lld", (long long)one->number);
    else
      bt_text_format(out, "--at %s#%lld", bt_time_iso(one->time, one->time % BT_DAY != 0, at),
                     (long long)one->number);
    return;
  }
}

static bt_status refuse(const ledger_removal *r, const said_list *all,
                        const bt_text_holders *further, bt_error *error) {
  bt_text words = {0};
  bt_text_add(&words, "the same text stands in ");
  bt_say_text_holders(further, &words);
  bt_text_add(&words, "; ");
  say_way_out(r, all, &words);
  bt_status status = bt_text_ok(&words) ? bt_fail(error, BT_REFUSED, "%s", bt_text_get(&words))
                                        : bt_fail_memory(error);
  bt_text_free(&words);
  return status;
}

static bt_status mark(bt_ledger *ledger, const char *body, bt_error *error) {
  return ledger_put(ledger, error,
                    "INSERT INTO temp.gone_text SELECT number FROM main.text WHERE body = ?1 "
                    "AND salt <> x''",
                    "t", body);
}

bt_status ledger_reach(bt_ledger *ledger, const ledger_removal *r, bool everywhere, int64_t *texts,
                       bt_text_holders *further, bt_error *error) {
  said_list all = {0};
  *further = (bt_text_holders){0};
  bt_status status = ledger_run(ledger, make_sql, error);
  if (status == BT_OK)
    status = name_records(ledger, r, error);
  if (status == BT_OK)
    status = read_all_said(ledger, r, &all, error);
  for (size_t i = 0; i < all.n && status == BT_OK; i++)
    status = find_further(ledger, &all.list[i], error);
  for (size_t i = 0; i < all.n && status == BT_OK; i++) {
    const bt_text_holders *one = &all.list[i].further;
    if (!goes(r, &all.list[i]))
      continue;
    further->checks += one->checks;
    further->events += one->events;
    further->past += one->past;
    further->logs = further->logs > one->logs ? further->logs : one->logs;
    further->typed = further->typed || one->typed;
    status = mark(ledger, all.list[i].body, error);
  }
  if (status == BT_OK && count(further) > 0 && !everywhere)
    status = refuse(r, &all, further, error);
  if (status == BT_OK)
    status = ledger_number(ledger, "SELECT count(*) FROM temp.gone_text", texts, error);
  release(&all);
  return status;
}

static void say_count(bt_text *out, int64_t n, const char *one, const char *many,
                      const char *before) {
  if (n > 0)
    bt_text_format(out, "%s%lld %s", before, (long long)n, n == 1 ? one : many);
}

void bt_say_text_holders(const bt_text_holders *h, bt_text *out) {
  bool stands = h->checks + h->events > 0;
  say_count(out, h->checks, "further check", "further checks", "");
  say_count(out, h->events, "further event", "further events", h->checks > 0 ? " and " : "");
  say_count(out, h->past, "record that no longer stands or is held back",
            "records that no longer stand or are held back", stands ? " and " : "");
  bt_text_add(out, " (");
  say_count(out, h->logs, "log", "logs", "of ");
  bt_text_add(out, !h->typed ? ")" : h->logs > 0 ? ", and typed in)" : "typed in)");
}
