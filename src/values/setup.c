/* Characteristics' names, look-ups in settings, and the free functions of setup values. */
#include "beamtally/setup.h"

#include <stdlib.h>
#include <string.h>

static const struct {
  const char *key, *title, *unit;
  int decimals;
  bt_reading reading;
  bt_judging judging;
  bt_gas gas;
} characteristics[] = {
#define X(ID, key, title, unit, decimals, reading, judging, gas)                                   \
  [BT_##ID] = {#key,        title, unit, decimals, BT_READING_##reading, BT_JUDGING_##judging,     \
               BT_GAS_##gas},
    BT_CHARACTERISTICS(X)
#undef X
};

const char *bt_characteristic_key(bt_characteristic characteristic) {
  return characteristics[characteristic].key;
}

int bt_characteristic_decimals(bt_characteristic characteristic) {
  return characteristics[characteristic].decimals;
}

bt_reading bt_characteristic_reading(bt_characteristic characteristic) {
  return characteristic < BT_CHARACTERISTIC_COUNT ? characteristics[characteristic].reading
                                                  : BT_READING_NONE;
}

bt_judging bt_characteristic_judging(bt_characteristic characteristic) {
  return characteristic < BT_CHARACTERISTIC_COUNT ? characteristics[characteristic].judging
                                                  : BT_JUDGING_NOTICES;
}

bt_gas bt_characteristic_gas(bt_characteristic characteristic) {
  return characteristic < BT_CHARACTERISTIC_COUNT ? characteristics[characteristic].gas
                                                  : BT_GAS_NONE;
}

bool bt_settings_characteristic(const bt_settings *settings, const char *key,
                                bt_characteristic *characteristic) {
  if (bt_characteristic_of(key, characteristic))
    return true;
  for (size_t i = 0; i < settings->own_n; i++)
    if (strcmp(key, settings->own[i].key) == 0) {
      *characteristic = (bt_characteristic)(BT_CHARACTERISTIC_COUNT + i);
      return true;
    }
  return false;
}

bt_quantity bt_settings_quantity(const bt_settings *settings, bt_characteristic characteristic) {
  if (characteristic >= BT_CHARACTERISTIC_COUNT) {
    const bt_own_characteristic *own = &settings->own[characteristic - BT_CHARACTERISTIC_COUNT];
    return (bt_quantity){own->key, own->title, own->unit, own->decimals};
  }
  return (bt_quantity){characteristics[characteristic].key, characteristics[characteristic].title,
                       characteristics[characteristic].unit,
                       characteristics[characteristic].decimals};
}

bool bt_characteristic_is_covariate(bt_characteristic characteristic) {
  return bt_characteristic_judging(characteristic) == BT_JUDGING_NOTHING;
}

bool bt_characteristic_of(const char *key, bt_characteristic *characteristic) {
  for (size_t i = 0; i < BT_CHARACTERISTIC_COUNT; i++)
    if (strcmp(key, characteristics[i].key) == 0) {
      *characteristic = (bt_characteristic)i;
      return true;
    }
  return false;
}

void bt_settings_free(bt_settings *settings) {
  if (settings == NULL)
    return;
  for (size_t i = 0; i < settings->units_n; i++)
    free(settings->units[i].name);
  for (size_t i = 0; i < settings->tolerances_n; i++) {
    free(settings->tolerances[i].unit);
    free(settings->tolerances[i].source);
  }
  for (size_t i = 0; i < settings->own_n; i++) {
    free(settings->own[i].key);
    free(settings->own[i].title);
    free(settings->own[i].unit);
  }
  free(settings->own);
  free(settings->units);
  free(settings->tolerances);
  free(settings->tell);
  free(settings->font);
  free(settings->clinic);
  *settings = (bt_settings){0};
}

const bt_unit_setting *bt_settings_unit(const bt_settings *settings, const char *unit) {
  for (size_t i = 0; i < settings->units_n; i++)
    if (bt_same_name(settings->units[i].name, unit))
      return &settings->units[i];
  return NULL;
}

const bt_tolerance *bt_settings_tolerance(const bt_settings *settings, const char *unit,
                                          bt_characteristic characteristic, bt_time at) {
  bt_tolerance_stretch stretch = {0};
  return bt_settings_tolerance_along(settings, unit, characteristic, at, &stretch);
}

const bt_tolerance *bt_settings_tolerance_along(const bt_settings *settings, const char *unit,
                                                bt_characteristic characteristic, bt_time at,
                                                bt_tolerance_stretch *stretch) {
  if (stretch->known && at >= stretch->from && at < stretch->to)
    return stretch->tolerance;
  *stretch = (bt_tolerance_stretch){.known = true, .from = INT64_MIN, .to = INT64_MAX};
  for (size_t i = 0; i < settings->tolerances_n; i++) {
    const bt_tolerance *tolerance = &settings->tolerances[i];
    if (tolerance->characteristic != characteristic || !bt_same_name(tolerance->unit, unit))
      continue;
    if (tolerance->from > at) {
      stretch->to = tolerance->from < stretch->to ? tolerance->from : stretch->to;
    } else if (stretch->tolerance == NULL || tolerance->from >= stretch->from) {
      stretch->tolerance = tolerance;
      stretch->from = tolerance->from;
    }
  }
  return stretch->tolerance;
}

void bt_baseline_free(bt_baseline *baseline) {
  if (baseline == NULL)
    return;
  free(baseline->by);
  free(baseline->why);
  free(baseline->exclusions);
  baseline->by = NULL;
  baseline->why = NULL;
  baseline->exclusions = NULL;
  baseline->exclusions_n = 0;
}

void bt_reading_choices_free(bt_reading_choices *choices) {
  if (choices == NULL)
    return;
  for (size_t i = 0; i < choices->columns_n; i++) {
    free(choices->columns[i].key);
    free(choices->columns[i].header);
    free(choices->columns[i].from_unit);
  }
  for (size_t i = 0; i < choices->values_n; i++) {
    free(choices->values[i].key);
    free(choices->values[i].header);
    free(choices->values[i].value);
    free(choices->values[i].result);
  }
  free(choices->columns);
  free(choices->values);
  free(choices->encoding);
  free(choices->unit);
  *choices = (bt_reading_choices){0};
}
