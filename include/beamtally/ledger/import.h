/* The import of a log file: its rows and refused lines in one entry, or none of them. */
#ifndef BEAMTALLY_LEDGER_IMPORT_H
#define BEAMTALLY_LEDGER_IMPORT_H

#include "beamtally/base.h"
#include "beamtally/ledger/open.h"
#include "beamtally/record.h"

typedef struct bt_import bt_import;

/* That a file is to be read again in another way, and by whom and why. */
typedef struct bt_again {
  const char *by, *why;
  const char *instead_of; /* or that it takes the place of another, which was mended: the name of
                             that one, or the first digits of its SHA-256; NULL: its own */
} bt_again;

/* Begins the entry of one source. When this very file was imported before: last read in the same
 * way, *repeated is true and there is nothing more to do (*import is NULL); read in another way,
 * BT_REFUSED, unless `again` is given: then its rows supersede those of the earlier imports of that
 * file (but not what a person has corrected or settled since) in this one entry, and those of their
 * conflicts that nobody has settled are closed. A file that was read in the same way is none the
 * less *repeated no more once checks or events of its units were read again from another file after
 * it: what it attests may be gone, and comes back. A file in whose place a mended one was put is
 * *repeated. With `again->instead_of` the rows of that file are superseded, and the conflicts
 * closed, in place of its own; BT_NOTFOUND and BT_USAGE where that names no file, or several.
 * `new_units`: unit names not yet in the ledger are taken; without it, in a ledger that has units,
 * a check or event of a unit that is neither there nor named in the settings in force is BT_REFUSED
 * with the nearest name, when the import is committed: all such names are told at once. A ledger
 * has one import at a time (BT_USAGE); until its end nothing else can be written. The source's
 * texts are read only here. */
bt_status bt_import_begin(bt_ledger *ledger, const bt_source *source, const bt_again *again,
                          bool new_units, bt_time now, bt_import **import, bool *repeated,
                          bt_error *error) BT_MUST_CHECK;

/* Checks and events may come in any order; those of one unit and time are numbered in the order in
 * which they come. BT_INPUT for what no record can hold (a reading that isn't finite, say). After a
 * failure of any of these three the import can't be committed any more. */
bt_status bt_import_check(bt_import *import, const bt_check *check, bt_error *error) BT_MUST_CHECK;
bt_status bt_import_event(bt_import *import, const bt_event *event, bt_error *error) BT_MUST_CHECK;
bt_status bt_import_refusal(bt_import *import, const bt_refusal *refusal,
                            bt_error *error) BT_MUST_CHECK;

/* What a log of the same name had of a line that is refused. */
typedef enum bt_refused_before {
  BT_REFUSED_NEW,
  BT_REFUSED_SAME,     /* a refused line of that number, column, reason and weight */
  BT_REFUSED_OTHERWISE /* one of that number, for another fault or with less to its reason */
} bt_refused_before;

/* *first, but for BT_REFUSED_NEW: when that was for the first time. To be asked in the order of
 * lines, once each. */
bt_status bt_import_refused_before(bt_import *import, const bt_refusal *refusal,
                                   bt_refused_before *before, bt_time *first,
                                   bt_error *error) BT_MUST_CHECK;

/* Compares with what the ledger holds (per unit and time, as multisets of readings), stores what is
 * new, commits and frees the import. Compared is what logs and people put in, corrected or
 * withdrawn records too, so that an export that still holds the old reading brings no conflict, nor
 * one that was mended as well. What was read again in another way is not. What a conflict
 * was settled against is known as well. On failure nothing is stored; the import is freed as well.
 * Within one source all checks are kept. Remark, operator and line don't count in the comparison.
 * Where ledger and source contradict each other, all the source's rows of that unit and time are
 * held back. A file that comes again is met more kindly: where its row holds less than one that
 * stands, and nothing else, the row is known; where it holds more, and is read `again`, it takes
 * that one's place. A text that a person had removed from a check or event of that unit and time is
 * not stored again. Events are compared by unit, time and kind, as multisets too. A source that
 * brings nothing new is an entry all the same. */
bt_status bt_import_commit(bt_import *import, bt_import_counts *counts,
                           bt_error *error) BT_MUST_CHECK;

/* Nothing of the import is stored. Frees it; accepts NULL. */
void bt_import_abandon(bt_import *import);

/* Names of other logs, imported before and of the same units, that held rows which the ledger had
 * already: after a file was read again they may attest what it no longer does, and should be
 * imported again. Owned (bt_names_free). */
bt_status bt_ledger_attesting(bt_ledger *ledger, const bt_source *source, char ***names, size_t *n,
                              bt_error *error) BT_MUST_CHECK;

/* Checks of a file that another log has with the same readings for that unit and day, the one with
 * a time of day and the other without. */
typedef struct bt_doubled {
  int64_t n;    /* days' rows without a time of day that have such a one; 0: none */
  bool without; /* those without are of this file */
  char *other;  /* what bt_again.instead_of names the other log by: the one with most. Owned */
} bt_doubled;

/* Of the last import of that file, among the checks that stand from the day of `oldest` to
 * `newest`. The clinic's own readings and texts don't count. `doubled->other` is to be freed. */
bt_status bt_ledger_doubled(bt_ledger *ledger, const bt_source *source, bt_time oldest,
                            bt_time newest, bt_doubled *doubled, bt_error *error) BT_MUST_CHECK;

#endif
