/* Parts of a starter map. */
#ifndef INTAKE_STARTER_H
#define INTAKE_STARTER_H

#include "beamtally/intake.h"

/* The section [values]: the meanings that the log was read by, and as comments those that a person
 * may have to give. */
void intake_add_values(const bt_survey *survey, bt_text *map);

#endif
