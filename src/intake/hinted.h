/* What the words of a header speak of. */
#ifndef INTAKE_HINTED_H
#define INTAKE_HINTED_H

#include "beamtally/intake.h"

/* The reading or text that a word of the name speaks of ("Pulsenergie": energy_mj), or NULL. */
const char *intake_hinted_key(const char *written);

/* True when the header speaks of that key ("Messwert": value). */
bool intake_hints_at(const char *header, const char *key) BT_MUST_CHECK;

/* True when the header says that a column of a log in long form holds units of measurement. */
bool intake_is_of_units(const bt_survey *survey, const bt_survey_column *column) BT_MUST_CHECK;

#endif
