/* Lengths of a beam: its spot's diameter, or its offset on one of two axes. */
#ifndef INTAKE_AXIS_H
#define INTAKE_AXIS_H

#include "beamtally/intake.h"

/* "Tracker X" is no y: the plain name's last letter, behind which a unit may stand. */
bool intake_is_other_axis(const char *simple, const char *key) BT_MUST_CHECK;

/* "Pos. X (mm)": the last word before the unit is an axis. */
bool intake_names_axis(const char *header) BT_MUST_CHECK;

/* Whether a column's first numbers, which have that unit or none (""), can be a beam's diameter. */
bool intake_can_be_spot(const bt_survey_column *column, const char *unit) BT_MUST_CHECK;

#endif
