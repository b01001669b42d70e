/* A cell that holds a number: its decimal mark, its marks of thousands, the unit behind it. */
#include "cells.h"
#include "number.h"
#include "thousands.h"
#include "words.h"

#include <math.h>
#include <string.h>

bool intake_unit_in_cell(const bt_reading_choices *choices, intake_role role, int item,
                         const char *unit, intake_conversion *conversion) {
  if (role == INTAKE_ROLE_READING)
    return intake_conversion_of((bt_reading)item, unit, conversion);
  return role == INTAKE_ROLE_OWN && choices->own[item].unit[0] != '\0' &&
         intake_same_unit(choices->own[item].unit, unit);
}

/* Both readings are shown of another number: the value must not stand in a reason. */
static void refuse_thousands(const intake_plan *plan, const intake_column *column, const char *text,
                             bt_thousands mark, intake_row *row) {
  static const char *const example[] = {[BT_THOUSANDS_NONE] = "1234",
                                        [BT_THOUSANDS_POINT] = "1.234",
                                        [BT_THOUSANDS_COMMA] = "1,234",
                                        [BT_THOUSANDS_SPACE] = "1 234",
                                        [BT_THOUSANDS_APOSTROPHE] = "1'234"};
  const char *word = intake_thousands_word(mark);
  intake_row_refuse(row, column, text,
                    "a number such as %s can be 1234 with a mark of thousands, or a slip for "
                    "1%c234: where it is thousands, say thousands = %s under [format] in a column "
                    "map, or else correct the cell",
                    example[mark], plan->decimal == BT_DECIMAL_COMMA ? ',' : '.', word);
}

static void refuse_number(const intake_plan *plan, const intake_column *column, const char *text,
                          bool unit, intake_row *row) {
  const char *own = column->role == INTAKE_ROLE_READING ? bt_reading_unit((bt_reading)column->item)
                                                        : plan->choices->own[column->item].unit;
  bool may = unit && own[0] != '\0';
  bt_thousands mark = intake_thousands_in(text, plan->decimal);
  if (mark != BT_THOUSANDS_NONE) {
    refuse_thousands(plan, column, text, mark, row);
    return;
  }
  /* Words that no digit is among may say that nothing was measured. */
  bool words = !plan->long_form && !unit && strpbrk(text, "0123456789") == NULL &&
               strpbrk(column->header, ",\"|;#") == NULL;
  intake_row_refuse(
      row, column, text,
      "expected a number with a decimal %s; correct the cell or map the column%s%s%s%s%s%s",
      plan->decimal == BT_DECIMAL_COMMA ? "comma" : "point",
      may ? " (what may stand behind the number is its unit, " : "", may ? own : "", may ? ")" : "",
      words ? ", or, if the word says that nothing was measured, say so in a column map under "
              "[values], in a line like: not_stored = "
            : "",
      words ? column->header : "", words ? ", THE CELL'S TEXT" : "");
}

bool intake_cell_number(const intake_plan *plan, const intake_column *column, const char *text,
                        double *value, intake_row *row) {
  intake_conversion conversion = column->conversion;
  char joined[INTAKE_JOINED_BYTES];
  const char *written = text, *whole = intake_join_thousands(text, plan->thousands, joined);
  text = whole == NULL ? text : whole;
  if (!bt_number_parse(text, plan->decimal, value)) {
    const char *unit = NULL;
    bool has_unit = intake_number_before(text, plan->decimal, value, &unit);
    if (!has_unit ||
        !intake_unit_in_cell(plan->choices, column->role, column->item, unit, &conversion)) {
      refuse_number(plan, column, written, has_unit, row);
      return false;
    }
  }
  *value = intake_convert(&conversion, *value);
  if (!(fabs(*value) < INTAKE_MOST_READABLE)) {
    intake_row_refuse(row, column, written,
                      "the number is larger than any instrument reads; correct the cell");
    return false;
  }
  *value = *value == 0.0 ? 0.0 : *value; /* no negative zero */
  return true;
}
