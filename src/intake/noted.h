/* Gas refills that stand among a log's remarks. */
#ifndef INTAKE_NOTED_H
#define INTAKE_NOTED_H

#include "beamtally/intake.h"

/* Lines of a starter map that would read them, each behind "# ". */
void intake_add_noted(const bt_survey *survey, bt_text *lines);

/* Says of them in a preview. */
bt_status intake_hint_noted(bt_survey *survey, bt_error *error) BT_MUST_CHECK;

#endif
