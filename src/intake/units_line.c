/* A line of units below the header, as some instruments and spreadsheets write it: part of the
 * header, not a row.
 *
 * U1  It is the first line behind the header. No field of it holds a digit, but for a unit's own
 *     (mJ/cm2); one field at least is a unit, and so are half or more of those that are filled and
 *     don't say how dates and times are written (dd.mm.yyyy, hh:mm).
 * U2  A column then is called by its name and its unit, "Energy (mJ)", where its own name is not
 *     known by itself, has no unit, and stands in no map as it is. */
#include "columns.h"
#include "convert.h"
#include "map.h"
#include "preview.h"
#include "sniff.h"
#include "words.h"

#include <stdlib.h>
#include <string.h>

/* "[mJ]" and "(mJ)" without their brackets; what is too long for a unit is none. */
static const char *bare(const char *text, char unit[INTAKE_UNIT_BYTES]) {
  size_t length = strlen(text);
  bool brackets = length > 2 && ((text[0] == '[' && text[length - 1] == ']') ||
                                 (text[0] == '(' && text[length - 1] == ')'));
  text += brackets;
  length -= brackets ? 2 : 0;
  unit[0] = '\0';
  if (length < INTAKE_UNIT_BYTES) {
    memcpy(unit, text, length);
    unit[length] = '\0';
  }
  return unit;
}

static bool is_unit(const char *text) {
  char unit[INTAKE_UNIT_BYTES];
  return strcmp(bare(text, unit), "1") != 0 && intake_is_unit(unit);
}

/* "dd.mm.yyyy", "hh:mm", "TT.MM.JJJJ". */
static bool says_how_written(const char *text) {
  return text[strspn(text, "dDmMyYhHsStTjJaAgG.:-/ ")] == '\0' && strpbrk(text, ".:-/") != NULL;
}

/* U1. Sets *words where one of them is none and doesn't say how dates and times are written. */
static bool are_units(intake_fields *fields, bool *words) {
  size_t units = 0, others = 0;
  for (size_t i = 0; i < fields->n; i++) {
    const char *text = intake_field(fields, i);
    if (is_unit(text)) {
      units++;
      continue;
    }
    if (strpbrk(text, "0123456789") != NULL)
      return false;
    others += text[0] != '\0' && !says_how_written(text);
  }
  *words = others > 0;
  return units > 0 && units >= others;
}

static bool is_in_map(const bt_survey *survey, const char *header) {
  const bt_reading_choices *choices = survey->choices;
  for (size_t i = 0; choices != NULL && i < choices->columns_n; i++)
    if (choices->columns[i].header != NULL && bt_same_name(choices->columns[i].header, header))
      return true;
  for (size_t i = 0; choices != NULL && i < choices->values_n; i++)
    if (bt_same_name(choices->values[i].header, header))
      return true;
  return false;
}

/* U2. */
static bt_status call_by_unit(const bt_survey *survey, bt_survey_column *column, const char *text,
                              bt_error *error) {
  char unit[INTAKE_UNIT_BYTES], own[INTAKE_UNIT_BYTES];
  intake_header_unit(column->header, own);
  if (!is_unit(text) || intake_is_unit(own) || is_in_map(survey, column->header) ||
      intake_key_of_header(survey->choices, column->header) != NULL)
    return BT_OK;
  bt_text name = {0};
  bt_text_format(&name, "%s (%s)", column->header, bare(text, unit));
  char *header = bt_text_take(&name);
  if (header == NULL)
    return bt_fail_memory(error);
  free(column->header);
  column->header = header;
  return BT_OK;
}

static bt_status say(bt_survey *survey, bt_error *error) {
  bt_text sentence = {0};
  bt_text_format(&sentence,
                 "line %lld is read as the units of the columns above it, and is no row; a column "
                 "is called by its name and its unit, as in \"Energy (mJ)\"",
                 (long long)survey->header_line);
  bt_status status = intake_add_hint(survey, &sentence, error);
  bt_text_free(&sentence);
  return status;
}

bt_status intake_take_units(bt_survey *survey, bt_error *error) {
  intake_records records;
  bool found = false, words = false;
  if (survey->columns_n < 2 || strcmp(survey->columns[0].header, "@1") == 0)
    return BT_OK;
  bt_status status = intake_open_log(survey, survey->delimiter, &records, error);
  records.lines.most = INTAKE_HEADER_BYTES;
  do {
    if (status == BT_OK)
      status = intake_records_next(&records, error);
  } while (status == BT_OK && !records.at_end && records.last_line <= survey->header_line);
  intake_fields *fields = &records.fields;
  if (status == BT_OK && !records.at_end && records.bad == NULL && fields->n <= survey->columns_n)
    found = are_units(fields, &words);
  for (size_t i = 0; found && i < fields->n && status == BT_OK; i++)
    status = call_by_unit(survey, &survey->columns[i], intake_field(fields, i), error);
  survey->names_line = found ? survey->header_line : 0;
  survey->units_line_words = found && words;
  if (found)
    survey->header_line = records.last_line;
  intake_records_close(&records);
  return status == BT_OK && found && survey->preview ? say(survey, error) : status;
}
