/* A case for the manufacturer's engineer: what its rows do not hold, in words that the evidence
 * page and README.txt share. */
#include "beamtally/finding.h"

#include <stdlib.h>
#include <string.h>

const char *bt_case_file(const bt_case *one, int64_t source) {
  for (size_t i = 0; i < one->sources_n; i++)
    if (one->sources[i].number == source)
      return one->sources[i].name;
  return NULL;
}

/* ---- What no check of it holds --------------------------------------------------------------- */

enum { METER = BT_READING_COUNT, STATE }; /* bits behind those of the readings */

#define BIT(of)     (1U << (of))
#define READING(id) BIT(BT_READING_##id)

/* What the case's checks hold at all, bit for bit. */
static uint32_t held(const bt_case *one) {
  const bt_history *history = &one->unit->history;
  char *const *meter = history->text[BT_FIELD_METER];
  uint32_t bits = 0;
  for (size_t i = 0; i < history->n; i++) {
    if (history->at[i] < one->begins || history->at[i] >= one->to)
      continue;
    bits |= history->present[i];
    bits |= meter != NULL && meter[i] != NULL ? BIT(METER) : 0;
    bits |= history->state[i] != BT_STATE_NONE ? BIT(STATE) : 0;
  }
  return bits;
}

/* The bits of the readings leave room for those behind them. */
_Static_assert(STATE < 32, "a bit for each reading, the meter and the state");

/* What another reading stands for, so that nobody misses it. */
static const uint32_t not_missed =
    READING(ENERGY_PCT) | READING(PLATE_PULSES) | READING(SELFTEST_TOTAL);

static void name(bool *any, const char *words, bt_text *out) {
  bt_text_format(out, "%s%s", *any ? ", " : "", words);
  *any = true;
}

bool bt_case_not_held(const bt_case *one, bt_text *out) {
  static const struct {
    uint32_t bits; /* any of these is enough */
    const char *words;
  } looked_for[] = {
      {READING(HV_KV), "discharge voltage (hv_kv)"},
      {READING(PULSES), "pulse counter (pulses)"},
      {READING(FILL_AGE_DAYS), "age of the gas as the laser counts it (fill_age_days)"},
      {READING(TARGET_MJ), "target energy (target_mj)"},
      {READING(ENERGY_MJ), "pulse energy (energy_mj)"},
      {READING(ENERGY_SD_PCT), "pulse-to-pulse spread (energy_sd_pct)"},
      {READING(FLUENCE_MJ_CM2), "measured fluence (fluence_mj_cm2)"},
      {READING(FLUENCE_SETTING), "what was set to reach the fluence (fluence_setting)"},
      {READING(SPOT_MM), "spot diameter (spot_mm)"},
      {READING(PLATE_DEPTH_UM), "depth in a test plate (plate_depth_um)"},
      {READING(OFFSET_X_UM) | READING(OFFSET_Y_UM), "tracker offset (offset_x_um, offset_y_um)"},
      {READING(SELFTEST_PASSED), "self-test (selftest_passed)"},
      {READING(TEMP_C), "room temperature (temp_c)"},
      {READING(RH_PCT), "room humidity (rh_pct)"},
      {READING(PRESSURE_MBAR), "air pressure (pressure_mbar)"},
      {BIT(METER), "id of the energy meter (meter)"},
      {BIT(STATE), "whether as found or as left (state)"}};
  uint32_t bits = held(one), said = not_missed;
  bool any = false;
  for (size_t k = 0; k < sizeof looked_for / sizeof *looked_for; k++) {
    said |= looked_for[k].bits;
    if ((looked_for[k].bits & bits) == 0)
      name(&any, looked_for[k].words, out);
  }
  for (int r = 0; r < BT_READING_COUNT; r++) /* those that came later, by their keys */
    if ((BIT(r) & (said | bits)) == 0 && bt_case_knows_reading(one->format, (bt_reading)r))
      name(&any, bt_reading_key((bt_reading)r), out);
  return any;
}

const char *bt_case_gas_words(const bt_case *one) {
  return one->unit->history.own_n == 0
             ? "Of the gas the log has refills and changes of the bottle; it has no column for its "
               "pressure or mixture."
             : "Of the gas the log has refills and changes of the bottle; it has no column for its "
               "pressure or mixture but what the clinic's own columns may hold.";
}

const char *bt_case_meter(const bt_case *one, bt_time *since) {
  const bt_history *history = &one->unit->history;
  char *const *meter = history->text[BT_FIELD_METER];
  const char *newest = NULL;
  for (size_t i = history->n; i > 0 && meter != NULL; i--) {
    const char *name = meter[i - 1];
    if (name == NULL || history->at[i - 1] >= one->to)
      continue;
    if (newest != NULL && strcmp(name, newest) != 0)
      break;
    newest = name;
    *since = history->at[i - 1];
  }
  return newest;
}

const char *bt_case_meter_words(const bt_case *one) {
  const bt_unit_setting *setting = bt_settings_unit(&one->unit->settings, one->unit->history.unit);
  if (bt_unit_study_of(one->unit, BT_FLUENCE) == NULL)
    return NULL;
  switch (setting == NULL ? BT_FLUENCE_LOGGED : setting->fluence) {
  case BT_FLUENCE_ENERGY:
    return "The fluence follows from the logged energy and spot: a fault of the energy meter moves "
           "both.";
  case BT_FLUENCE_PLATE:
    return "The fluence follows from the depth in the test plate, not from the energy meter.";
  case BT_FLUENCE_LOGGED:
    break;
  }
  return "Whether the fluence was read with the same meter as the energy is not known from the log: "
         "if it was, a fault of that meter moves both, and that they agree rules none out.";
}

void bt_case_free(bt_case *one) {
  if (one == NULL)
    return;
  for (size_t i = 0; i < one->sources_n; i++)
    free(one->sources[i].name);
  free(one->sources);
  free(one->digest);
  free(one->stretch);
  free(one->age_days);
  free(one->age_known);
  free(one->missing);
  *one = (bt_case){0};
}
