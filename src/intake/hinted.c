/* What the words of a header speak of, by the table of likely_words.c. */
#include "hinted.h"
#include "header.h"
#include "letters.h"
#include "likely_words.h"

#include <string.h>

const char *intake_hinted_key(const char *written) {
  const intake_hint *hint = NULL;
  char simple[INTAKE_NAME_BYTES];
  if (!intake_plain_name(written, simple))
    return NULL;
  for (size_t i = 0; (hint = intake_hint_at(i)) != NULL; i++) {
    int item = 0;
    if (!intake_has_part(simple, hint->part))
      continue;
    if (intake_is_held(intake_role_of(hint->key, &item)))
      return hint->key;
  }
  return NULL;
}

bool intake_hints_at(const char *header, const char *key) {
  const intake_hint *hint = NULL;
  char simple[INTAKE_NAME_BYTES];
  if (!intake_plain_name(header, simple))
    return false;
  for (size_t i = 0; (hint = intake_hint_at(i)) != NULL; i++)
    if (strcmp(hint->key, key) == 0 && intake_has_part(simple, hint->part))
      return true;
  return false;
}

bool intake_is_of_units(const bt_survey *survey, const bt_survey_column *column) {
  static const char *const words[] = {"unit",   "units",    "uom",   "einheit", "einheiten",
                                      "unidad", "unidades", "unite", "unites",  "unita"};
  char simple[INTAKE_NAME_BYTES];
  if (!survey->long_form || column->key != NULL || !intake_plain_name(column->header, simple))
    return false;
  for (size_t i = 0; i < sizeof words / sizeof words[0]; i++)
    if (strcmp(simple, words[i]) == 0)
      return true;
  return false;
}
