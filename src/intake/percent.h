/* A column that has the pulse energy in percent of its target, or as a ratio. */
#ifndef INTAKE_PERCENT_H
#define INTAKE_PERCENT_H

#include "beamtally/intake.h"

/* Whether the column seems to hold that; *ratio: as 1.002, not as 100.2. */
bool intake_is_energy_percent(const bt_survey_column *column, bt_decimal_mark decimal, bool *ratio);

#endif
