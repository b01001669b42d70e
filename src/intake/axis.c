/* Lengths of a beam: its spot's diameter, or its offset on one of two axes. */
#include "axis.h"
#include "convert.h"
#include "number.h"

#include <string.h>

bool intake_is_other_axis(const char *simple, const char *key) {
  static const char *const units[] = {"um", "mm"};
  size_t end = strlen(simple);
  for (size_t i = 0; i < sizeof units / sizeof units[0]; i++)
    if (end > 2 && strcmp(simple + end - 2, units[i]) == 0) {
      end -= 2;
      break;
    }
  char other = strcmp(key, "offset_x_um") == 0 ? 'y' : strcmp(key, "offset_y_um") == 0 ? 'x' : '\0';
  return end > 0 && simple[end - 1] == other;
}

bool intake_names_axis(const char *header) {
  size_t end = strcspn(header, "([");
  while (end > 0 && header[end - 1] == ' ')
    end--;
  return end > 0 && strchr("xXyY", header[end - 1]) != NULL &&
         (end == 1 || strchr(" _-.", header[end - 2]) != NULL);
}

/* No beam is a tenth of a millimetre across, or less, and none below zero: common practice, no
 * source. */
bool intake_can_be_spot(const bt_survey_column *column, const char *unit) {
  static const double least_mm = 0.1;
  intake_conversion conversion = {1, 1, 0};
  if (unit[0] != '\0' && !intake_conversion_of(BT_READING_SPOT_MM, unit, &conversion))
    return false;
  for (size_t i = 0; i < column->first_n; i++) {
    double number = 0.0;
    const char *rest = NULL;
    bool comma = strchr(column->first[i], ',') != NULL;
    bt_decimal_mark mark = comma ? BT_DECIMAL_COMMA : BT_DECIMAL_POINT;
    if ((bt_number_parse(column->first[i], mark, &number) ||
         intake_number_before(column->first[i], mark, &number, &rest)) &&
        intake_convert(&conversion, number) < least_mm)
      return false;
  }
  return true;
}
