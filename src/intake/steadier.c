/* Which of two columns of pulse energies is the target, where their headers don't say it in words
 * that are known. */
#include "steadier.h"
#include "content.h"
#include "header.h"
#include "hinted.h"
#include "unit_readings.h"

static bool is_energy(const bt_survey_column *column) {
  char unit[INTAKE_UNIT_BYTES];
  intake_header_unit(column->header, unit);
  return column->key == NULL && !column->identity &&
         intake_content_of(column) == INTAKE_CONTENT_NUMBER &&
         (intake_hints_at(column->header, "energy_mj") ||
          (intake_readings_of_unit(unit).same >> BT_READING_ENERGY_MJ & 1U) != 0);
}

static const char *past_digits(const char *at) {
  while (*at >= '0' && *at <= '9')
    at++;
  return at;
}

/* "E1 (mJ)", "E2 (mJ)": several readings of one kind (several.h), and neither is the target. */
static bool differ_in_digits_alone(const char *header, const char *other) {
  char one[INTAKE_NAME_BYTES], two[INTAKE_NAME_BYTES];
  if (!intake_simple_name(header, one) || !intake_simple_name(other, two))
    return false;
  const char *a = past_digits(one), *b = past_digits(two);
  while (*a != '\0' && *a == *b) {
    a = past_digits(a + 1);
    b = past_digits(b + 1);
  }
  return *a == *b;
}

bool intake_is_steadier_energy(const bt_survey *survey, const bt_survey_column *column) {
  enum { TIMES = 3 };
  if (column->texts_n == 0 || column->texts_more)
    return false;
  for (size_t i = 0; i < survey->columns_n; i++) {
    const bt_survey_column *other = &survey->columns[i];
    if (other != column && is_energy(other) &&
        !differ_in_digits_alone(column->header, other->header) &&
        other->texts_n >= TIMES * column->texts_n)
      return true;
  }
  return false;
}
