/* What a record can hold at all (valid.c). */
#ifndef LEDGER_VALID_PRIVATE_H
#define LEDGER_VALID_PRIVATE_H

#include "beamtally/record.h"

/* BT_INPUT for an event or check that no log can hold: a reading that isn't finite, bad UTF-8 ...
 */
bt_status ledger_event_valid(const bt_event *event, bt_error *error) BT_MUST_CHECK;
bt_status ledger_check_valid(const bt_check *check, bt_error *error) BT_MUST_CHECK;

/* Within the years 1 to 9999, as bt_civil can write them. */
bool ledger_time_valid(bt_time time);

/* BT_USAGE when a word that must be there is missing. */
bt_status ledger_asked(const char *word, const char *name, bt_error *error) BT_MUST_CHECK;

#endif
