/* The columns of a log in long form, one row a reading. */
#ifndef INTAKE_LONG_FORM_H
#define INTAKE_LONG_FORM_H

#include "beamtally/intake.h"

/* characteristic, value, value_unit. */
bool intake_is_long_key(const char *key);

/* "Unit" and no more: the laser's name, or the unit of measurement. */
bool intake_is_plain_unit(const char *header);

/* Where another column names the laser ("Laser"), "Unit" beside names and values is the unit of
 * measurement. */
bool intake_unit_is_of_values(const bt_survey *survey);

/* Puts the keys of long form on their columns where the log is in it; stated: a map says that it
 * is. BT_INPUT where such a log lacks one of the columns. */
bt_status intake_match_long_form(bt_survey *survey, bool stated, bt_error *error) BT_MUST_CHECK;

/* BT_INPUT where a column of one reading stands in a log in long form, or one of units in another.
 */
bt_status intake_check_long_form(const bt_survey *survey, bt_error *error) BT_MUST_CHECK;

/* A preview may know only one of the two columns, which alone says nothing: takes its key off. */
void intake_keep_whole_long_form(bt_survey *survey);

#endif
