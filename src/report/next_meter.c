/* What to do next where the log cannot tell a loss of the laser from one of its meter: a second
 * meter can. Common practice, no source. */
#include "report_next.h"

static bool may_be_the_meter(const bt_unit_study *unit, const bt_drift *drift) {
  return report_drift_is_told(drift) && drift->causes_n > 0 &&
         drift->causes[0].kind == BT_CAUSE_NOT_RESTORED_BY_REFILL &&
         report_drift_meter_change(unit, drift) == NULL; /* its own step asks the old meter */
}

void report_second_meter_step(const bt_unit_study *unit, bool brief, bt_text *out) {
  size_t n = 0, named = 0;
  for (size_t i = 0; unit->drift != NULL && i < unit->drift->n; i++)
    n += may_be_the_meter(unit, &unit->drift->drift[i]);
  if (n == 0)
    return;
  if (brief) {
    bt_text_add(out, "Technician: it may be the meter: have a second one, if any, read the laser.");
    return;
  }
  bt_text_add(out,
              "Technician: if a second meter can be had, let it read the laser beside the usual "
              "one: the log cannot tell whether ");
  for (size_t i = 0; i < unit->drift->n; i++)
    if (may_be_the_meter(unit, &unit->drift->drift[i]))
      bt_text_format(out, "%s%s", report_list_join(named++, n),
                     unit->drift->drift[i].study->quantity.title);
  bt_text_add(out, " changed in the laser or in the meter.");
}
