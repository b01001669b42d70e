/* What a column that no name recognised might be. */
#ifndef INTAKE_LIKELY_H
#define INTAKE_LIKELY_H

#include "beamtally/intake.h"
#include "header.h"

typedef enum intake_content {
  INTAKE_CONTENT_NONE, /* no cell is filled, or none may be shown */
  INTAKE_CONTENT_DATE,
  INTAKE_CONTENT_CLOCK,
  INTAKE_CONTENT_NUMBER,
  INTAKE_CONTENT_TEXT
} intake_content;

enum { INTAKE_LIKELY_MAX = 6 };

typedef struct intake_likely {
  intake_content content;
  size_t n;
  const char *key[INTAKE_LIKELY_MAX]; /* the likeliest first; none is another column's already */
  bool guessed;  /* from the content alone: no word or unit of the header speaks for them */
  bool by_words; /* the column's texts have to be given their meaning, under [values] */
  char unit[INTAKE_UNIT_BYTES]; /* where the header has a unit that isn't theirs; else "" */
} intake_likely;

/* From the header and the first values of a preview's column. */
intake_likely intake_likely_keys(const bt_survey *survey, const bt_survey_column *column);

/* The unit behind the first of the column's numbers that has one; false where none has. */
bool intake_unit_of_cells(const bt_survey_column *column,
                          char unit[INTAKE_UNIT_BYTES]) BT_MUST_CHECK;

/* The reading or text that a word of the name speaks of ("Pulsenergie": energy_mj), or NULL. */
const char *intake_hinted_key(const char *written);

/* True when the header says that a column of a log in long form holds units of measurement. */
bool intake_is_of_units(const bt_survey *survey, const bt_survey_column *column) BT_MUST_CHECK;

/* True when the header speaks of that key ("Messwert": value). */
bool intake_hints_at(const char *header, const char *key) BT_MUST_CHECK;

#endif
