/* What a column that no name recognised might be. */
#ifndef INTAKE_LIKELY_H
#define INTAKE_LIKELY_H

#include "beamtally/intake.h"
#include "content.h"
#include "header.h"

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

#endif
