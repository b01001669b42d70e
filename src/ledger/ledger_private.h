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
  LEDGER_VERSION = 4,
  LEDGER_FIRST_READINGS = 18, /* of BT_READINGS; later ones are digested otherwise: digest.c */
  LEDGER_FORM = 4,            /* of the entries that are sealed now */
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

/* The last entry that readers see. */
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

/* ---- Readings of the clinic's own characteristics (own.c) -------------------------------------
 */

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

/* The number of a key, which is entered where it is new. */
bt_status ledger_own_key_number(bt_ledger *ledger, ledger_own_keys *keys, const char *key,
                                int64_t entry, int64_t *number, bt_error *error) BT_MUST_CHECK;

/* The same, giving the list's own copy of the key, which stays until the list is freed. */
bt_status ledger_own_key_kept(bt_ledger *ledger, ledger_own_keys *keys, const char *key,
                              int64_t entry, const char **kept, bt_error *error) BT_MUST_CHECK;

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

/* Stores the row's own readings. insert takes unit, time, sequence, own, value. */
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

/* Runs one statement that gives no rows. types, one letter a parameter: i int64_t, t const char *
 * or NULL, r double, o int (whether there is one) and double, b const void * and size_t. */
bt_status ledger_put(bt_ledger *ledger, bt_error *error, const char *sql, const char *types,
                     ...) BT_MUST_CHECK;

/* The same parameters, bound to a statement that is stepped by the caller. */
bt_status ledger_bind(bt_ledger *ledger, bt_error *error, sqlite3_stmt *statement,
                      const char *types, ...) BT_MUST_CHECK;

/* The one integer that a query without parameters gives; 0 when it gives none. */
bt_status ledger_number(bt_ledger *ledger, const char *sql, int64_t *number,
                        bt_error *error) BT_MUST_CHECK;

/* BEGIN IMMEDIATE; BT_USAGE on a ledger opened for reading or in the midst of an import. */
bt_status ledger_begin(bt_ledger *ledger, bt_error *error) BT_MUST_CHECK;
/* Until ledger_rollback all is read as of one moment. */
bt_status ledger_begin_reading(bt_ledger *ledger, bt_error *error) BT_MUST_CHECK;
bt_status ledger_commit(bt_ledger *ledger, bt_error *error) BT_MUST_CHECK;
void ledger_rollback(bt_ledger *ledger);

/* BT_DAMAGED, with a sentence of its own, where the file's head says that nobody may write it
 * (marks.c). Within a transaction, so that no writer changes it meanwhile. */
bt_status ledger_marks_as_written(bt_ledger *ledger, bt_error *error) BT_MUST_CHECK;

/* BT_SYSTEM where the file that is open has no longer the ledger's name (unbegun.c). */
bt_status ledger_is_in_place(bt_ledger *ledger, bt_error *error) BT_MUST_CHECK;

bt_status ledger_was_moved(const bt_ledger *ledger, bt_error *error) BT_MUST_CHECK;

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

/* Copies all pages to an empty file (backup.c). */
bt_status ledger_copy_pages(bt_ledger *ledger, const char *path, bt_error *error) BT_MUST_CHECK;

/* The folder of a file's path, owned; NULL without memory (open.c). */
char *ledger_folder(const char *path) BT_MUST_CHECK;

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

/* ---- Digests of an import (fresh.c) ---------------------------------------------------------- */

typedef struct ledger_fresh ledger_fresh;

/* *fresh is closed by the caller after a failure too; temp.fresh must be there. */
bt_status ledger_fresh_open(bt_ledger *ledger, ledger_fresh **fresh, bt_error *error) BT_MUST_CHECK;
void ledger_fresh_close(ledger_fresh *fresh);

/* late: it doesn't come in the order of lines. */
bt_status ledger_fresh_add(ledger_fresh *fresh, const ledger_row *row, const unsigned char *digest,
                           bool late, bt_error *error) BT_MUST_CHECK;

/* No more will come. *in_table: LEDGER_FRESH_DIGESTS gives all of them, else ledger_fresh_next. */
bt_status ledger_fresh_settle(ledger_fresh *fresh, bool *in_table, bt_error *error) BT_MUST_CHECK;
bt_status ledger_fresh_next(ledger_fresh *fresh, unsigned char *digest, bool *there,
                            bt_error *error) BT_MUST_CHECK;

/* ---- What entries brought, list by list (entry_lists.c) ---------------------------------------
 */

enum { LEDGER_LISTS = 23, LEDGER_LIST_OF_CHECKS = 2 };

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

enum { LEDGER_TEXT_SLOTS = 1024, LEDGER_TEXT_SHARED = 200 };

/* Stores texts, each under a new salt. Short ones that repeat within an import (a meter, a pattern)
 * share a row, but never a remark, which must be removable alone. Bounded: a text that meets
 * another in its slot takes its place. */
typedef struct ledger_texts {
  sqlite3_stmt *insert;
  struct {
    bt_text_field field;
    ledger_text text;
    char body[LEDGER_TEXT_SHARED];
  } slot[LEDGER_TEXT_SLOTS];
} ledger_texts;

bt_status ledger_texts_open(bt_ledger *ledger, ledger_texts **texts, bt_error *error) BT_MUST_CHECK;
void ledger_texts_close(ledger_texts *texts);
bt_status ledger_texts_put(bt_ledger *ledger, ledger_texts *texts, bt_text_field field,
                           const char *body, ledger_text *text, bt_error *error) BT_MUST_CHECK;

/* Stores one text under a new salt; insert is LEDGER_TEXT_INSERT, prepared. */
bt_status ledger_text_add(bt_ledger *ledger, sqlite3_stmt *insert, const char *body,
                          ledger_text *text, bt_error *error) BT_MUST_CHECK;

#define LEDGER_TEXT_INSERT "INSERT INTO main.text (number, salt, body) VALUES (NULL, ?1, ?2)"

/* *number of the unit of that name; 0 when there is none. */
bt_status ledger_unit_number(bt_ledger *ledger, const char *name, int64_t *number,
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

/* Whether a refused line of the source n may still be missing: not once that very file was read in
 * another way, a mended one took its place, or a later log of its name held again all rows that
 * went in from it. Each tells its own refused lines: a mended line is none of them. */
#define LEDGER_REFUSAL_STANDS(and_later)                                                           \
  "NOT EXISTS (SELECT 1 FROM main.source AS l WHERE l.number > n.number" and_later " "             \
  "AND l.kind IN ('checks', 'events') AND (l.sha256 = n.sha256 "                                   \
  "OR EXISTS (SELECT 1 FROM main.superseded AS r JOIN main.checks AS c ON c.unit = r.unit "        \
  "AND c.time = r.time AND c.sequence = r.sequence WHERE r.entry = l.entry "                       \
  "AND r.kind = 'read again' AND c.source = n.number) OR (l.name = n.name "                        \
  "AND NOT EXISTS (SELECT 1 FROM main.source_unit AS u WHERE u.source = n.number "                 \
  "AND u.fresh + u.known > coalesce((SELECT v.known FROM main.source_unit AS v "                   \
  "WHERE v.source = l.number AND v.unit = u.unit), 0)))))"

/* ---- A file that comes again (same_file.c) --------------------------------------------------- */

/* *seen: this very file is in the ledger; *repeated: last read in the same way, and nothing that it
 * attested was read again since. BT_REFUSED when it was read in another way and `again` is NULL. */
bt_status ledger_find_repeated(bt_ledger *ledger, const bt_source *source, const bt_again *again,
                               bool *seen, bool *repeated, bt_error *error) BT_MUST_CHECK;

/* The SHA-256 of the log of that name, or whose SHA-256 begins with these digits. BT_NOTFOUND where
 * there is none, BT_USAGE where there are several. */
bt_status ledger_find_replaced(bt_ledger *ledger, const char *name,
                               unsigned char sha256[BT_SHA256_BYTES],
                               bt_error *error) BT_MUST_CHECK;

/* What earlier imports of the file of that SHA-256 brought, and nobody has corrected, withdrawn or
 * settled since, no longer stands; *records is how many checks and events these were, *closed how
 * many of its conflicts were open. */
bt_status ledger_supersede_file(bt_ledger *ledger, const unsigned char sha256[BT_SHA256_BYTES],
                                int64_t entry, int64_t *records, int64_t *closed,
                                bt_error *error) BT_MUST_CHECK;

/* ---- Temporary tables of an import (staging.c) ----------------------------------------------- */

bt_status ledger_staging_make(bt_ledger *ledger, bt_error *error) BT_MUST_CHECK;
bt_status ledger_staging_drop(bt_ledger *ledger, bt_error *error) BT_MUST_CHECK;

/* Gives back the memory that an import took. */
void ledger_staging_shrink(bt_ledger *ledger);

/* Digests of what an import added, for ledger_lists_open. */
#define LEDGER_FRESH_DIGESTS "SELECT ?1, digest FROM temp.fresh ORDER BY line, unit, time, sequence"

/* ---- Comparing (compare.c) ------------------------------------------------------------------- */

/* Contents of the checks of one unit and time. */
typedef struct ledger_contents {
  unsigned char (*digest)[LEDGER_DIGEST_BYTES];
  size_t n, capacity;
} ledger_contents;

/* What becomes of a row that comes in. */
typedef enum ledger_fate { LEDGER_ADD, LEDGER_KNOWN } ledger_fate;

/* Takes each incoming content, in order, out of the multiset of stored ones: KNOWN where it was
 * there, ADD where not. Sorts `stored`. *left is how many stored ones met no incoming. */
bt_status ledger_compare(const ledger_contents *incoming, ledger_contents *stored,
                         unsigned char *fate, size_t *left, bt_error *error) BT_MUST_CHECK;

/* Of incoming rows of equal content, makes those the known ones that are heard: the ledger has a
 * row like them, words and all (LEDGER_KNOWN). Rows that take another's place (replaces from 0 on)
 * stay as they are; how many are known stays (heard.c). */
bt_status ledger_prefer_heard(const ledger_contents *incoming, const unsigned char *heard,
                              const int32_t *replaces, unsigned char *fate,
                              bt_error *error) BT_MUST_CHECK;

/* Sorts them, for ledger_contents_have. */
void ledger_contents_sort(ledger_contents *contents);
bool ledger_contents_have(const ledger_contents *sorted, const unsigned char *digest);

/* ---- What the comparison passes over (told.c) ------------------------------------------------ */

/* Counts the row; the first is the one with the lowest line. */
void ledger_tell(bt_told_rows *rows, const bt_check *check);

/* twin[i]: the content equals one before it in the list. */
bt_status ledger_twins(const ledger_contents *contents, bool *twin, bt_error *error) BT_MUST_CHECK;

/* Makes of a check's content one that remark and operator count in as well. */
void ledger_check_words(const bt_check *check, unsigned char *content);

/* Keeps that a check of that content was stored, with these texts. */
bt_status ledger_texts_keep(ledger_contents *kept, const unsigned char *content,
                            const bt_check *check, bt_error *error) BT_MUST_CHECK;

/* Whether a check of that content was kept, but none with this one's remark, or with its operator.
 * What the row doesn't say is no other word. Sorted before. */
bool ledger_texts_differ(const ledger_contents *kept, const unsigned char *content,
                         const bt_check *check);

/* ---- The merge (merge.c) --------------------------------------------------------------------- */

/* Rows of one unit in one import. */
typedef struct ledger_tally {
  int64_t unit;
  int64_t rows, fresh, known, conflicts;
  bt_told_rows twins, reworded;
  bool asked, any; /* whether the ledger was asked for the span below, and has any check of it */
  bt_time oldest, newest;
} ledger_tally;

typedef struct ledger_merging {
  int64_t source;        /* of the rows */
  int64_t entry;         /* that they belong to */
  int64_t last_unit;     /* units up to this number were there before */
  ledger_own_keys *keys; /* all that the rows have */
  ledger_fresh *fresh;   /* takes the digests of what is added */
  bool seen;             /* the file was imported before */
  bool again;            /* and is read in another way */
} ledger_merging;

/* Beside the tallies: records that a wider row took the place of, texts that were left out. */
typedef struct ledger_merged {
  int64_t superseded, removed;
} ledger_merged;

/* The statements that store rows of an import (store.c). */
typedef struct ledger_store {
  bt_ledger *ledger;
  ledger_merging with;
  sqlite3_stmt *add, *hold, *add_own, *hold_own;
  ledger_texts *texts;
} ledger_store;

/* It is closed by the caller after a failure too. */
bt_status ledger_store_open(bt_ledger *ledger, const ledger_merging *merging, ledger_store *store,
                            bt_error *error) BT_MUST_CHECK;
void ledger_store_close(ledger_store *store);

/* Stores one row in `checks` or `held` under the sequence that it bears; its texts' numbers and
 * the digest (LEDGER_DIGEST_BYTES) are set. */
bt_status ledger_store_row(ledger_store *store, ledger_row *row, bool hold, unsigned char *digest,
                           bt_error *error) BT_MUST_CHECK;

/* Moves the staged rows to `checks` and `held`. */
bt_status ledger_merge(ledger_store *store, ledger_tally *tally, size_t tallies,
                       ledger_merged *merged, bt_error *error) BT_MUST_CHECK;

/* ---- Rows on their way in (batch.c) ---------------------------------------------------------- */

typedef struct ledger_batch ledger_batch;

/* *batch is closed by the caller after a failure too. */
bt_status ledger_batch_open(bt_ledger *ledger, const ledger_merging *merging, ledger_batch **batch,
                            bt_error *error) BT_MUST_CHECK;
void ledger_batch_close(ledger_batch *batch);

/* Takes a copy of the check, of the unit of that tally. */
bt_status ledger_batch_add(ledger_batch *batch, const bt_check *check, ledger_tally *tallies,
                           size_t tally, bt_error *error) BT_MUST_CHECK;

/* Sends on what it holds: to `checks`, or to the staging table for the merge. */
bt_status ledger_batch_flush(ledger_batch *batch, ledger_tally *tallies,
                             bt_error *error) BT_MUST_CHECK;

/* By which it stores rows, for the merge to go on with. */
ledger_store *ledger_batch_store(ledger_batch *batch);

/* Whether any row was staged. */
bool ledger_batch_staged(const ledger_batch *batch);

/* ---- Records held to their digests (whole.c) --------------------------------------------------
 */

/* A text of the ledger and its body, which is empty where the text was removed. */
typedef struct ledger_last_text {
  ledger_text text;
  bool removed;
  bt_text body;
} ledger_last_text;

/* Reads stored texts by number. Checks that follow each other share most of theirs. All but the
 * ledger is zeroed before the first use; it is closed by the caller after a failure too. */
typedef struct ledger_text_reader {
  bt_ledger *ledger;
  sqlite3_stmt *statement; /* made when it is needed */
  ledger_last_text last[BT_FIELD_COUNT];
  uint8_t *named; /* bit t: a record names text t; NULL: nobody asks */
  int64_t texts;  /* with `named`: that the ledger has, numbered from 1 */
} ledger_text_reader;

void ledger_text_reader_close(ledger_text_reader *reader);

/* Reads the row of LEDGER_CHECK_COLUMNS on which the statement stands, with its texts and its own
 * readings; tag as for ledger_check_digest. *whole: it has the digest that all of them give. Else
 * the row is not to be used. Texts and readings are borrowed until the next call; the unit's name
 * is not set. */
bt_status ledger_whole_check(ledger_text_reader *reader, ledger_own_reader *own,
                             sqlite3_stmt *statement, char tag, ledger_row *row, bool *whole,
                             bt_error *error) BT_MUST_CHECK;

#define LEDGER_EVENT_COLUMNS                                                                       \
  "unit, source, line, last_line, time, has_clock, note, digest, kind, number, entry"

enum {
  LEDGER_E_UNIT,
  LEDGER_E_SOURCE,
  LEDGER_E_LINE,
  LEDGER_E_LAST_LINE,
  LEDGER_E_TIME,
  LEDGER_E_HAS_CLOCK,
  LEDGER_E_NOTE,
  LEDGER_E_DIGEST,
  LEDGER_E_KIND,
  LEDGER_E_NUMBER,
  LEDGER_E_ENTRY
};

/* The same for a row of LEDGER_EVENT_COLUMNS, which must hold what we write and no more. */
bt_status ledger_whole_event(ledger_text_reader *reader, sqlite3_stmt *row, bool *whole,
                             bt_error *error) BT_MUST_CHECK;

/* True when that digest stands in the column. */
bool ledger_same_digest(sqlite3_stmt *row, int column, const unsigned char *digest);

/* Where a record that differs stands. */
typedef struct ledger_row_place {
  const char *what; /* "the check" */
  int64_t unit, source, line;
  bt_time time;
  bool has_clock;
} ledger_row_place;

/* That of the row of LEDGER_CHECK_COLUMNS on which the statement stands. */
ledger_row_place ledger_check_place(sqlite3_stmt *statement, char tag);

/* BT_DAMAGED naming the record. */
bt_status ledger_row_differs(bt_ledger *ledger, const ledger_row_place *place,
                             bt_error *error) BT_MUST_CHECK;

/* BT_DAMAGED unless that many checks of the unit are what logs brought for it (hold.c). In one
 * transaction with the counting. */
bt_status ledger_hold_count(bt_ledger *ledger, int64_t unit, const char *name, int64_t counted,
                            bt_error *error) BT_MUST_CHECK;

/* Puts before the sentence of a damage what follows from it for whoever only reads. */
void ledger_say_not_whole(bt_error *error);

/* ---- Verifying (verify_rows.c, verify_chain.c, verify_references.c) ---------------------------
 */

/* SQLite's own check of a table and its indexes; NULL: of the whole file (verify.c). */
bt_status ledger_check_structure(bt_ledger *ledger, const char *table,
                                 bt_error *error) BT_MUST_CHECK;

/* BT_DAMAGED naming table and row of the first reference that leads to no row. */
bt_status ledger_verify_references(bt_ledger *ledger, bt_error *error) BT_MUST_CHECK;

/* Computes the digest of every check, row held back and event anew and counts them. BT_DAMAGED
 * naming the first that differs. *stray_text: the first text that none of them names; 0 without. */
bt_status ledger_verify_rows(bt_ledger *ledger, bt_verification *found, int64_t *stray_text,
                             bt_error *error) BT_MUST_CHECK;
/* The same for rows held back, checks that no log brought and events alone, without stray texts:
 * what is read beside single checks, and what no count guards. */
bt_status ledger_verify_few(bt_ledger *ledger, bt_verification *found,
                            bt_error *error) BT_MUST_CHECK;
bt_status ledger_text_is_stray(const bt_ledger *ledger, int64_t number,
                               bt_error *error) BT_MUST_CHECK;

/* Computes every entry's state anew from the stored digests, those of checks as well. BT_DAMAGED
 * naming the first entry that differs. */
bt_status ledger_verify_chain(bt_ledger *ledger, bt_verification *found,
                              bt_error *error) BT_MUST_CHECK;

#endif
