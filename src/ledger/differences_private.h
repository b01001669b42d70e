/* What two records differ in, as a person reads it (differences.c). */
#ifndef LEDGER_DIFFERENCES_PRIVATE_H
#define LEDGER_DIFFERENCES_PRIVATE_H

#include "beamtally/record.h"

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

#endif
