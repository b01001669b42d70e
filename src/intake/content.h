/* What a column holds: dates, times of day, numbers or words. */
#ifndef INTAKE_CONTENT_H
#define INTAKE_CONTENT_H

#include "beamtally/intake.h"

typedef enum intake_content {
  INTAKE_CONTENT_NONE, /* no cell is filled, or none may be shown */
  INTAKE_CONTENT_DATE,
  INTAKE_CONTENT_CLOCK,
  INTAKE_CONTENT_NUMBER,
  INTAKE_CONTENT_TEXT
} intake_content;

/* From the first values of a preview's column; 7.45 is a time where the header's words say so. */
intake_content intake_content_of(const bt_survey_column *column);

/* A column of nothing but 0 and 1, of a header that speaks of a refill, says yes and no. */
bool intake_is_flags(const bt_survey_column *column) BT_MUST_CHECK;

/* One of its different texts is a word for yes. */
bool intake_notes_yes(const bt_survey_column *column) BT_MUST_CHECK;

#endif
