/* What the files share that hold what people decided: corrections, removed texts, conflicts. Not
 * for other rooms. */
#ifndef LEDGER_DECISIONS_PRIVATE_H
#define LEDGER_DECISIONS_PRIVATE_H

#include "ledger_private.h"

/* ---- Checks as stored, one by one (stored.c) ------------------------------------------------- */

/* A row of `checks` or `held` that owns its texts and readings. */
typedef struct ledger_stored {
  bt_check check; /* texts that were removed are NULL; own readings in order of key */
  int64_t unit, source;
  int64_t text[BT_FIELD_COUNT]; /* rows of `text`, of removed ones too; 0 where there is none */
} ledger_stored;

typedef struct ledger_stored_list {
  ledger_stored *row;
  size_t n, capacity;
} ledger_stored_list;

void ledger_stored_free(ledger_stored_list *list);

/* What a query of `checks AS c` or `held AS c` selects for ledger_stored_read. */
#define LEDGER_STORED_COLUMNS LEDGER_CHECK_COLUMNS

/* Rows of unit and time, in order of sequence. */
#define LEDGER_STORED_CHECKS                                                                       \
  "SELECT " LEDGER_STORED_COLUMNS " FROM main.checks AS c WHERE c.unit = ?1 AND c.time = ?2 "
#define LEDGER_STORED_HELD                                                                         \
  "SELECT " LEDGER_STORED_COLUMNS " FROM main.held AS c WHERE c.unit = ?1 AND c.time = ?2 "

/* Appends all rows of a statement whose parameters are bound. `held` tells the table. BT_DAMAGED
 * names the first that is not as its digest has it. */
bt_status ledger_stored_read(bt_ledger *ledger, sqlite3_stmt *statement, bool held,
                             ledger_stored_list *list, bt_error *error) BT_MUST_CHECK;

/* The checks of that unit and time that stood before that entry (LEDGER_NOW: that stand), in order
 * of sequence. */
#define LEDGER_NOW INT64_MAX
bt_status ledger_stored_standing(bt_ledger *ledger, int64_t unit, bt_time time, int64_t before,
                                 ledger_stored_list *list, bt_error *error) BT_MUST_CHECK;

/* The check of that key, whether it stands or not: none or one row. */
bt_status ledger_stored_one(bt_ledger *ledger, int64_t unit, bt_time time, int32_t sequence,
                            ledger_stored_list *list, bt_error *error) BT_MUST_CHECK;

/* ---- Finding (find_check.c) ------------------------------------------------------------------ */

typedef struct ledger_place {
  int64_t unit;
  bt_time time;
  int32_t sequence;
} ledger_place;

/* The check of that place that stands, its memory the caller's; `name` is the unit's as asked for.
 * As bt_ledger_find_check otherwise; BT_REFUSED for one that no longer stands. */
bt_status ledger_find_standing(bt_ledger *ledger, const char *name, const ledger_place *place,
                               bool has_sequence, ledger_stored *found,
                               bt_error *error) BT_MUST_CHECK;

/* BT_NOTFOUND: the ledger has no event of that number (correct_event.c). */
bt_status ledger_event_missing(bt_ledger *ledger, int64_t number, bt_error *error) BT_MUST_CHECK;

/* The event of that number, whether it stands or not; its texts are the caller's. */
bt_status ledger_stored_event(bt_ledger *ledger, int64_t number, bt_event *event,
                              bt_error *error) BT_MUST_CHECK;

/* ---- Saying what differs (differences.c) ----------------------------------------------------- */

/* "energy_mj 1.61 -> 1.59; remark removed": what the new record changes, its unit and time too.
 * Free text is never spelled out. */
void ledger_say_changes(const bt_check *old, const bt_check *replacement, bt_text *out);

/* The same without words; replacement NULL: what the check holds. False without memory. */
bool ledger_touch(const bt_check *old, const bt_check *replacement,
                  bt_touched *touched) BT_MUST_CHECK;

void ledger_say_event_changes(const bt_event *old, const bt_event *replacement, bt_text *out);

/* "energy_mj 1.61, pattern pass": all that the check holds, but for remark and operator. */
void ledger_say_check(const bt_check *check, bt_text *out);

/* Of each row, parted by "; ", what is not the same in all rows of both lists; all that it holds
 * where there are no others. */
void ledger_say_rows(const bt_check *const *rows, size_t n, const bt_check *const *others,
                     size_t others_n, bt_text *out);

/* ---- Writing a check (placing.c) ------------------------------------------------------------- */

/* The row of a text: that of the old body (its row is `number`) when they are the same, so that
 * removing it removes it from both; else a new one. number 0 in *text for a body of NULL. */
bt_status ledger_share_text(bt_ledger *ledger, const char *body, const char *old, int64_t number,
                            ledger_text *text, bt_error *error) BT_MUST_CHECK;

/* Stores a check of place->unit under the next sequence of its time; the rest of *place is set.
 * Texts that are those of `like` (NULL: none) share their rows. */
bt_status ledger_place_check(bt_ledger *ledger, const bt_check *check, int64_t entry,
                             const ledger_stored *like, int64_t source, ledger_place *place,
                             bt_error *error) BT_MUST_CHECK;

/* The source of what the entry's person types in. */
bt_status ledger_place_source(bt_ledger *ledger, int64_t entry, int64_t *number,
                              bt_error *error) BT_MUST_CHECK;

/* Stores an event whose note is stored; it becomes the last row of `event`. */
bt_status ledger_event_store(bt_ledger *ledger, const bt_event *event, int64_t unit, int64_t source,
                             int64_t entry, const ledger_text *note, bt_error *error) BT_MUST_CHECK;

/* Says that a check no longer stands; place NULL: nothing took its place. */
bt_status ledger_supersede(bt_ledger *ledger, const ledger_place *old, int64_t entry,
                           const char *kind, const ledger_place *place,
                           bt_error *error) BT_MUST_CHECK;

/* ---- Rows that hold less or more (widen.c) --------------------------------------------------- */

/* The checks of one unit and time that stand and came from logs, as a file meets them that came
 * before: a column of it that wasn't read then is no contradiction. */
typedef struct ledger_widening {
  ledger_stored_list standing;
  bool *taken; /* met, or not from a log */
} ledger_widening;

bt_status ledger_widening_read(bt_ledger *ledger, int64_t unit, bt_time time, ledger_widening *w,
                               bt_error *error) BT_MUST_CHECK;
void ledger_widening_free(ledger_widening *w);

/* Takes one of that content out of what may be met. */
void ledger_widening_take(ledger_widening *w, const unsigned char *content);

/* The sequence of a check that holds all that this one does (*known), or with `wider` all of whose
 * contents this one holds; -1 where there is none. It is taken. */
int32_t ledger_widening_meet(ledger_widening *w, const bt_check *check, bool wider, bool *known);

/* ---- Conflicts (conflicts.c, settle.c) ------------------------------------------------------- */

/* The rows of one conflict, and what met what: equal but for remark, operator and line. */
typedef struct ledger_contest {
  ledger_stored_list standing, held;
  bool *standing_met, *held_met;
} ledger_contest;

/* What stood before that entry against what the source had held back. */
bt_status ledger_contest_read(bt_ledger *ledger, int64_t unit, bt_time time, int64_t source,
                              int64_t before, ledger_contest *contest,
                              bt_error *error) BT_MUST_CHECK;
void ledger_contest_free(ledger_contest *contest);

/* Digests of the checks that the entry put into the place of others, for ledger_entry_seal. */
#define LEDGER_REPLACED_DIGESTS                                                                    \
  "SELECT ?1, c.digest FROM main.superseded AS s JOIN main.checks AS c "                           \
  "ON c.unit = s.new_unit AND c.time = s.new_time AND c.sequence = s.new_sequence "                \
  "WHERE s.entry = ?1 ORDER BY c.line, c.unit, c.time, c.sequence"

/* Records of unit ?1 that lost a text when one was removed from a record of another unit. Mostly
 * none was: then the first term has no row, and CROSS JOIN keeps the checks from being walked. */
#define LEDGER_LOST_TEXT(ID, key) ", c." #key
#define LEDGER_LOST_ELSEWHERE                                                                                       \
  "SELECT r.entry, c.time, c.has_clock, c.sequence, 0 AS event, r.field FROM "                                      \
  "(SELECT 1 WHERE EXISTS (SELECT 1 FROM main.redaction WHERE unit <> ?1)) "                                        \
  "CROSS JOIN main.checks AS c JOIN main.redaction AS r ON r.text IN (0" BT_TEXTS(                                  \
      LEDGER_LOST_TEXT) ") AND r.unit <> ?1 WHERE c.unit = ?1 "                                                     \
                        "UNION ALL SELECT r.entry, v.time, v.has_clock, 0, v.number, r.field FROM main.event AS v " \
                        "JOIN main.redaction AS r ON r.text = v.note AND r.unit <> ?1 WHERE v.unit = ?1"

#endif
