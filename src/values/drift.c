/* The free function of a unit's drift, and a look-up in it. */
#include "beamtally/finding.h"

#include <stdlib.h>

static void free_one(bt_drift *drift) {
  bt_drift_values *values = &drift->values;
  free(values->day);
  free(values->raw);
  free(values->value);
  free(values->age_days);
  free(values->fill);
  free(values->stretch);
  free(values->known);
  free(values->point);
  free(values->row);
  free(drift->far);
  free(drift->level);
  free(drift->suspected);
  free(drift->events);
  for (size_t i = 0; i < drift->covariates_n; i++)
    free(drift->covariates[i].code);
  free(drift->covariates);
  free(drift->look_back_day);
  free(drift->past);
}

void bt_unit_drift_free(bt_unit_drift *drift) {
  if (drift == NULL)
    return;
  for (size_t i = 0; i < drift->n; i++)
    free_one(&drift->drift[i]);
  free(drift->drift);
  for (size_t i = 0; i < drift->meters_n; i++) {
    free(drift->meters[i].unit);
    free(drift->meters[i].meter);
  }
  free(drift->meters);
  free(drift);
}

const bt_drift *bt_unit_drift_of(const bt_unit_drift *drift, bt_characteristic characteristic) {
  for (size_t i = 0; i < drift->n; i++)
    if (drift->drift[i].characteristic == characteristic)
      return &drift->drift[i];
  return NULL;
}

void bt_facts_words(uint32_t facts, bt_text *out) {
  static const struct {
    uint32_t fact;
    const char *words;
  } table[] = {
      {BT_FACT_LEVELS_FALL, "the level is worse at equal fill age"},
      {BT_FACT_LEVELS_HOLD,
       "beside it no lasting loss, which refills would not bring back, is shown"},
      {BT_FACT_LOSS_STEEPER, "change inside the fills steeper than in the baseline"},
      {BT_FACT_LOSS_UNCHANGED, "no steeper change inside the fills is shown"},
      {BT_FACT_ENERGY_FALLS, "energy falls"},
      {BT_FACT_ENERGY_STEPS, "energy changed in a step"},
      {BT_FACT_ENERGY_UNCHANGED, "no change of the energy is shown"},
      {BT_FACT_VOLTAGE_CLIMBS, "voltage climbs"},
      {BT_FACT_VOLTAGE_UNCHANGED, "no change of the voltage is shown"},
      {BT_FACT_CEILING_AHEAD, "voltage on its way to its ceiling"},
      {BT_FACT_DEMAND_CLIMBS, "demand climbs"},
      {BT_FACT_DEMAND_UNCHANGED, "no change of the demand is shown"},
      {BT_FACT_FLUENCE_FALLS, "independent fluence falls"},
      {BT_FACT_FLUENCE_UNCHANGED, "no change of the independent fluence is shown"},
      {BT_FACT_PLATE_FALLS, "depth in the test plate falls"},
      {BT_FACT_PLATE_UNCHANGED, "no change of the depth in the test plate is shown"},
      {BT_FACT_SPREAD_GROWS, "spread from pulse to pulse grows"},
      {BT_FACT_SPREAD_FIRST, "spread before the energy, or without it"},
      {BT_FACT_TRACKER_STEPS, "tracker offset changed in a step"},
      {BT_FACT_MOVED_THEN, "the laser was moved then"},
      {BT_FACT_CLEANING_RESTORED, "a cleaning brought some of it back"},
      {BT_FACT_BOTTLE_RESTORED, "another gas bottle brought some of it back"},
      {BT_FACT_METER_DIFFERS, "energy differs before and after the meter change"},
      {BT_FACT_METER_THEN, "the meter was changed then"},
      {BT_FACT_METER_ALIKE, "no difference before and after the meter change is told from chance"},
      {BT_FACT_METER_SHARED, "another laser read with the same meter stepped then"},
  };
  const char *between = "";
  for (size_t k = 0; k < sizeof table / sizeof *table; k++)
    if ((facts & table[k].fact) != 0) {
      bt_text_format(out, "%s%s", between, table[k].words);
      between = "; ";
    }
}
