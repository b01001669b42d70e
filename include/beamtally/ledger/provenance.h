/* Where a unit's record comes from: counts, sources, and the book of a data page. */
#ifndef BEAMTALLY_LEDGER_PROVENANCE_H
#define BEAMTALLY_LEDGER_PROVENANCE_H

#include "beamtally/base.h"
#include "beamtally/ledger/open.h"
#include "beamtally/record.h"

/* Counts for the footer and the data page: sources, checks, events, refused lines, conflicts that
 * concern the unit (all units when NULL), and the ledger state. A source concerns each unit that it
 * had rows of, known ones too; all its refused lines are counted with each of them, until the file
 * is read in another way (it stays one source), or a later log of its name held again all rows that
 * went in from it: that one tells which lines are still refused. */
bt_status bt_ledger_provenance(bt_ledger *ledger, const char *unit, bt_provenance *provenance,
                               bt_error *error) BT_MUST_CHECK;

/* Numbers of the sources that had rows of the unit, known and held ones too, in rising order; what
 * was typed in is a source as well. Owned array. */
bt_status bt_ledger_unit_sources(bt_ledger *ledger, const char *unit, int64_t **numbers, size_t *n,
                                 bt_error *error) BT_MUST_CHECK;

/* Time of the last entry: the creation date of what is made from the ledger. BT_NOTFOUND when
 * nothing was entered yet. */
bt_status bt_ledger_last_entry(bt_ledger *ledger, bt_time *at, bt_error *error) BT_MUST_CHECK;

/* Sources with rows of the unit, their refused lines, all versions of the settings, the unit's
 * frozen baselines, and the entries after number `after` that concern the unit. Owned
 * (bt_book_free). */
bt_status bt_ledger_book(bt_ledger *ledger, const char *unit, int64_t after, bt_book *book,
                         bt_error *error) BT_MUST_CHECK;

#endif
