/* Which of two columns of pulse energies is the target. */
#ifndef INTAKE_STEADIER_H
#define INTAKE_STEADIER_H

#include "beamtally/intake.h"

/* Whether a column of energies, in a preview, has far fewer different cells than another column of
 * energies that nothing reads: what was set stays for weeks, what is measured never does. */
bool intake_is_steadier_energy(const bt_survey *survey, const bt_survey_column *column);

#endif
