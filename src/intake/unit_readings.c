/* K2 of likely.c: the unit that a column's numbers have, and the readings that it allows. */
#include "unit_readings.h"
#include "convert.h"
#include "number.h"

#include <string.h>

intake_unit_readings intake_readings_of_unit(const char *unit) {
  intake_unit_readings of = {0, 0};
  for (int r = 0; r < BT_READING_COUNT; r++) {
    intake_conversion conversion;
    if (unit[0] == '\0' || !intake_conversion_of((bt_reading)r, unit, &conversion))
      continue;
    bool identity =
        conversion.factor == 1.0 && conversion.divisor == 1.0 && conversion.shift == 0.0;
    of.same |= identity ? 1U << r : 0U;
    of.converted |= identity ? 0U : 1U << r;
  }
  return of;
}

uint32_t intake_readings_by_unit(intake_unit_readings of) {
  return of.same != 0 ? of.same : of.converted;
}

bool intake_unit_of_cells(const bt_survey_column *column, char unit[INTAKE_UNIT_BYTES]) {
  double number = 0.0;
  const char *rest = NULL;
  for (size_t i = 0; i < column->first_n; i++)
    for (int mark = BT_DECIMAL_POINT; mark <= BT_DECIMAL_COMMA; mark++)
      if (intake_number_before(column->first[i], (bt_decimal_mark)mark, &number, &rest) &&
          intake_is_unit(rest) && strlen(rest) < INTAKE_UNIT_BYTES) {
        memcpy(unit, rest, strlen(rest) + 1);
        return true;
      }
  return false;
}

/* "Energy (% of the target)": the first word in brackets, where it is a unit. */
static void begins_with_unit(const char *header, char unit[INTAKE_UNIT_BYTES]) {
  char first[INTAKE_UNIT_BYTES];
  const char *open = strpbrk(header, "([");
  size_t word = open == NULL ? 0 : strcspn(open + 1, " )]");
  if (word == 0 || word >= sizeof first)
    return;
  memcpy(first, open + 1, word);
  first[word] = '\0';
  if (intake_is_unit(first))
    memcpy(unit, first, word + 1);
}

bool intake_unit_of_column(const bt_survey_column *column, char unit[INTAKE_UNIT_BYTES]) {
  intake_header_unit(column->header, unit);
  if (!intake_is_unit(unit))
    begins_with_unit(column->header, unit);
  bool in_cell = !intake_is_unit(unit) && intake_unit_of_cells(column, unit);
  return !in_cell; /* a cell's own unit needs no word of the map */
}
