/* Units that share an energy meter, and whose energy stepped at the same time: then the meter is
 * the likelier cause.
 *
 * R1 Looked for only where this unit's energy changed by a step past its look's threshold.
 * R2 Another unit counts where it was checked with the same meter in the band of dates, its own
 *    energy stepped past its threshold to the same side, and the bands overlap. */
#include "study_drift.h"

#include <stdlib.h>
#include <string.h>

/* The meter of the first check in [from, to] days that names one, or NULL. Borrowed. */
static const char *meter_at(const bt_history *history, double from, double to) {
  char *const *meter = history->text[BT_FIELD_METER];
  for (size_t i = 0; i < history->n && meter != NULL; i++)
    if (meter[i] != NULL && drift_day(history->at[i]) >= from && drift_day(history->at[i]) <= to)
      return meter[i];
  return NULL;
}

/* R2: the step of another unit's energy. */
static bt_status step_of(bt_ledger *ledger, const char *name, bt_time until, bt_moved *moved,
                         char **meter, const bt_moved *own, bt_error *error) {
  bt_study_request request = {
      .unit = name, .until = until, .only_one = true, .characteristic = BT_ENERGY_RATIO};
  bt_unit_study *unit = NULL;
  *moved = (bt_moved){0};
  *meter = NULL;
  bt_status status = bt_study_unit(ledger, &request, &unit, error);
  if (status == BT_NOTFOUND)
    return BT_OK; /* it has no energy */
  if (status == BT_OK)
    status = study_drift_alone(unit, error);
  if (status == BT_OK && unit->drift->n > 0) {
    const char *of = meter_at(&unit->history, own->from - 7, own->to);
    *moved = unit->drift->drift[0].moved;
    if (of != NULL && (*meter = bt_copy(of)) == NULL)
      status = bt_fail_memory(error);
  }
  bt_unit_study_free(unit);
  return status;
}

static bool together(const bt_moved *own, const bt_moved *other) {
  return other->changed && other->kind == BT_CHANGE_STEP && !other->levelled &&
         other->sign == own->sign && other->from <= own->to && own->from <= other->to;
}

bt_status study_drift_meters(bt_ledger *ledger, const bt_unit_study *unit, bt_unit_drift *all,
                             bt_error *error) {
  const bt_drift *energy = bt_unit_drift_of(all, BT_ENERGY_RATIO);
  if (energy == NULL || !energy->moved.changed || energy->moved.kind != BT_CHANGE_STEP ||
      energy->moved.levelled)
    return BT_OK; /* R1 */
  const bt_moved *own = &energy->moved;
  const char *meter = meter_at(&unit->history, own->from - 7, own->to);
  char **names = NULL;
  size_t n = 0;
  bt_status status = meter == NULL ? BT_OK : bt_ledger_units(ledger, &names, &n, error);
  if (meter != NULL && status == BT_OK && (all->meters = bt_new(n, sizeof *all->meters)) == NULL)
    status = bt_fail_memory(error);
  for (size_t i = 0; i < n && status == BT_OK; i++) {
    bt_moved moved;
    char *theirs;
    if (bt_same_name(names[i], unit->history.unit))
      continue;
    status = step_of(ledger, names[i], unit->until, &moved, &theirs, own, error);
    if (status == BT_OK && theirs != NULL && strcmp(theirs, meter) == 0 && together(own, &moved)) {
      bt_meter_unit *found = &all->meters[all->meters_n];
      *found = (bt_meter_unit){
          .unit = bt_copy(names[i]), .meter = theirs, .from = moved.from, .to = moved.to};
      theirs = NULL;
      all->meters_n++;
      if (found->unit == NULL)
        status = bt_fail_memory(error);
    }
    free(theirs);
  }
  bt_names_free(names, n);
  return status;
}
