/* Texts that a map gives a meaning and that no row of a log has. */
#ifndef INTAKE_UNSEEN_H
#define INTAKE_UNSEEN_H

#include "fields.h"
#include "plan.h"

/* Marks the texts of the map's [values] that the row has, and what is near to one that none had
 * yet. */
void intake_hear_meanings(intake_plan *plan, intake_fields *fields, int64_t line);

/* A hint at each that no row had. */
bt_status intake_hint_unseen(bt_survey *survey, const intake_plan *plan,
                             bt_error *error) BT_MUST_CHECK;

#endif
