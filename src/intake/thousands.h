/* Marks between groups of three digits. */
#ifndef INTAKE_THOUSANDS_H
#define INTAKE_THOUSANDS_H

#include "beamtally/setup.h"

enum { INTAKE_JOINED_BYTES = 48 };

/* "comma", as a map has it. */
const char *intake_thousands_word(bt_thousands mark);
bool intake_thousands_of_word(const char *word, bt_thousands *mark) BT_MUST_CHECK;

/* The text with its number's groups joined, "1,397 uJ" as "1397 uJ". NULL where no number begins
 * it that has this mark, and each time behind it exactly three digits: 12,34 and 0,397 have none.
 */
const char *intake_join_thousands(const char *text, bt_thousands mark,
                                  char joined[INTAKE_JOINED_BYTES]);

/* The mark that can be one of thousands where the text is nothing but such a number, or one with
 * its unit, and the decimal mark is that one. */
bt_thousands intake_thousands_in(const char *text, bt_decimal_mark decimal);

/* Both can't be the same sign; *decimal is settled by a mark that says it. BT_INPUT otherwise. */
bt_status intake_thousands_check(bt_thousands mark, bt_decimal_mark *decimal,
                                 bt_error *error) BT_MUST_CHECK;

#endif
