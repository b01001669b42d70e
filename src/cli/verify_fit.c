/* A baseline fitted anew to the rows of checks.csv: the slope inside the gas fills, screening,
 * centre and sigma. Written apart from the study room on purpose: it has the folder's rows alone.
 *
 * R1 A fit is that of a suggested baseline and of a frozen one on the record as the folder has it:
 *    slope, screening by the 3-sigma limit one pass at a time (at most 10 % left out), centre and
 *    sigma. It takes the whole period, also where a later baseline begins inside it.
 * R2 The radius is fitted to the baseline's mean offsets, and screened by its own limit; T² by its
 *    Phase I limit. */
#include "verify_case.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { LEAST_POINTS = 8 };

static bool may_adjust(const verify_chart *of) {
  return bt_characteristic_gas(of->chart->characteristic) != BT_GAS_NONE;
}

/* Means of the checks of one day and stretch. */
typedef struct cells {
  size_t n;
  double *value, *age;
  int32_t *fill, *stretch;
  uint8_t *known, *use;
  size_t *point, *held;
} cells;

static bool cells_new(cells *c, size_t n) {
  *c = (cells){.value = bt_new(n, sizeof(double)),
               .age = bt_new(n, sizeof(double)),
               .fill = bt_new(n, sizeof(int32_t)),
               .stretch = bt_new(n, sizeof(int32_t)),
               .known = bt_new(n, 1),
               .use = bt_new(n, 1),
               .point = bt_new(n, sizeof(size_t)),
               .held = bt_new(n, sizeof(size_t))};
  return c->value && c->age && c->fill && c->stretch && c->known && c->use && c->point && c->held;
}

static void cells_free(cells *c) {
  free(c->value);
  free(c->age);
  free(c->fill);
  free(c->stretch);
  free(c->known);
  free(c->use);
  free(c->point);
  free(c->held);
}

static void cells_fill(cells *c, const verify_chart *of, const verify_period *its) {
  for (size_t i = 0; i < of->chart->checks_n; i++) {
    const bt_told_check *check = &of->chart->checks[i];
    size_t p = of->point[i];
    if (p == BT_NONE || p < its->from || p >= its->end)
      continue;
    if (c->n == 0 || c->point[c->n - 1] != p || c->stretch[c->n - 1] != check->stretch)
      c->n++;
    size_t k = c->n - 1;
    c->held[k]++;
    c->value[k] += (check->reading - c->value[k]) / (double)c->held[k];
    c->age[k] += (check->age_days - c->age[k]) / (double)c->held[k];
    c->fill[k] = check->fill;
    c->stretch[k] = check->stretch;
    c->known[k] = check->age_known;
    c->point[k] = p;
  }
}

/* Slope, values, centre and sigma of the points still in. */
static bt_status fit_once(const verify_chart *of, const verify_period *its, cells *c,
                          const uint8_t *used, double *value, uint8_t *takes_part,
                          verify_fit *found, bt_error *error) {
  bt_status status = BT_OK;
  size_t taking = 0;
  found->slope = (bt_slope){.use = BT_AGE_NOT_ASKED};
  for (size_t k = 0; k < c->n; k++)
    c->use[k] = used[c->point[k]];
  if (may_adjust(of))
    status = bt_slope_fit(c->value, c->age, c->fill, c->stretch, c->known, c->use, c->n,
                          &found->slope, error);
  if (status != BT_OK)
    return status;
  bool moved = found->slope.use == BT_AGE_USED;
  for (size_t p = its->from; p < its->end; p++) {
    size_t j = p - its->from;
    value[j] = of->reading[p];
    if (moved)
      value[j] -= found->slope.per_day * (of->age[p] - found->slope.mean_age_days);
    takes_part[j] = used[p] && (!moved || of->has_age[p]);
    taking += takes_part[j];
  }
  found->too_few = taking < LEAST_POINTS;
  found->chart = (bt_individuals){.n = taking};
  return found->too_few
             ? BT_OK
             : bt_individuals_fit(value, takes_part, its->end - its->from, &found->chart, error);
}

/* False when the screening is done. */
static bool screen(const verify_period *its, const verify_fit *found, const double *value,
                   const uint8_t *takes_part, uint8_t *used, size_t *screened) {
  double reach = found->chart.sigma * (3 + 1e-9);
  size_t n = its->end - its->from, beyond = 0;
  for (size_t j = 0; j < n; j++)
    beyond += takes_part[j] && fabs(value[j] - found->chart.centre) > reach;
  if (beyond == 0 || found->chart.sigma <= 0 || 10 * (*screened + beyond) > n)
    return false;
  for (size_t j = 0; j < n; j++)
    if (takes_part[j] && fabs(value[j] - found->chart.centre) > reach)
      used[its->from + j] = 0;
  *screened += beyond;
  return true;
}

/* R2. The radius has no 3-sigma limit: it is screened by its own. */
static bt_status fit_radius(const verify_chart *of, const verify_period *its, uint8_t *used,
                            verify_fit *found, bt_error *error) {
  size_t from = its->from, n = its->end - from, screened = 0;
  for (size_t p = from; p < its->end; p++)
    used[p] = !of->failed[p];
  for (;;) {
    size_t taking = 0, beyond = 0;
    for (size_t p = from; p < its->end; p++)
      taking += used[p];
    found->too_few = taking < LEAST_POINTS;
    found->chart = (bt_individuals){.n = taking};
    if (found->too_few)
      return BT_OK;
    bt_status status = bt_individuals_fit(of->reading + from, used + from, n, &found->chart, error);
    if (status == BT_OK)
      status =
          bt_radial_limit_fit(of->x + from, of->y + from, used + from, n, &found->radial, error);
    if (status != BT_OK)
      return status;
    double limit = found->radial.limit * (1 + 1e-9);
    for (size_t p = from; p < its->end; p++)
      beyond += used[p] && of->reading[p] > limit;
    if (beyond == 0 || !its->told->of.baseline.screen || 10 * (screened + beyond) > n)
      return BT_OK;
    for (size_t p = from; p < its->end; p++)
      used[p] = used[p] && !(of->reading[p] > limit);
    screened += beyond;
  }
}

/* R2. Leaves out what lies beyond the Phase I limit; false when the screening is done. */
static bool screen_vector(const verify_chart *of, const bt_vector *vector, size_t from, size_t end,
                          uint8_t *used, size_t *screened) {
  double limit = vector->phase1_limit * (1 + 1e-9);
  size_t beyond = 0;
  for (size_t p = from; p < end; p++)
    beyond += used[p] && bt_vector_t2(vector, of->x[p], of->y[p]) > limit;
  if (beyond == 0 || 10 * (*screened + beyond) > end - from)
    return false;
  for (size_t p = from; p < end; p++)
    used[p] = used[p] && !(bt_vector_t2(vector, of->x[p], of->y[p]) > limit);
  *screened += beyond;
  return true;
}

bt_status verify_fit_vector(const verify_chart *of, const verify_period *its, bool from_differences,
                            uint8_t *used, bt_vector *found, bt_error *error) {
  size_t from = its->from, n = its->end - from, screened = 0;
  bt_status status;
  for (size_t p = from; p < its->end; p++)
    used[p] = !of->failed[p];
  do
    status =
        bt_vector_fit(of->x + from, of->y + from, used + from, n, from_differences, found, error);
  while (status == BT_OK && its->told->of.baseline.screen &&
         screen_vector(of, found, from, its->end, used, &screened));
  return status;
}

/* R1. */
bt_status verify_fit_period(const verify_chart *of, const verify_period *its, uint8_t *used,
                            verify_fit *found, bt_error *error) {
  size_t n = its->end - its->from, screened = 0;
  double *value = bt_new(n, sizeof *value);
  uint8_t *takes_part = bt_new(n, 1);
  cells c = {0};
  bool made = cells_new(&c, of->chart->checks_n) && value != NULL && takes_part != NULL;
  bt_status status = made ? BT_OK : bt_fail_memory(error);
  *found = (verify_fit){0};
  if (status == BT_OK && verify_is_radial(of))
    status = fit_radius(of, its, used, found, error);
  if (status != BT_OK || verify_is_radial(of))
    goto done;
  cells_fill(&c, of, its);
  for (size_t p = its->from; p < its->end; p++)
    used[p] = !of->failed[p] && !verify_is_other_target(of->target[p], its->told->of.target_mj);
  do
    status = fit_once(of, its, &c, used, value, takes_part, found, error);
  while (status == BT_OK && !found->too_few && its->told->of.baseline.screen &&
         screen(its, found, value, takes_part, used, &screened));
  if (status != BT_OK || found->too_few)
    goto done;
  for (size_t j = 0; j < n; j++)
    used[its->from + j] = takes_part[j];
done:
  cells_free(&c);
  free(value);
  free(takes_part);
  return status;
}
