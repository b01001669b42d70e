/* Several readings of one kind in one row: a key is read from one column, and which of them, or
 * what mean of them, a check stands for is the clinic's to say. */
#include "several.h"
#include "header.h"
#include "likely.h"

#include <string.h>

/* The header's simple name without its digits; false where it has none, or nothing else. */
static bool stem_of(const bt_survey_column *column, char stem[INTAKE_NAME_BYTES]) {
  char simple[INTAKE_NAME_BYTES];
  size_t used = 0;
  if (column->key != NULL || column->identity || !intake_simple_name(column->header, simple))
    return false;
  for (const char *at = simple; *at != '\0'; at++)
    if (*at < '0' || *at > '9')
      stem[used++] = *at;
  stem[used] = '\0';
  return used > 0 && used < strlen(simple);
}

size_t intake_several(const bt_survey *survey, size_t i, size_t *first, size_t *last) {
  char own[INTAKE_NAME_BYTES], stem[INTAKE_NAME_BYTES];
  size_t n = 0;
  if (survey->long_form || !stem_of(&survey->columns[i], own) ||
      intake_likely_keys(survey, &survey->columns[i]).content != INTAKE_CONTENT_NUMBER)
    return 0;
  for (size_t k = 0; k < survey->columns_n; k++) {
    if (!stem_of(&survey->columns[k], stem) || strcmp(own, stem) != 0 ||
        intake_likely_keys(survey, &survey->columns[k]).content != INTAKE_CONTENT_NUMBER)
      continue;
    *first = n == 0 ? k : *first;
    *last = k;
    n++;
  }
  return n > 1 ? n : 0;
}
