/* What a person may do further with a log, said by a preview. */
#ifndef INTAKE_HINTS_H
#define INTAKE_HINTS_H

#include "beamtally/intake.h"
#include "header.h"

bt_status intake_give_hints(bt_survey *survey, bt_error *error) BT_MUST_CHECK;

#endif
