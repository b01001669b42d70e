/* What the files of the ledger room share. Not for other rooms.
 *
 * Column lists are generated from the X-macros of record.h, so that a column is written down once.
 * The tables `checks`, `held` and the staging table have one shape: the columns of
 * LEDGER_CHECK_COLUMNS, in the order of ledger_column. */
#ifndef LEDGER_PRIVATE_H
#define LEDGER_PRIVATE_H

#include "beamtally/ledger.h"

#include <sqlite3.h>

enum {
  LEDGER_APPLICATION_ID = 0x42544C47, /* "BTLG" */
  LEDGER_VERSION = 6,
  LEDGER_FIRST_READINGS = 18, /* of BT_READINGS; later ones are digested otherwise: digest.c */
  LEDGER_FORM = 5,            /* of the entries that are sealed now */
  LEDGER_WAIT_MS = 10000,
  LEDGER_DIGEST_BYTES = 16,
  LEDGER_STATE_BYTES = 32,
  LEDGER_SALT_BYTES = 16,
  LEDGER_HEAD_BYTES = 100 /* of every SQLite file */
};

/* The copy of a ledger of an older version (migrate_copy.c). */
typedef struct ledger_kept {
  char *path;            /* NULL: the ledger was of today's version */
  bool was_there;        /* a migration that was killed had made it */
  int64_t parts_removed; /* of such migrations */
} ledger_kept;

struct bt_ledger {
  sqlite3 *db;
  char *path;
  bt_ledger_mode mode;
  bool unguarded; /* opened to be looked at although triggers are missing */
  bool begun;     /* by this opening, and nothing was entered since */
  ledger_kept kept;
  int64_t as_of;         /* entry that readers see the ledger after; 0: all of it */
  bool unended;          /* a transaction that failed could not be rolled back either */
  bool known_whole;      /* verified through this connection ... */
  int64_t whole_version; /* ... while others had written so far (PRAGMA data_version) */
};

/* The last entry that readers see (as_of.c). */
int64_t ledger_last_seen(const bt_ledger *ledger);

/* ---- Columns of a check ---------------------------------------------------------------------- */

#define LEDGER_READING_NAME(ID, key, unit, sign) ", " #key
#define LEDGER_TEXT_NAME(ID, key)                ", " #key
/* A text that was removed has no salt; it reads as one that never was. Most checks have none: only
 * where there is one does SQLite open the table. */
#define LEDGER_TEXT_BODY(ID, key)                                                                  \
  ", CASE WHEN c." #key " IS NOT NULL THEN (SELECT body FROM main.text WHERE number = c." #key     \
  " AND salt <> x'') END"
#define LEDGER_READING_PLACE(ID, key, unit, sign) ", ?"
#define LEDGER_TEXT_PLACE(ID, key)                ", ?"

#define LEDGER_KEY_COLUMNS                                                                         \
  "unit, time, sequence, has_clock, source, line, last_line, state, refill" BT_READINGS(           \
      LEDGER_READING_NAME)

/* As stored: texts are numbers of rows of `text` (in the staging table, the texts themselves). */
#define LEDGER_CHECK_COLUMNS LEDGER_KEY_COLUMNS BT_TEXTS(LEDGER_TEXT_NAME) ", digest"

/* As read from `checks AS c` or `held AS c`: texts are bodies. */
#define LEDGER_CHECK_BODIES LEDGER_KEY_COLUMNS BT_TEXTS(LEDGER_TEXT_BODY) ", digest"

#define LEDGER_CHECK_PLACES                                                                        \
  "?, ?, ?, ?, ?, ?, ?, ?, ?" BT_READINGS(LEDGER_READING_PLACE) BT_TEXTS(LEDGER_TEXT_PLACE) ", ?"

#define LEDGER_CHECK_INSERT(table)                                                                 \
  "INSERT INTO " table " (" LEDGER_CHECK_COLUMNS ") VALUES (" LEDGER_CHECK_PLACES ")"

typedef enum ledger_column {
  LEDGER_UNIT,
  LEDGER_TIME,
  LEDGER_SEQUENCE,
  LEDGER_HAS_CLOCK,
  LEDGER_SOURCE,
  LEDGER_LINE,
  LEDGER_LAST_LINE,
  LEDGER_STATE,
  LEDGER_REFILL,
  LEDGER_READING,
  LEDGER_TEXT = LEDGER_READING + BT_READING_COUNT,
  LEDGER_DIGEST = LEDGER_TEXT + BT_FIELD_COUNT
} ledger_column;

/* A text as stored: its row, and SHA-256(salt and body). number 0: there is none. */
typedef struct ledger_text {
  int64_t number;
  unsigned char sha256[BT_SHA256_BYTES];
} ledger_text;

/* A check with the numbers that the ledger gave. */
typedef struct ledger_row {
  bt_check check;
  int64_t unit, source;
  ledger_text text[BT_FIELD_COUNT];
} ledger_row;

/* Binds all but the texts and the digest, which are NULL then. False when SQLite refused. */
bool ledger_row_bind(sqlite3_stmt *statement, const ledger_row *row);

/* Reads all but the texts. */
void ledger_row_read_numbers(sqlite3_stmt *statement, ledger_row *row);

/* Reads a row whose texts are bodies; they are borrowed until the statement moves on. */
void ledger_row_read(sqlite3_stmt *statement, ledger_row *row);

/* ---- Readings of the clinic's own characteristics (own.c) ------------------------------------ */

typedef struct ledger_own_key {
  int64_t number;
  char *key;
} ledger_own_key;

/* The keys that the ledger knows. */
typedef struct ledger_own_keys {
  ledger_own_key *list;
  size_t n, capacity;
} ledger_own_keys;

/* keys is zeroed before; it is freed by the caller after a failure too. */
bt_status ledger_own_keys_read(bt_ledger *ledger, ledger_own_keys *keys,
                               bt_error *error) BT_MUST_CHECK;
void ledger_own_keys_free(ledger_own_keys *keys);

/* The list's own copy of a key, which stays until the list is freed; a key that is new is entered.
 */
bt_status ledger_own_key_kept(bt_ledger *ledger, ledger_own_keys *keys, const char *key,
                              int64_t entry, const char **kept, bt_error *error) BT_MUST_CHECK;

/* Puts readings in order of key, as digests have them; the second gives an owned copy of the
 * check's, NULL without memory. */
void ledger_own_sort(bt_own_reading *list, size_t n);
bt_own_reading *ledger_own_sorted(const bt_check *check) BT_MUST_CHECK;

/* A cursor over readings, in the order of their checks. Without any it costs nothing. */
typedef struct ledger_own_reader {
  bt_ledger *ledger;
  ledger_own_keys keys;
  sqlite3_stmt *rows; /* NULL: the table is empty */
  bool there;         /* it stands on a reading that was not taken yet */
  bt_own_reading *list;
  size_t capacity;
} ledger_own_reader;

/* table: "main.own_reading", "main.held_own" or "temp.staging_own"; where: "" or a clause with the
 * parameters ?1, a unit, and ?2, a time. It is closed by the caller after a failure too, and stands
 * nowhere before the first seek. */
bt_status ledger_own_open(bt_ledger *ledger, const char *table, const char *where,
                          ledger_own_reader *reader, bt_error *error) BT_MUST_CHECK;
void ledger_own_close(ledger_own_reader *reader);

/* Binds unit and time, where the clause has them, and stands on the first reading. */
bt_status ledger_own_seek(ledger_own_reader *reader, int64_t unit, bt_time time,
                          bt_error *error) BT_MUST_CHECK;

/* Sets the row's own readings, in order of key, from its unit, time and sequence, which must not
 * fall from call to call. They are borrowed until the next call. */
bt_status ledger_own_take(ledger_own_reader *reader, ledger_row *row,
                          bt_error *error) BT_MUST_CHECK;

/* Stores the row's own readings; insert is LEDGER_OWN_INSERT, prepared. */
#define LEDGER_OWN_INSERT(table)                                                                   \
  "INSERT INTO " table " (unit, time, sequence, own, value) VALUES (?1, ?2, ?3, ?4, ?5)"
bt_status ledger_own_put(bt_ledger *ledger, sqlite3_stmt *insert, const ledger_row *row,
                         ledger_own_keys *keys, int64_t entry, bt_error *error) BT_MUST_CHECK;

/* ---- SQLite with sentences (sql.c) ----------------------------------------------------------- */

/* Turns the connection's last failure into a sentence. `doing` is a participle: "importing". */
bt_status ledger_fault(const bt_ledger *ledger, const char *doing, bt_error *error) BT_MUST_CHECK;

bt_status ledger_run(bt_ledger *ledger, const char *sql, bt_error *error) BT_MUST_CHECK;
bt_status ledger_prepare(bt_ledger *ledger, const char *sql, sqlite3_stmt **statement,
                         bt_error *error) BT_MUST_CHECK;

/* *row tells whether there is a row; a statement that is done has been reset. */
bt_status ledger_step(bt_ledger *ledger, sqlite3_stmt *statement, bool *row,
                      bt_error *error) BT_MUST_CHECK;

/* Steps on to the statement's next row. False behind the last one, and where *status is a failure,
 * or becomes one: a loop over all rows. */
bool ledger_next(bt_ledger *ledger, sqlite3_stmt *statement, bt_status *status,
                 bt_error *error) BT_MUST_CHECK;

/* Runs one statement that gives no rows. types, one letter a parameter: i int64_t, t const char *
 * or NULL, r double, o int (whether there is one) and double, b const void * and size_t. */
bt_status ledger_put(bt_ledger *ledger, bt_error *error, const char *sql, const char *types,
                     ...) BT_MUST_CHECK;

/* The same parameters, bound to a statement that is stepped by the caller. */
bt_status ledger_bind(bt_ledger *ledger, bt_error *error, sqlite3_stmt *statement,
                      const char *types, ...) BT_MUST_CHECK;

/* The one integer that a query gives, without parameters and with them; 0 when it gives none. */
bt_status ledger_number(bt_ledger *ledger, const char *sql, int64_t *number,
                        bt_error *error) BT_MUST_CHECK;
bt_status ledger_number_of(bt_ledger *ledger, bt_error *error, const char *sql, int64_t *number,
                           const char *types, ...) BT_MUST_CHECK;

/* The number that the next row of such a table has. */
#define LEDGER_NEXT_NUMBER(table) "SELECT coalesce(max(number), 0) + 1 FROM main." table

/* BEGIN IMMEDIATE; BT_USAGE on a ledger opened for reading or in the midst of an import. */
bt_status ledger_begin(bt_ledger *ledger, bt_error *error) BT_MUST_CHECK;
/* Until ledger_rollback all is read as of one moment. */
bt_status ledger_begin_reading(bt_ledger *ledger, bt_error *error) BT_MUST_CHECK;
bt_status ledger_commit(bt_ledger *ledger, bt_error *error) BT_MUST_CHECK;
void ledger_rollback(bt_ledger *ledger);
/* Commits where the status is BT_OK; after a failure takes all back and passes it on. */
bt_status ledger_end(bt_ledger *ledger, bt_status status, bt_error *error) BT_MUST_CHECK;

/* BT_DAMAGED, with a sentence of its own, where the file's head says that nobody may write it
 * (marks.c). Within a transaction, so that no writer changes it meanwhile. */
bt_status ledger_marks_as_written(bt_ledger *ledger, bt_error *error) BT_MUST_CHECK;

/* BT_SYSTEM: the file that is open has no longer the ledger's name; looked at by
 * ledger_is_in_place (unbegun.c). */
bt_status ledger_was_moved(const bt_ledger *ledger, bt_error *error) BT_MUST_CHECK;
bt_status ledger_is_in_place(bt_ledger *ledger, bt_error *error) BT_MUST_CHECK;

/* A file into which nothing was entered, as it was found. */
typedef struct ledger_nothing {
  int64_t bytes;
  unsigned char head[LEDGER_HEAD_BYTES];
} ledger_nothing;

/* Whether nothing stands in the ledger but that it was made; ends its transaction. Then, when it is
 * closed here, ledger_take_away takes the file away if it is still like that and nobody else uses
 * it. */
bool ledger_holds_nothing(bt_ledger *ledger, ledger_nothing *found) BT_MUST_CHECK;
void ledger_take_away(const char *path, const ledger_nothing *found);

/* How long a writer waits for another: for tests. */
void ledger_set_wait(bt_ledger *ledger, int milliseconds);

/* ---- Schema (schema.c) ----------------------------------------------------------------------- */

/* Makes those tables that aren't there, and all triggers, of which there is none yet. */
bt_status ledger_schema_complete(bt_ledger *ledger, bt_error *error) BT_MUST_CHECK;

/* Of a ledger's structure, and what it is for a version, up to today's: see migrate.c. */
bt_status ledger_schema_digest(bt_ledger *ledger, char digits[2 * BT_SHA256_BYTES + 1],
                               bt_error *error) BT_MUST_CHECK;
const char *ledger_schema_known(int64_t version);

/* Makes the tables of an older version those of today, within a transaction: the triggers are gone,
 * references aren't followed (migrate_tables.c). */
bt_status ledger_tables_of_today(bt_ledger *ledger, bt_error *error) BT_MUST_CHECK;

/* Rows by which schemas are compared. */
#define LEDGER_SCHEMA_ROWS                                                                         \
  "SELECT type, name, tbl_name, coalesce(sql, '') FROM main.sqlite_schema ORDER BY type, name"

/* The same in any connection; SQLite's code. */
int ledger_schema_run(sqlite3 *db);

/* BT_DAMAGED naming the first table, index, trigger or view that is not as ours
 * (schema_compare.c). */
bt_status ledger_schema_compare(bt_ledger *ledger, bt_error *error) BT_MUST_CHECK;

/* ---- Migration (migrate.c, migrate_copy.c) --------------------------------------------------- */

/* Brings a ledger of that older version to LEDGER_VERSION, or leaves it as it is. */
bt_status ledger_migrate(bt_ledger *ledger, int64_t version, bt_error *error) BT_MUST_CHECK;

/* Copies the ledger, which is locked, to a new file beside it, compares it and brings it to the
 * disk; or finds that file. kept->path is owned; NULL, and no file is left, after a failure. */
bt_status ledger_keep_version(bt_ledger *ledger, int64_t version, ledger_kept *kept,
                              bt_error *error) BT_MUST_CHECK;

/* Copies all pages to an empty file (copy_pages.c). */
bt_status ledger_copy_pages(bt_ledger *ledger, const char *path, bt_error *error) BT_MUST_CHECK;

/* ---- Digests (digest.c) ---------------------------------------------------------------------- */

/* tag 'c' for a check, 'h' for one held back. Its own readings stand in order of key. */
void ledger_check_digest(char tag, const ledger_row *row, unsigned char *digest);

/* The same, were only so many readings the first ones: for a test. */
void ledger_check_digest_of(char tag, const ledger_row *row, int first_readings,
                            unsigned char *digest);

/* Digest of what two checks of one time are compared by: all but remark, operator and line. */
void ledger_check_content(const bt_check *check, unsigned char *digest);

/* note NULL where there is none; source 0 for one typed in by hand. */
void ledger_event_digest(const bt_event *event, int64_t unit, int64_t source,
                         const ledger_text *note, unsigned char *digest);

void ledger_text_sha256(const unsigned char *salt, const char *body, unsigned char *sha256);

/* ---- Entries (entry.c) ----------------------------------------------------------------------- */

typedef struct ledger_entry {
  int64_t number;
  const char *kind; /* "created", "import", "event", "settings", "baseline" ... */
  bt_time at;
  const char *by, *why; /* NULL where not asked for */
  int64_t form;         /* read by ledger_entry_state alone; a sealed entry has LEDGER_FORM */
} ledger_entry;

/* The number that the next entry will have. */
bt_status ledger_entry_next(bt_ledger *ledger, int64_t *number, bt_error *error) BT_MUST_CHECK;

/* ---- What entries brought, list by list (entry_lists.c) -------------------------------------- */

/* Digests of the checks that an import added (fresh.c, import_private.h). */
typedef struct ledger_fresh ledger_fresh;

enum { LEDGER_LISTS = 24, LEDGER_LIST_OF_CHECKS = 2 };

/* Lists are counted in the order in which entry.c hashes them. */
char ledger_list_letter(int list);

/* A statement a list, which gives one entry's rows after the other's: first the entry's number,
 * then what is hashed. Zeroed: there are no rows. */
typedef struct ledger_lists {
  ledger_fresh *fresh; /* digests of the one entry's checks, in place of rows; borrowed */
  sqlite3_stmt *rows[LEDGER_LISTS];
  bool there[LEDGER_LISTS]; /* the statement stands on a row that was not taken yet */
} ledger_lists;

/* Stands on the first rows of that entry, which is about to be sealed, or, where `of` is NULL, of
 * all entries. checks_sql gives the digests of checks, in order of (line, unit, time, sequence)
 * within an entry; its ?1, where it has one, is the entry's number; NULL: there are none. The lists
 * are closed by the caller, after a failure too. */
bt_status ledger_lists_open(bt_ledger *ledger, const ledger_entry *of, const char *checks_sql,
                            ledger_lists *lists, bt_error *error) BT_MUST_CHECK;
void ledger_lists_close(ledger_lists *lists);

/* Hashes all that the entry brought onto the state before it (LEDGER_STATE_BYTES both), taking its
 * rows from the lists. BT_DAMAGED for an entry that brought what its form can't guard. */
bt_status ledger_entry_state(bt_ledger *ledger, const ledger_entry *entry,
                             const unsigned char *previous, ledger_lists *lists,
                             unsigned char *sealed, bt_error *error) BT_MUST_CHECK;

/* BT_DAMAGED: the entry is not as it was written. */
bt_status ledger_entry_differs(const bt_ledger *ledger, const ledger_entry *entry,
                               bt_error *error) BT_MUST_CHECK;

/* Stores the entry under its state. checks_sql is for ledger_lists_open; NULL for an entry that
 * brings no checks. That of an import takes them from `fresh`. */
bt_status ledger_entry_seal(bt_ledger *ledger, const ledger_entry *entry, const char *checks_sql,
                            bt_error *error) BT_MUST_CHECK;
bt_status ledger_entry_seal_import(bt_ledger *ledger, const ledger_entry *entry,
                                   ledger_fresh *fresh, bt_error *error) BT_MUST_CHECK;

/* ---- Texts, units, events -------------------------------------------------------------------- */

/* Stores one text under a new salt; insert is LEDGER_TEXT_INSERT, prepared. */
bt_status ledger_text_add(bt_ledger *ledger, sqlite3_stmt *insert, const char *body,
                          ledger_text *text, bt_error *error) BT_MUST_CHECK;

#define LEDGER_TEXT_INSERT "INSERT INTO main.text (number, salt, body) VALUES (NULL, ?1, ?2)"

/* *number of the unit of that name: 0 when there is none; or then BT_NOTFOUND with the nearest
 * name. */
bt_status ledger_unit_number(bt_ledger *ledger, const char *name, int64_t *number,
                             bt_error *error) BT_MUST_CHECK;
bt_status ledger_unit_known(bt_ledger *ledger, const char *name, int64_t *number,
                            bt_error *error) BT_MUST_CHECK;

/* The unit's name as first written, owned. */
bt_status ledger_unit_name(bt_ledger *ledger, int64_t number, char **name,
                           bt_error *error) BT_MUST_CHECK;

/* Whether a unit of the ledger differs from that name in case, blanks and joints only. */
bt_status ledger_unit_resembles(bt_ledger *ledger, const char *name, bool *like,
                                bt_error *error) BT_MUST_CHECK;

#define LEDGER_NEW_UNIT_ADVICE                                                                     \
  "if it is another laser, say --new-unit; if it is misspelt, correct the name"

/* BT_NOTFOUND, or BT_REFUSED where something is put in, with the nearest name or all of a few, and
 * what to do. */
bt_status ledger_unit_unknown(bt_ledger *ledger, const char *name, bt_status status,
                              const char *advice, bt_error *error) BT_MUST_CHECK;

/* Whether the settings in force name that unit: a person declared it, so its first log is no typing
 * error. */
bt_status ledger_unit_declared(bt_ledger *ledger, const char *name, bool *declared,
                               bt_error *error) BT_MUST_CHECK;
/* The number of a unit that a person names: known, declared in the settings or new by their word;
 * else BT_REFUSED. */
bt_status ledger_unit_take(bt_ledger *ledger, const char *name, bool new_unit, int64_t entry,
                           int64_t *number, bt_error *error) BT_MUST_CHECK;
/* Makes a unit, under the spelling of the settings in force where they name it. */
bt_status ledger_unit_add(bt_ledger *ledger, const char *name, int64_t entry, int64_t *number,
                          bt_error *error) BT_MUST_CHECK;

/* Stores the event unless it is known: of its unit, time and kind, with the same note or none that
 * is new (event.c); source 0: a person typed it. *silent: a log's event was stored without its
 * note, since a person had that of its unit and time removed. */
bt_status ledger_event_put(bt_ledger *ledger, const bt_event *event, int64_t unit, int64_t source,
                           int64_t entry, bool *known, bool *silent, bt_error *error) BT_MUST_CHECK;

/* BT_INPUT for an event or check that no log can hold: a reading that isn't finite, bad UTF-8 ...
 */
bt_status ledger_event_valid(const bt_event *event, bt_error *error) BT_MUST_CHECK;
bt_status ledger_check_valid(const bt_check *check, bt_error *error) BT_MUST_CHECK;

/* Within the years 1 to 9999, as bt_civil can write them. */
bool ledger_time_valid(bt_time time);

/* BT_USAGE when a word that must be there is missing. */
bt_status ledger_asked(const char *word, const char *name, bt_error *error) BT_MUST_CHECK;

/* The key of a characteristic, owned; BT_USAGE for one of the clinic's own that the settings in
 * force don't name (settings.c). */
bt_status ledger_characteristic_key(bt_ledger *ledger, bt_characteristic characteristic, char **key,
                                    bt_error *error) BT_MUST_CHECK;

/* Whether the source `later` held again all rows that went in from `older`. */
#define LEDGER_HOLDS_AGAIN(later, older)                                                           \
  "NOT EXISTS (SELECT 1 FROM main.source_unit AS u WHERE u.source = " older ".number "             \
  "AND u.fresh + u.known > coalesce((SELECT v.known FROM main.source_unit AS v "                   \
  "WHERE v.source = " later ".number AND v.unit = u.unit), 0))"

/* Whether a refused line of the source n may still be missing: not once that very file was read in
 * another way, a mended one took its place, or a later log of its name held again all rows that
 * went in from it. Each tells its own refused lines: a mended line is none of them. */
#define LEDGER_REFUSAL_STANDS(and_later)                                                           \
  "NOT EXISTS (SELECT 1 FROM main.source AS l WHERE l.number > n.number" and_later " "             \
  "AND l.kind IN ('checks', 'events') AND (l.sha256 = n.sha256 "                                   \
  "OR EXISTS (SELECT 1 FROM main.superseded AS r JOIN main.checks AS c ON c.unit = r.unit "        \
  "AND c.time = r.time AND c.sequence = r.sequence WHERE r.entry = l.entry "                       \
  "AND r.kind = 'read again' AND c.source = n.number) OR (l.name = n.name "                        \
  "AND " LEDGER_HOLDS_AGAIN("l", "n") ")))"

/* The entry by which a person left out the refusal r of the source n: that very one, or the same
 * line of an earlier state of that log, which has only grown since (leave_out.c). The raw line is
 * never kept: it is the same where its number, column and reason are, as for refused_before.c. A
 * log of the same name that doesn't hold again what went in from the earlier one, or of which
 * nothing went in, is another log, whatever its lines are. NULL: nobody did. */
#define LEDGER_LEFT_OUT(and_decision)                                                              \
  "(SELECT min(d.entry) FROM main.left_out AS d CROSS JOIN main.refusal AS q "                     \
  "ON q.source = d.source AND q.number = d.number JOIN main.source AS m ON m.number = d.source "   \
  "WHERE q.line = r.line AND q.header IS r.header AND q.reason = r.reason "                        \
  "AND q.serious = r.serious AND (m.number = n.number OR (m.number < n.number "                    \
  "AND m.kind = n.kind AND (m.sha256 = n.sha256 OR (m.name = n.name "                              \
  "AND EXISTS (SELECT 1 FROM main.source_unit AS w WHERE w.source = m.number "                     \
  "AND w.fresh + w.known > 0) AND " LEDGER_HOLDS_AGAIN("n", "m") "))))" and_decision ")"

#endif
