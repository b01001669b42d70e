/* Digests of checks, rows held back and events, computed anew.
 *
 * A text stands in the ledger only because a record has it, and is numbered from 1 without a gap: a
 * text that no record names was put there by someone else.
 *
 * What a digest does not see because the reader folds it (a has_clock of 2 is true as well) must be
 * the value that we write. */
#include "ledger_private.h"

#include <stdlib.h>
#include <string.h>

/* Reads stored texts by number. Checks that follow each other share most of theirs. */
typedef struct text_reader {
  bt_ledger *ledger;
  sqlite3_stmt *statement;
  ledger_text last[BT_FIELD_COUNT];
  int64_t texts;  /* that the ledger has, numbered from 1 */
  uint8_t *named; /* bit t: a record names text t */
} text_reader;

/* A text that was removed stands for its digest, and nothing of it may be left. */
static bool read_removed(sqlite3_stmt *row, ledger_text *text) {
  if (sqlite3_column_bytes(row, 0) != 0 || sqlite3_column_bytes(row, 1) != 0 ||
      sqlite3_column_bytes(row, 2) != BT_SHA256_BYTES)
    return false;
  memcpy(text->sha256, sqlite3_column_blob(row, 2), BT_SHA256_BYTES);
  return true;
}

static bool read_kept(sqlite3_stmt *row, ledger_text *text) {
  const char *body = (const char *)sqlite3_column_text(row, 1);
  if (body == NULL || sqlite3_column_bytes(row, 0) != LEDGER_SALT_BYTES ||
      !bt_utf8_valid(body, (size_t)sqlite3_column_bytes(row, 1)))
    return false;
  ledger_text_sha256(sqlite3_column_blob(row, 0), body, text->sha256);
  return true;
}

/* False in *whole when there is no such text, or its row can't be one of ours. */
static bt_status read_text(text_reader *reader, int64_t number, ledger_text *text, bool *whole,
                           bt_error *error) {
  bool row = false;
  bt_status status = ledger_bind(reader->ledger, error, reader->statement, "i", number);
  if (status == BT_OK)
    status = ledger_step(reader->ledger, reader->statement, &row, error);
  if (status != BT_OK)
    return status;
  bool removed = row && sqlite3_column_type(reader->statement, 2) != SQLITE_NULL;
  *whole = row && number > 0 && number <= reader->texts &&
           (removed ? read_removed(reader->statement, text) : read_kept(reader->statement, text));
  text->number = *whole ? number : 0;
  if (*whole)
    reader->named[number / 8] = (uint8_t)(reader->named[number / 8] | 1U << number % 8);
  (void)sqlite3_reset(reader->statement);
  return BT_OK;
}

/* True when a digest of ours stands in that column. */
static bool same_digest(sqlite3_stmt *row, int column, const unsigned char *digest) {
  return sqlite3_column_bytes(row, column) == LEDGER_DIGEST_BYTES &&
         memcmp(sqlite3_column_blob(row, column), digest, LEDGER_DIGEST_BYTES) == 0;
}

static bt_status read_texts(text_reader *reader, sqlite3_stmt *row, ledger_text *texts, bool *whole,
                            bt_error *error) {
  for (int f = 0; f < BT_FIELD_COUNT && *whole; f++) {
    int64_t number = sqlite3_column_int64(row, LEDGER_TEXT + f);
    if (sqlite3_column_type(row, LEDGER_TEXT + f) == SQLITE_NULL)
      continue;
    if (reader->last[f].number != number) {
      bt_status status = read_text(reader, number, &reader->last[f], whole, error);
      if (status != BT_OK)
        return status;
    }
    texts[f] = reader->last[f];
  }
  return BT_OK;
}

/* Whether the columns that the reader folds stand as we write them. */
static bool columns_plain(sqlite3_stmt *statement, const ledger_row *row) {
  const bt_check *check = &row->check;
  return sqlite3_column_int64(statement, LEDGER_HAS_CLOCK) == check->has_clock &&
         sqlite3_column_int64(statement, LEDGER_SEQUENCE) == check->sequence &&
         sqlite3_column_int64(statement, LEDGER_STATE) == (int64_t)check->state &&
         sqlite3_column_int64(statement, LEDGER_REFILL) == (int64_t)check->refill;
}

static bt_status check_whole(text_reader *reader, ledger_own_reader *own, sqlite3_stmt *statement,
                             char tag, bool *whole, bt_error *error) {
  ledger_row row;
  ledger_text texts[BT_FIELD_COUNT] = {0};
  unsigned char digest[LEDGER_DIGEST_BYTES];
  *whole = true;
  /* Before ledger_row_read, which turns the numbers of texts into words. */
  bt_status status = read_texts(reader, statement, texts, whole, error);
  if (status != BT_OK || !*whole)
    return status;
  ledger_row_read(statement, &row);
  status = ledger_own_take(own, &row, error);
  if (status != BT_OK)
    return status;
  memcpy(row.text, texts, sizeof texts);
  memset(row.check.text, 0, sizeof row.check.text); /* bodies were looked at */
  row.check.unit = "-";                             /* so was its name: it is the chain's */
  ledger_check_digest(tag, &row, digest);
  *whole = columns_plain(statement, &row) && ledger_check_valid(&row.check, NULL) == BT_OK &&
           same_digest(statement, LEDGER_DIGEST, digest);
  return BT_OK;
}

/* Where a row that differs stands. */
typedef struct row_place {
  const char *what; /* "the check" */
  int64_t unit, source, line;
  bt_time time;
  bool has_clock;
} row_place;

enum { NAME_MOST = 80 };

/* Bytes of a name that a sentence has room for, no character cut in two. */
static int shown(const char *name) {
  size_t length = strlen(name);
  if (length <= NAME_MOST)
    return (int)length;
  length = NAME_MOST;
  while (length > 0 && ((unsigned char)name[length] & 0xC0) == 0x80)
    length--;
  return (int)length;
}

static bt_status row_differs(bt_ledger *ledger, const row_place *place, bt_error *error) {
  sqlite3_stmt *names = NULL;
  bool row = false;
  char at[BT_TIME_TEXT] = "an impossible time";
  bt_status status =
      ledger_prepare(ledger,
                     "SELECT (SELECT name FROM main.unit WHERE number = ?1), "
                     "coalesce((SELECT name FROM main.source WHERE number = ?2), 'typed in')",
                     &names, error);
  if (status == BT_OK)
    status = ledger_bind(ledger, error, names, "ii", place->unit, place->source);
  if (status == BT_OK)
    status = ledger_step(ledger, names, &row, error);
  if (status == BT_OK && ledger_time_valid(place->time))
    (void)bt_time_iso(place->time, place->has_clock, at);
  if (status == BT_OK) {
    const char *unit = (const char *)sqlite3_column_text(names, 0);
    const char *source = (const char *)sqlite3_column_text(names, 1);
    unit = unit == NULL ? "" : unit;
    source = source == NULL ? "" : source;
    status = bt_fail(error, BT_DAMAGED,
                     "%s: %s of \"%.*s\" at %s (%.*s, line %lld) is not as it was written; use a "
                     "backup of the ledger from before",
                     ledger->path, place->what, shown(unit), unit, at, shown(source), source,
                     (long long)place->line);
  }
  (void)sqlite3_finalize(names);
  return status;
}

/* All rows of one of the two tables of checks, in order of their key. */
static bt_status verify_table(text_reader *reader, const char *sql, char tag, int64_t *counted,
                              bt_error *error) {
  bt_ledger *ledger = reader->ledger;
  sqlite3_stmt *statement = NULL;
  ledger_own_reader own;
  bool row = true, whole = true;
  bt_status status =
      ledger_own_open(ledger, tag == 'c' ? "main.own_reading" : "main.held_own", "", &own, error);
  if (status == BT_OK)
    status = ledger_own_seek(&own, 0, 0, error);
  if (status == BT_OK)
    status = ledger_prepare(ledger, sql, &statement, error);
  while (status == BT_OK && row) {
    status = ledger_step(ledger, statement, &row, error);
    if (status != BT_OK || !row)
      break;
    status = check_whole(reader, &own, statement, tag, &whole, error);
    if (status == BT_OK && !whole) {
      row_place place = {.what = tag == 'c' ? "the check" : "the row held back",
                         .unit = sqlite3_column_int64(statement, LEDGER_UNIT),
                         .source = sqlite3_column_int64(statement, LEDGER_SOURCE),
                         .line = sqlite3_column_int64(statement, LEDGER_LINE),
                         .time = sqlite3_column_int64(statement, LEDGER_TIME),
                         .has_clock = sqlite3_column_int(statement, LEDGER_HAS_CLOCK) != 0};
      status = row_differs(ledger, &place, error);
    }
    (*counted)++;
  }
  (void)sqlite3_finalize(statement);
  ledger_own_close(&own);
  return status;
}

enum {
  E_UNIT,
  E_SOURCE,
  E_LINE,
  E_LAST_LINE,
  E_TIME,
  E_HAS_CLOCK,
  E_NOTE,
  E_DIGEST,
  E_KIND,
  E_NUMBER,
  E_ENTRY
};

static const char events_sql[] = "SELECT unit, source, line, last_line, time, has_clock, note, "
                                 "digest, kind, number, entry FROM main.event ORDER BY number";

static bt_status event_whole(text_reader *reader, sqlite3_stmt *row, bool *whole, bt_error *error) {
  bt_event event = {.unit = "-", /* its name is the chain's */
                    .line = sqlite3_column_int64(row, E_LINE),
                    .last_line = sqlite3_column_int64(row, E_LAST_LINE),
                    .time = sqlite3_column_int64(row, E_TIME),
                    .has_clock = sqlite3_column_int(row, E_HAS_CLOCK) != 0};
  ledger_text note = {0};
  unsigned char digest[LEDGER_DIGEST_BYTES];
  const char *kind = (const char *)sqlite3_column_text(row, E_KIND);
  bt_status status = BT_OK;
  /* The key as we write it, not one that is only read as the same. */
  *whole = kind != NULL && bt_event_kind_of(kind, &event.kind) &&
           strlen(bt_event_key(event.kind)) == (size_t)sqlite3_column_bytes(row, E_KIND) &&
           strcmp(bt_event_key(event.kind), kind) == 0;
  if (*whole && sqlite3_column_type(row, E_NOTE) != SQLITE_NULL)
    status = read_text(reader, sqlite3_column_int64(row, E_NOTE), &note, whole, error);
  if (status != BT_OK || !*whole)
    return status;
  ledger_event_digest(&event, sqlite3_column_int64(row, E_UNIT),
                      sqlite3_column_int64(row, E_SOURCE), &note, digest);
  *whole = sqlite3_column_int64(row, E_HAS_CLOCK) == event.has_clock &&
           ledger_event_valid(&event, NULL) == BT_OK && same_digest(row, E_DIGEST, digest);
  return BT_OK;
}

/* Corrections name events by number: numbers have no gap and rise with the entries. */
static bt_status number_follows(const bt_ledger *ledger, sqlite3_stmt *row, int64_t expected,
                                int64_t *entry, bt_error *error) {
  int64_t number = sqlite3_column_int64(row, E_NUMBER);
  int64_t before = *entry;
  *entry = sqlite3_column_int64(row, E_ENTRY);
  if (number == expected && *entry >= before)
    return BT_OK;
  return bt_fail(error, BT_DAMAGED,
                 "%s: event %lld is gone, or numbers of events were changed; use a backup of the "
                 "ledger from before",
                 ledger->path, (long long)expected);
}

static bt_status verify_events(text_reader *reader, int64_t *counted, bt_error *error) {
  bt_ledger *ledger = reader->ledger;
  int64_t entry = 0;
  sqlite3_stmt *statement = NULL;
  bool row = true, whole = true;
  bt_status status = ledger_prepare(ledger, events_sql, &statement, error);
  while (status == BT_OK && row) {
    status = ledger_step(ledger, statement, &row, error);
    if (status != BT_OK || !row)
      break;
    status = event_whole(reader, statement, &whole, error);
    if (status == BT_OK && !whole) {
      row_place place = {.what = "the event",
                         .unit = sqlite3_column_int64(statement, E_UNIT),
                         .source = sqlite3_column_int64(statement, E_SOURCE),
                         .line = sqlite3_column_int64(statement, E_LINE),
                         .time = sqlite3_column_int64(statement, E_TIME),
                         .has_clock = sqlite3_column_int(statement, E_HAS_CLOCK) != 0};
      status = row_differs(ledger, &place, error);
    }
    (*counted)++;
    if (status == BT_OK)
      status = number_follows(ledger, statement, *counted, &entry, error);
  }
  (void)sqlite3_finalize(statement);
  return status;
}

bt_status ledger_text_is_stray(const bt_ledger *ledger, int64_t number, bt_error *error) {
  return bt_fail(error, BT_DAMAGED,
                 "%s: text %lld belongs to no check and no event, or one numbered before it is "
                 "gone: it is not as it was written; use a backup of the ledger from before",
                 ledger->path, (long long)number);
}

static bt_status begin_texts(text_reader *reader, bt_error *error) {
  bt_ledger *ledger = reader->ledger;
  int64_t gap = 0;
  bt_status status = ledger_number(ledger, "SELECT count(*) FROM main.text", &reader->texts, error);
  if (status == BT_OK)
    status = ledger_number(ledger,
                           "SELECT number FROM main.text WHERE number < 1 OR number > "
                           "(SELECT count(*) FROM main.text) LIMIT 1",
                           &gap, error);
  if (status == BT_OK && gap != 0)
    return ledger_text_is_stray(ledger, gap, error);
  if (status == BT_OK) {
    reader->named = bt_new((size_t)reader->texts / 8 + 1, 1);
    if (reader->named == NULL)
      status = bt_fail_memory(error);
  }
  if (status == BT_OK)
    status = ledger_prepare(ledger,
                            "SELECT t.salt, t.body, r.sha256 FROM main.text AS t LEFT JOIN "
                            "main.redaction AS r ON r.text = t.number WHERE t.number = ?1",
                            &reader->statement, error);
  return status;
}

/* 0: every text is named. */
static int64_t first_stray(const text_reader *reader) {
  int64_t t = 1;
  while (t <= reader->texts && (reader->named[t / 8] >> t % 8 & 1) != 0)
    t++;
  return t <= reader->texts ? t : 0;
}

bt_status ledger_verify_rows(bt_ledger *ledger, bt_verification *found, int64_t *stray_text,
                             bt_error *error) {
  text_reader reader = {.ledger = ledger};
  bt_status status = begin_texts(&reader, error);
  if (status == BT_OK)
    status = verify_table(&reader,
                          "SELECT " LEDGER_CHECK_COLUMNS " FROM main.checks "
                          "ORDER BY unit, time, sequence",
                          'c', &found->checks, error);
  if (status == BT_OK)
    status = verify_table(&reader,
                          "SELECT " LEDGER_CHECK_COLUMNS " FROM main.held "
                          "ORDER BY unit, time, sequence",
                          'h', &found->held, error);
  if (status == BT_OK)
    status = verify_events(&reader, &found->events, error);
  if (status == BT_OK)
    *stray_text = first_stray(&reader);
  if (status == BT_OK)
    status =
        ledger_number(ledger, "SELECT count(*) FROM main.redaction", &found->removed_texts, error);
  (void)sqlite3_finalize(reader.statement);
  free(reader.named);
  return status;
}
