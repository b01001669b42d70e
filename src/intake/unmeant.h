/* Texts of a column that a map reads events out of, and gives no meaning. */
#ifndef INTAKE_UNMEANT_H
#define INTAKE_UNMEANT_H

#include "fields.h"
#include "plan.h"

/* Keeps the row's texts that may be an event which is lost. False without memory. */
bool intake_hear_unmeant(intake_plan *plan, intake_fields *fields, int64_t line) BT_MUST_CHECK;

/* Whether any of that column was kept. */
bool intake_is_unmeant(const intake_plan *plan, size_t column);

/* A hint for each column: which texts, in which lines, and what to write. */
bt_status intake_hint_unmeant(bt_survey *survey, const intake_plan *plan,
                              bt_error *error) BT_MUST_CHECK;

#endif
