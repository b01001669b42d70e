/* The slope inside the gas fills, and the trend of levels from fill to fill.
 *
 * R1 Both are of the days since the change where there is one with 3 levels or 5 values from it on,
 *    else of the window: a slope over days before a change would mix two lasers.
 * R2 Levels are those of all fills of the window, moved along the baseline's slope.
 * R3 With under 5 levels the trend is that of the values themselves.
 * R4 The baseline's own slope is that of its chart; of a frozen one it is fitted anew to its
 * points, as an interval needs the degrees of freedom, which a frozen baseline doesn't keep. R5 Of
 * fills nothing is said unless 3 of known age stand on either side: before the change, or in the
 * baseline, and since it. Without them their slopes and parts are none. */
#include "study_drift.h"

#include <stdlib.h>

static double first_day(const bt_drift *drift) {
  return drift->values.n > 0 ? drift->values.day[0] : 0;
}

/* R1 */
static double since_day(const bt_drift *drift) {
  if (!drift->moved.changed)
    return first_day(drift);
  double changed = drift->change.day;
  size_t fills = 0, values = 0;
  for (size_t f = 0; f < drift->levels.n; f++)
    fills += drift->level[f].day >= changed;
  for (size_t i = 0; i < drift->values.n; i++)
    values += drift->values.day[i] >= changed;
  return fills >= DRIFT_LEAST_FILLS || values >= DRIFT_LEAST_LEVELS ? changed : first_day(drift);
}

/* Fills of known age among the values that take part. */
static size_t known_fills(const bt_drift_values *values, const uint8_t *use) {
  size_t fills = 0;
  int32_t last = -1;
  for (size_t i = 0; i < values->n; i++)
    if (use[i] != 0 && values->known[i] != 0 && values->fill[i] != last) {
      last = values->fill[i];
      fills++;
    }
  return fills;
}

/* Slope of the raw values that take part. */
static bt_status slope_of(const bt_drift *drift, const uint8_t *use, bt_slope *slope,
                          bt_error *error) {
  const bt_drift_values *values = &drift->values;
  return bt_slope_fit(values->raw, values->age_days, values->fill, values->stretch, values->known,
                      use, values->n, slope, error);
}

bt_status study_drift_baseline_slope(bt_drift *drift, const bt_segment *segment, bt_error *error) {
  const bt_drift_values *values = &drift->values;
  uint8_t *use = bt_new(values->n, sizeof *use);
  if (use == NULL)
    return bt_fail_memory(error);
  for (size_t i = 0; i < values->n; i++)
    use[i] = values->point[i] >= segment->from && values->point[i] < segment->phase2;
  bt_status status = BT_OK;
  drift->fills_before = known_fills(values, use);
  bool fills_tell = drift->fills_before >= DRIFT_LEAST_FILLS; /* R5 */
  if (fills_tell && segment->slope.df >= 1)
    drift->baseline_slope = segment->slope; /* R4 */
  else if (fills_tell)
    status = slope_of(drift, use, &drift->baseline_slope, error);
  free(use);
  return status;
}

static bt_status levels_of(bt_drift *drift, const uint8_t *all, bt_error *error) {
  const bt_drift_values *values = &drift->values;
  const bt_baseline *baseline = &bt_study_now(drift->study)->baseline;
  bt_slope slope = {.per_day = baseline->slope_per_day,
                    .se = baseline->slope_se,
                    .mean_age_days = baseline->mean_age_days};
  drift->level = bt_new(values->n, sizeof *drift->level);
  if (drift->level == NULL)
    return bt_fail_memory(error);
  return bt_levels_fit(values->day, values->raw, values->age_days, values->fill, values->known, all,
                       values->n, baseline->adjusted ? &slope : NULL, false, drift->level,
                       &drift->levels, error);
}

static bt_status trend_of(bt_drift *drift, double *day, double *value, bt_error *error) {
  const bt_drift_values *values = &drift->values;
  size_t n = 0;
  bool by_fills =
      drift->loss != 0 || drift->study->adjusted; /* else a refill means nothing to it */
  for (size_t f = 0; by_fills && f < drift->levels.n; f++)
    if (drift->level[f].day >= drift->since) {
      day[n] = drift->level[f].day;
      value[n++] = drift->level[f].value;
    }
  drift->trend_of_fills = n >= DRIFT_LEAST_LEVELS;
  if (!drift->trend_of_fills) { /* R3 */
    n = 0;
    for (size_t i = 0; i < values->n; i++)
      if (values->day[i] >= drift->since) {
        day[n] = values->day[i];
        value[n++] = values->value[i];
      }
  }
  return bt_trend_find(day, value, n, &drift->trend, error);
}

static bt_status by_pulses(const drift_unit *of, bt_drift *drift, uint8_t *use, double *pulses,
                           bt_error *error) {
  const bt_history *history = &of->unit->history;
  const bt_drift_values *values = &drift->values;
  bool any = false;
  for (size_t i = 0; i < values->n; i++) {
    size_t row = values->row[i];
    use[i] = use[i] && (history->present[row] >> BT_READING_PULSES & 1U) != 0;
    pulses[i] = use[i] ? history->reading[BT_READING_PULSES][row] : 0;
    any = any || use[i];
  }
  return any ? bt_slope_by_pulses(values->raw, pulses, values->fill, values->stretch, use,
                                  values->n, &drift->pulses_slope, error)
             : BT_OK;
}

/* R5: on either side of the change; where nothing changed all are since it. Gives those of the
 * window before it. */
static size_t count_fills(bt_drift *drift, uint8_t *use) {
  const bt_drift_values *values = &drift->values;
  double changed = drift->moved.changed ? drift->change.day : first_day(drift);
  for (size_t i = 0; i < values->n; i++)
    use[i] = values->day[i] < changed;
  size_t before = known_fills(values, use);
  drift->fills_before = before > drift->fills_before ? before : drift->fills_before;
  for (size_t i = 0; i < values->n; i++)
    use[i] = values->day[i] >= changed;
  drift->fills_since = known_fills(values, use);
  drift->fills_tell =
      drift->fills_before >= DRIFT_LEAST_FILLS && drift->fills_since >= DRIFT_LEAST_FILLS;
  return before;
}

/* R5: what is said of fills; `use` and `pulses` are room for as many values. */
static bt_status fills_of(const drift_unit *of, bt_drift *drift, uint8_t *use, double *pulses,
                          bt_error *error) {
  const bt_drift_values *values = &drift->values;
  size_t before = count_fills(drift, use);
  if (!drift->fills_tell) {
    drift->baseline_slope = (bt_slope){0};
    return BT_OK;
  }
  for (size_t i = 0; i < values->n; i++)
    use[i] = values->day[i] >= drift->since;
  bt_status status = slope_of(drift, use, &drift->slope, error);
  if (status == BT_OK)
    status = by_pulses(of, drift, use, pulses, error);
  if (status == BT_OK && drift->moved.changed && before >= DRIFT_LEAST_FILLS)
    status = bt_parts_find(values->day, values->raw, values->age_days, values->fill, values->known,
                           values->n, &drift->change, &drift->parts, error);
  if (status == BT_OK)
    drift->gas = bt_gas_slope_of(&drift->slope, &drift->trend);
  return status;
}

bt_status study_drift_slopes(const drift_unit *of, bt_drift *drift, bt_error *error) {
  size_t n = drift->values.n;
  uint8_t *use = bt_new(n, sizeof *use);
  double *day = bt_new(n, sizeof *day), *value = bt_new(n, sizeof *value);
  bt_status status = use && day && value ? BT_OK : bt_fail_memory(error);
  for (size_t i = 0; i < n && status == BT_OK; i++)
    use[i] = 1;
  if (status == BT_OK)
    status = levels_of(drift, use, error); /* R2 */
  if (status != BT_OK)
    goto done;
  drift->since = since_day(drift);
  status = trend_of(drift, day, value, error);
  if (status == BT_OK)
    status = fills_of(of, drift, use, day, error);
done:
  free(use);
  free(day);
  free(value);
  return status;
}
