/* Is a period fit to be a baseline: tests of its values for trend and step.
 *
 * Where values are moved to the mean fill age, what is tested is the level of each fill: its fitted
 * value at that age, which is the mean of its moved checks (the intercept of the common-slope fit);
 * fills with two checks or more. The checks inside a fill share what happened to that fill, and
 * would pass for as many independent values. Else it is the points.
 *
 * What the step test can find is known in the sigma of the values that are tested. A level is a
 * mean of several checks and scatters less, so it is converted to sigma of the chart by the ratio
 * of both sigmas, each MRbar/d2: a reader compares it with the chart's limits. */
#include "study_room.h"

#include <stdlib.h>

typedef struct levels {
  size_t n;
  double *value;
  size_t *point; /* the first of each level */
  uint32_t *checks;
  uint8_t *use;
} levels;

static bool levels_make(levels *of, size_t most) {
  *of = (levels){.value = bt_new(most, sizeof *of->value),
                 .point = bt_new(most, sizeof *of->point),
                 .checks = bt_new(most, sizeof *of->checks),
                 .use = bt_new(most, sizeof *of->use)};
  return of->value && of->point && of->checks && of->use;
}

static void levels_free(levels *of) {
  free(of->value);
  free(of->point);
  free(of->checks);
  free(of->use);
}

/* One level a gas fill. */
static void gather_fills(const bt_study *study, const study_rows *rows, const bt_segment *segment,
                         const uint8_t *used, levels *of) {
  const bt_series *checks = &study->checks;
  int32_t fill = -1;
  for (size_t i = 0; i < checks->n; i++) {
    size_t p = rows->point[i];
    if (p == BT_NONE || p < segment->from || p >= segment->phase2 || !used[p])
      continue;
    if (of->n == 0 || checks->fill[i] != fill) {
      fill = checks->fill[i];
      of->point[of->n++] = p;
    }
    size_t k = of->n - 1;
    double moved = checks->raw[i] - segment->slope.per_day *
                                        (checks->fill_age_days[i] - segment->slope.mean_age_days);
    of->checks[k]++;
    of->value[k] += (moved - of->value[k]) / of->checks[k];
    of->use[k] = of->checks[k] >= 2;
  }
}

static void gather_points(const bt_study *study, const bt_segment *segment, const uint8_t *used,
                          levels *of) {
  for (size_t p = segment->from; p < segment->phase2; p++) {
    of->point[of->n] = p;
    of->value[of->n] = study->points.raw[p];
    of->use[of->n++] = used[p];
  }
}

/* Into sigma of the chart. */
static bt_status convert(const levels *of, double chart_sigma, bt_stability *stability,
                         bt_error *error) {
  bt_individuals chart;
  bt_status status = bt_individuals_fit(of->value, of->use, of->n, &chart, error);
  if (status == BT_OK)
    stability->detectable = chart_sigma > 0 ? stability->detectable * chart.sigma / chart_sigma : 0;
  return status;
}

bt_status study_stability(const bt_study *study, const study_rows *rows, const bt_segment *segment,
                          const uint8_t *used, bt_stability *stability, bt_error *error) {
  levels of = {0};
  bt_status status = BT_OK;
  if (!levels_make(&of, study->checks.n)) {
    status = bt_fail_memory(error);
    goto done;
  }
  if (segment->slope.use == BT_AGE_USED)
    gather_fills(study, rows, segment, used, &of);
  else
    gather_points(study, segment, used, &of);
  status = bt_stability_test(of.value, of.use, of.n, stability, error);
  if (status == BT_OK && stability->n > 0)
    stability->step_at = of.point[stability->step_at];
  if (status == BT_OK && stability->n > 0 && segment->slope.use == BT_AGE_USED)
    status = convert(&of, segment->chart.sigma, stability, error);
done:
  levels_free(&of);
  return status;
}
