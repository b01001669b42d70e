/* Parts of a starter map. */
#ifndef INTAKE_STARTER_H
#define INTAKE_STARTER_H

#include "beamtally/intake.h"

/* The section [values]: the meanings that the log was read by, and as comments those that a person
 * may have to give. `declared`: the number of the last characteristic of the clinic's own that is
 * there or was offered above. */
void intake_add_values(const bt_survey *survey, size_t declared, bt_text *map);

/* Of how many items a cell of the column counts ("17 of 18"); 0 where none does. */
double intake_counted_of(const bt_survey_column *column);

#endif
