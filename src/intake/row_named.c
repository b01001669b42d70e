/* A row of a log in long form: the cell that names its reading, and its value (W5 of row.c). */
#include "row.h"
#include "words.h"

/* The name as read by the unit of measurement that its row has, or that stands in the name. False
 * where the row is refused. */
static bool measure(const intake_plan *plan, intake_fields *fields, const intake_name *name,
                    intake_name *measured, intake_row *row) {
  intake_column *column = &measured->column;
  bool has = plan->measure_column < fields->n;
  const char *unit = has ? intake_field(fields, plan->measure_column) : "";
  char untold[INTAKE_UNIT_BYTES];
  *measured = *name;
  if (column->role != INTAKE_ROLE_READING)
    return true;
  const char *own = bt_reading_unit((bt_reading)column->item);
  bool told = has && !intake_is_missing(unit);
  if (!told && intake_unit_is_untold(plan->choices, column, name->text, untold)) {
    intake_row_refuse(row, &plan->columns[plan->name_column], name->text,
                      "its name says %s, and %s is in %s; say in the map, under [units], %s = %s "
                      "(converted) or %s = %s (as it stands)",
                      untold, column->key, own, column->key, untold, column->key, own);
    return false;
  }
  if (!told || own[0] == '\0' ||
      intake_conversion_of((bt_reading)column->item, unit, &column->conversion))
    return true;
  intake_row_refuse(row, &plan->columns[plan->measure_column], unit,
                    "the unit can't be converted to the %s of %s; correct the cell", own,
                    column->key);
  return false;
}

void intake_row_read_named(intake_plan *plan, intake_fields *fields, intake_row *row) {
  const intake_column *names = &plan->columns[plan->name_column];
  const char *text = intake_field(fields, plan->name_column);
  char *value = intake_field(fields, plan->value_column);
  if (intake_is_missing(text)) {
    intake_row_refuse(row, names, text, "the row doesn't say which reading it holds; fill it in");
    return;
  }
  const intake_name *name = intake_plan_name(plan, text);
  if (name == NULL) {
    row->kind = INTAKE_ROW_MEMORY;
    return;
  }
  if (!name->known) {
    intake_row_refuse(row, names, text,
                      "no reading is called so; the nearest is %s. Say in the map's [values] which "
                      "it is (%s = column, name), or not_stored = column, name",
                      name->nearest, name->nearest);
    return;
  }
  intake_name measured;
  if (!intake_is_missing(value) && (!measure(plan, fields, name, &measured, row) ||
                                    !intake_row_take_named(plan, &measured, value, row)))
    return;
  bool brings = row->check.present != 0 || row->check.own_n > 0 || row->also != 0 ||
                row->check.refill != BT_REFILL_NONE || row->named_state || row->named_texts != 0;
  if (!brings)
    row->kind = INTAKE_ROW_NOTHING;
}
