/* What the files share by which a log's rows come in: from the batch by way of the merge to what is
 * stored. Not for other rooms. */
#ifndef LEDGER_IMPORT_PRIVATE_H
#define LEDGER_IMPORT_PRIVATE_H

#include "ledger_private.h"

/* ---- Digests of an import (fresh.c) ---------------------------------------------------------- */

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

/* ---- Refused lines of before (refused_before.c) ---------------------------------------------- */

typedef struct ledger_refused_before {
  sqlite3_stmt *earlier; /* owned */
  bool there;            /* it stands on a line that was refused before */
} ledger_refused_before;

/* Of logs of that name; closed by the caller, after a failure too. */
bt_status ledger_refused_open(bt_ledger *ledger, const char *name, ledger_refused_before *before,
                              bt_error *error) BT_MUST_CHECK;
void ledger_refused_close(ledger_refused_before *before);

/* *first, set where it is found: when such a line was refused for the first time. Asked in the
 * order of lines. */
bt_status ledger_refused_find(bt_ledger *ledger, ledger_refused_before *before,
                              const bt_refusal *refusal, bool *found, bt_time *first,
                              bt_error *error) BT_MUST_CHECK;

/* ---- Texts that repeat (text.c) -------------------------------------------------------------- */

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
  int64_t rows, fresh, known, conflicts, held_before;
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

#endif
