/* What a column holds, by its first values. */
#include "content.h"
#include "clock.h"
#include "convert.h"
#include "date.h"
#include "hinted.h"
#include "number.h"
#include "thousands.h"
#include "words.h"

#include <string.h>

static bool is_number(const char *text) {
  double number;
  const char *unit = NULL;
  bool points = intake_thousands_in(text, BT_DECIMAL_COMMA) == BT_THOUSANDS_POINT;
  bool commas = intake_thousands_in(text, BT_DECIMAL_POINT) == BT_THOUSANDS_COMMA;
  return points || commas || bt_number_parse(text, BT_DECIMAL_POINT, &number) ||
         bt_number_parse(text, BT_DECIMAL_COMMA, &number) ||
         (intake_number_before(text, BT_DECIMAL_POINT, &number, &unit) && intake_is_unit(unit)) ||
         (intake_number_before(text, BT_DECIMAL_COMMA, &number, &unit) && intake_is_unit(unit));
}

/* All first values must agree; a mixture is words. */
intake_content intake_content_of(const bt_survey_column *column) {
  size_t dates = 0, clocks = 0, dotted = 0, numbers = 0, filled = 0;
  double passed = 0.0, total = 0.0;
  for (size_t i = 0; i < column->first_n; i++) {
    const char *text = column->first[i];
    if (intake_is_missing(text))
      continue;
    filled++;
    dates += intake_date_of(text) != INTAKE_DATE_NOTHING;
    clocks += intake_is_clock(text);
    dotted += intake_is_dotted_clock(text);
    numbers += is_number(text) || intake_pair_of(text, &passed, &total);
  }
  bool times = dotted > 0 && dotted + clocks == filled && intake_hints_at(column->header, "time");
  return filled == 0         ? INTAKE_CONTENT_NONE
         : times             ? INTAKE_CONTENT_CLOCK
         : numbers == filled ? INTAKE_CONTENT_NUMBER
         : dates == filled   ? INTAKE_CONTENT_DATE
         : clocks == filled  ? INTAKE_CONTENT_CLOCK
                             : INTAKE_CONTENT_TEXT;
}

bool intake_is_flags(const bt_survey_column *column) {
  if (column->texts_more || column->texts_n == 0 || !intake_hints_at(column->header, "refill"))
    return false;
  for (size_t k = 0; k < column->texts_n; k++)
    if (strcmp(column->texts[k], "0") != 0 && strcmp(column->texts[k], "1") != 0)
      return false;
  return true;
}

bool intake_notes_yes(const bt_survey_column *column) {
  for (size_t k = 0; k < column->texts_n; k++)
    if (intake_says_yes(column->texts[k]))
      return true;
  return false;
}
