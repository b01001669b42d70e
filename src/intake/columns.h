/* What the columns of a survey are read as. */
#ifndef INTAKE_COLUMNS_H
#define INTAKE_COLUMNS_H

#include "beamtally/intake.h"

/* True when one of the survey's columns is read as that key. */
bool intake_has_key(const bt_survey *survey, const char *key);

/* True for a log of events: it has a column of them, or the map says that all rows are. */
bool intake_has_events(const bt_survey *survey);

/* True when one of them is read as a reading, canonical or of the clinic's own. */
bool intake_has_readings(const bt_survey *survey);

/* True when the map's [values] look into column i. */
bool intake_has_meanings(const bt_survey *survey, size_t i);

/* True where a map has column i's texts, which say what was done, kept as the event's note too. */
bool intake_words_are_note(const bt_survey *survey, size_t i);

/* Column (from 0) that a map's header, or "@3", means among the survey's; false where none is. */
bool intake_find_column(const bt_survey *survey, const char *header, size_t *column) BT_MUST_CHECK;

/* Puts the key on a column. BT_INPUT where another is read as it, or this one as another key. */
bt_status intake_give_key(bt_survey *survey, size_t column, const char *key,
                          bt_error *error) BT_MUST_CHECK;

/* BT_INPUT with what is wrong and what to do about it, and the headers of all columns. */
bt_status intake_fail_with_headers(const bt_survey *survey, bt_error *error, const char *what,
                                   const char *do_this) BT_MUST_CHECK;

#endif
