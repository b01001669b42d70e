/* What each column that nothing reads is offered as, in the order of columns: no key twice, as far
 * as there are others. */
#include "offers.h"
#include "columns.h"
#include "hinted.h"
#include "several.h"

#include <string.h>

const char *intake_offer(const intake_likely *likely, intake_offered *above) {
  for (size_t k = 0; k < likely->n; k++) {
    bool taken = false;
    for (size_t i = 0; i < above->n; i++)
      taken = taken || strcmp(above->key[i], likely->key[k]) == 0;
    if (!taken && above->n < INTAKE_OFFERED_MAX)
      return above->key[above->n++] = likely->key[k];
  }
  return likely->key[0];
}

/* The starter map's offer; NULL where it has none, or where nothing but that there are words or
 * numbers in the column speaks for it. */
static const char *probable(const bt_survey *survey, size_t i, intake_offered *above) {
  const bt_survey_column *column = &survey->columns[i];
  size_t first = 0, last = 0;
  if (survey->has_done && i == survey->done_column)
    return "event";
  if (column->key != NULL || column->identity || bt_is_bookkeeping(column->header) ||
      intake_has_meanings(survey, i))
    return NULL;
  if (intake_is_of_units(survey, column))
    return "value_unit";
  if (intake_several(survey, i, &first, &last) > 0 && i != first)
    return NULL;
  intake_likely likely = intake_likely_keys(survey, column);
  if (likely.n == 0)
    return NULL;
  const char *key = likely.by_words ? likely.key[0] : intake_offer(&likely, above);
  bool known = !likely.guessed || likely.content == INTAKE_CONTENT_DATE ||
               likely.content == INTAKE_CONTENT_CLOCK;
  return known ? key : NULL;
}

const char *bt_probable_name(const bt_survey *survey, const bt_survey_column *name) {
  int item = 0;
  intake_likely likely = {.n = 0};
  if (name->key == NULL && !name->identity)
    likely = intake_likely_keys(survey, name);
  for (size_t k = 0; k < likely.n && !likely.guessed; k++)
    if (intake_is_held(intake_role_of(likely.key[k], &item)))
      return likely.key[k];
  return NULL;
}

void bt_probable_keys(const bt_survey *survey, const char **keys) {
  intake_offered above = {.n = 0};
  for (size_t i = 0; i < survey->columns_n; i++)
    keys[i] = probable(survey, i, &above);
}
