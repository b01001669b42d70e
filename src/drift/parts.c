/* A loss in two parts: what stays over refills, and what each fill loses more from some fill on.
 * Values in their unit as measured, not moved; days in days.
 *
 *   y_i = a + b age_i + c x_i + d age_i z_i + error,  least squares
 *   x   = max(0, day - onset) for a hinge, 1 from the step on for a step: the change as found
 *   z   = 1 in fills from some fill on, that which explains most
 *   lasting is c, per day for a hinge and in all for a step; fills is d, per day of fill age;
 *   their intervals of 95 % take both dates as known
 *   ratio of a part = n ln(RSS without it / RSS with both): without it, the other part's fill is
 *   chosen anew
 *
 * Requirements
 *   P1  Values of known fill age take part.
 *   P2  Not given without a change, under 10 degrees of freedom, or where no fill's choice tells
 *       the four apart (no ages, or nothing before the change).
 *   P3  A part is shown when its ratio passes 6.63 (lasting: chi-square of 1 degree of freedom,
 *       99 %) or 9.5 (fills: more, since their date is chosen).
 *
 * A level at the mean fill age falls when the gas ages faster as well as when the optics lose, and
 * a ramp passes for a step of either: so each is asked whether the other alone does as well. Bounds
 * are this program's own. Source: least squares; Snedecor and Cochran, Statistical Methods, chapter
 * on analysis of covariance. Checked on series of known sizes (tests/unit/drift/parts.c) and by how
 * often simulated lasers are told rightly (tests/unit/study/drift_lasers_told.c). */
#include "beamtally/drift.h"
#include "drift_change.h"
#include "least_squares.h"

#include <gsl/gsl_cdf.h>
#include <math.h>
#include <stdlib.h>

enum { LEAST_DF = 10, LEAST_AFTER = 6 };

static const double tail = 0.025, least_singular = 1e-6;
static const double lasting_bound = 6.634896601021213, fills_bound = 9.5;

/* The values that take part. */
typedef struct rows {
  size_t n;
  double *y, *age, *x;
  int32_t *fill;
} rows;

/* Least squares on the columns 1, age, and x and age z where asked for; z from fill `from` on. */
static bt_status fit(const rows *of, bool with_x, bool with_z, int32_t from, drift_fitted *found,
                     bt_error *error) {
  size_t columns = 2 + (size_t)with_x + (size_t)with_z;
  gsl_matrix *x = gsl_matrix_alloc(of->n, columns);
  gsl_vector *y = gsl_vector_alloc(of->n);
  bt_status status = x && y ? BT_OK : bt_fail_memory(error);
  *found = (drift_fitted){0};
  for (size_t i = 0; i < of->n && status == BT_OK; i++) {
    gsl_vector_set(y, i, of->y[i]);
    gsl_matrix_set(x, i, 0, 1);
    gsl_matrix_set(x, i, 1, of->age[i]);
    if (with_x)
      gsl_matrix_set(x, i, 2, of->x[i]);
    if (with_z)
      gsl_matrix_set(x, i, columns - 1, of->fill[i] >= from ? of->age[i] : 0);
  }
  if (status == BT_OK)
    status = drift_least_squares(x, y, least_singular, found, error);
  gsl_matrix_free(x);
  gsl_vector_free(y);
  return status;
}

/* The best of all fills that z may begin with; both sides have some values. */
static bt_status best_fill(const rows *of, bool with_x, drift_fitted *best, bt_error *error) {
  *best = (drift_fitted){0};
  for (size_t i = LEAST_AFTER; i + LEAST_AFTER <= of->n; i++) {
    drift_fitted found;
    if (of->fill[i] == of->fill[i - 1])
      continue;
    bt_status status = fit(of, with_x, true, of->fill[i], &found, error);
    if (status != BT_OK)
      return status;
    if (found.whole && (!best->whole || found.rss < best->rss))
      *best = found;
  }
  return BT_OK;
}

static bt_part part_of(const drift_fitted *found, size_t column, double t, double ratio,
                       double bound) {
  double half = t * sqrt(found->variance[column]), size = found->size[column];
  return (bt_part){.size = size,
                   .low = size - half,
                   .high = size + half,
                   .ratio = ratio,
                   .shown = ratio > bound};
}

static bt_status find(const rows *of, bt_parts *parts, bt_error *error) {
  drift_fitted both = {0}, gas = {0}, lasting = {0};
  bt_status status = best_fill(of, true, &both, error);
  if (status == BT_OK)
    status = best_fill(of, false, &gas, error);
  if (status == BT_OK)
    status = fit(of, true, false, 0, &lasting, error);
  if (status != BT_OK || !both.whole || !gas.whole || !lasting.whole)
    return status; /* P2 */
  double n = (double)of->n;
  parts->given = true;
  parts->n = of->n;
  parts->df = n - DRIFT_MOST_COLUMNS;
  double t = gsl_cdf_tdist_Qinv(tail, parts->df);
  parts->lasting = part_of(&both, 2, t, n * log(gas.rss / both.rss), lasting_bound);
  parts->fills = part_of(&both, 3, t, n * log(lasting.rss / both.rss), fills_bound);
  return BT_OK;
}

bt_status bt_parts_find(const double *day, const double *value, const double *age_days,
                        const int32_t *fill, const uint8_t *known, size_t n,
                        const bt_change *change, bt_parts *parts, bt_error *error) {
  *parts = (bt_parts){0};
  if (change->kind == BT_CHANGE_NONE)
    return BT_OK; /* P2 */
  rows of = {.y = bt_new(n, sizeof *of.y),
             .age = bt_new(n, sizeof *of.age),
             .x = bt_new(n, sizeof *of.x),
             .fill = bt_new(n, sizeof *of.fill)};
  bt_status status = of.y && of.age && of.x && of.fill ? BT_OK : bt_fail_memory(error);
  for (size_t i = 0; i < n && status == BT_OK; i++) {
    if (known[i] == 0)
      continue; /* P1 */
    of.y[of.n] = value[i] - value[0];
    of.age[of.n] = age_days[i];
    of.x[of.n] = drift_change_shape(change, day[i]);
    of.fill[of.n++] = fill[i];
  }
  if (status == BT_OK && of.n >= DRIFT_MOST_COLUMNS + LEAST_DF)
    status = find(&of, parts, error);
  free(of.y);
  free(of.age);
  free(of.x);
  free(of.fill);
  return status;
}
