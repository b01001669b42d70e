/* Which of two columns of pulse energies is the target, where their headers don't say it in words
 * that are known. */
#include "steadier.h"
#include "content.h"
#include "header.h"
#include "hinted.h"
#include "number.h"
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

static bool first_number(const bt_survey *survey, const bt_survey_column *column, double *number) {
  const char *rest = NULL;
  const char *text = column->first_n > 0 ? column->first[0] : "";
  return bt_number_parse(text, survey->decimal, number) ||
         intake_number_before(text, survey->decimal, number, &rest);
}

/* What is measured lies near its target: a limit of the spread, or the energy at another place,
 * is as steady. Half of it to half as much again: common practice, no source. */
static bool lies_near(const bt_survey *survey, const bt_survey_column *column,
                      const bt_survey_column *other) {
  double one, another;
  return first_number(survey, column, &one) && first_number(survey, other, &another) &&
         another >= 0.5 * one && another <= 1.5 * one;
}

bool intake_is_steadier_energy(const bt_survey *survey, const bt_survey_column *column) {
  enum { TIMES = 3 };
  if (column->texts_n == 0 || column->texts_more)
    return false;
  for (size_t i = 0; i < survey->columns_n; i++) {
    const bt_survey_column *other = &survey->columns[i];
    if (other != column && is_energy(other) &&
        !differ_in_digits_alone(column->header, other->header) &&
        other->texts_n >= TIMES * column->texts_n && lies_near(survey, column, other))
      return true;
  }
  return false;
}
