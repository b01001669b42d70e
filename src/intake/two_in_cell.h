/* Columns of a preview that hold two numbers in each cell: "2 / -7". */
#ifndef INTAKE_TWO_IN_CELL_H
#define INTAKE_TWO_IN_CELL_H

#include "beamtally/intake.h"

/* True where every first value of the column is two numbers with a sign between them. */
bool intake_holds_two(const bt_survey_column *column) BT_MUST_CHECK;

/* Says of each such column that nothing reads how it can be read. */
bt_status intake_hint_two(bt_survey *survey, bt_error *error) BT_MUST_CHECK;

#endif
