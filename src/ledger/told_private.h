/* What the comparison of an import passes over, and a person is told of (told.c). */
#ifndef LEDGER_TOLD_PRIVATE_H
#define LEDGER_TOLD_PRIVATE_H

#include "beamtally/record.h"

#include "compare_private.h"

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

#endif
