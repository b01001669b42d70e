/* The columns of a header line matched with canonical columns, by a map or by name. */
#ifndef INTAKE_MATCH_H
#define INTAKE_MATCH_H

#include "beamtally/intake.h"
#include "fields.h"

typedef struct intake_score {
  size_t known;  /* columns of the record that would be read */
  bool has_date; /* one of them is the date */
} intake_score;

/* How much a record looks like the header that these choices (or NULL) ask for. */
intake_score intake_header_score(intake_fields *fields, const bt_reading_choices *choices);

/* Puts a key on each column of the survey that is read, and says whether it is in long form.
 * BT_INPUT with a sentence where a map asks for a column that isn't there, two columns are read as
 * one, or what a log needs is missing. `header`: a line of the file was recognised as it. */
bt_status intake_match_columns(bt_survey *survey, bool header, bt_error *error) BT_MUST_CHECK;

/* BT_INPUT when neither a column nor a choice says which laser the log is of. */
bt_status intake_check_unit(const bt_survey *survey, bt_error *error) BT_MUST_CHECK;

#endif
