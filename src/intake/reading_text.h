/* All that decided how a file was read, in one text. */
#ifndef INTAKE_READING_TEXT_H
#define INTAKE_READING_TEXT_H

#include "beamtally/intake.h"

/* The same text for the same decisions: by it the ledger knows a file that comes again, so its form
 * must not change. short_years: years of two digits were read. Owned; NULL without memory. */
char *intake_reading_text(const bt_survey *survey, bool short_years) BT_MUST_CHECK;

#endif
