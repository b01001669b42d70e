/* Look-ups in settings, and the free functions of setup values. */
#include "beamtally/setup.h"

#include <stdlib.h>

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

const bt_tolerance *bt_settings_next_tolerance(const bt_settings *settings, const char *unit,
                                               bt_characteristic characteristic, bt_time at) {
  const bt_tolerance *next = NULL;
  for (size_t i = 0; i < settings->tolerances_n; i++) {
    const bt_tolerance *tolerance = &settings->tolerances[i];
    if (tolerance->characteristic == characteristic && tolerance->from > at &&
        bt_same_name(tolerance->unit, unit) && (next == NULL || tolerance->from < next->from))
      next = tolerance;
  }
  return next;
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
