/* The first pass over the rows of a log in long form. */
#ifndef INTAKE_NAMED_H
#define INTAKE_NAMED_H

#include "order.h"
#include "plan.h"
#include "records.h"

/* Whether the rows stand together, by each order of the dates: which one it is, the whole file
 * decides. */
typedef struct intake_standing {
  intake_order by[BT_DATES_MDY + 1];
} intake_standing;

/* Hears a row; *name is how its value is read, NULL where it names nothing. A preview keeps the
 * name. The row has the fields that the plan needs. */
bt_status intake_hear_named(bt_survey *survey, intake_plan *plan, intake_records *records,
                            intake_standing *standing, const intake_name **name,
                            bt_error *error) BT_MUST_CHECK;

bt_status intake_check_standing(const intake_standing *standing, bt_date_order order,
                                bt_error *error) BT_MUST_CHECK;
void intake_standing_free(intake_standing *standing);

void intake_forget_names(bt_survey *survey);

#endif
