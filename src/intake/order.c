/* Order of the rows of a log in long form.
 *
 * Rows of one unit and time make a check, so they must stand together: once other rows came, that
 * time of that unit must not come again. To know this without remembering every time, each unit's
 * times must go one way, up or down; those of different units may lie in any order. */
#include "order.h"

#include <stdlib.h>
#include <string.h>

static bool fresh_unit(intake_order *order, char *name, bt_time time) {
  if (!bt_grow(&order->units, &order->capacity, order->units_n + 1, sizeof *order->units))
    return false;
  order->open = order->units_n;
  order->units[order->units_n++] = (intake_order_unit){.name = name, .last = time};
  return true;
}

/* The unit of that name becomes the open one; *found is false for a new one. */
static bool open_unit(intake_order *order, const char *unit, bt_time time, bool *found) {
  char *name = bt_fold_name(unit);
  if (name == NULL)
    return false;
  *found = true;
  for (size_t i = 0; i < order->units_n; i++)
    if (strcmp(order->units[i].name, name) == 0) {
      order->open = i;
      free(name);
      return true;
    }
  *found = false;
  if (order->units_n == INTAKE_UNITS_MOST) {
    order->too_many = true;
    free(name);
    return true;
  }
  if (fresh_unit(order, name, time))
    return true;
  free(name);
  return false;
}

bool intake_order_hear(intake_order *order, const char *unit, bt_time time, int64_t line) {
  bool found = false;
  if (order->line != 0 || order->too_many)
    return true;
  size_t before = order->open;
  bool first = order->units_n == 0;
  if (first || strcmp(order->units[before].name, unit) != 0) {
    if (!open_unit(order, unit, time, &found))
      return false;
    if (order->too_many)
      return true;
  } else {
    found = true;
  }
  intake_order_unit *of = &order->units[order->open];
  bool together = !found || (time == of->last && !first && order->open == before);
  int way = time > of->last ? 1 : -1;
  if (!together && (time == of->last || (of->direction != 0 && way != of->direction))) {
    order->line = line;
    order->before = of->line;
    order->time = time;
    return true;
  }
  if (!together)
    of->direction = way;
  of->last = time;
  of->line = line;
  return true;
}

bt_status intake_order_check(const intake_order *order, bt_error *error) {
  char iso[BT_TIME_TEXT];
  if (order->too_many)
    return bt_fail(error, BT_INPUT,
                   "the log is of more than %d lasers, which none is; look at which column is read "
                   "as the unit",
                   INTAKE_UNITS_MOST);
  if (order->line == 0)
    return BT_OK;
  return bt_fail(
      error, BT_INPUT,
      "the log has one row a reading, and rows of one laser and time must stand together, "
      "but line %lld goes back to %s behind line %lld; sort the file by unit, date and "
      "time and save it again (or correct the date of one of the two lines)",
      (long long)order->line, bt_time_iso(order->time, true, iso), (long long)order->before);
}

void intake_order_free(intake_order *order) {
  for (size_t i = 0; i < order->units_n; i++)
    free(order->units[i].name);
  free(order->units);
  *order = (intake_order){0};
}
