/* Values that stand alone, far from those before and after them: a slip of the pen or a reading
 * that went wrong, seldom the laser, whose changes last for more than one check.
 *
 *   b, a = medians of the up to 3 values before it and after it
 *   s    = the larger of sigma and 1.4826 times the median distance of these neighbours from
 *          their own median
 *   far: value - b and value - a are both beyond 6 s, on the same side, and at most one of these
 *        neighbours lies within 6 s of it
 *
 * Requirements
 *   A1  At an end of the series the one side decides, with 3 values: the value is as far from the
 *       nearest of them as from their median.
 *   A2  Two wild values in a row are far within a series, and not at its end; three are not. So the
 *       first values of a step are not far; a step that the newest value alone shows counts from
 *       the next one on.
 *   A3  Without a sigma over 0 nothing is far.
 *
 * Of normal values without a change under one in a million is far. Source: the identifier of
 * outliers by median and MAD, Hampel, The influence curve and its role in robust estimation, J. Am.
 * Stat. Assoc. 69 (1974), from memory; two sides and 6 s are this program's own. Checked by hand
 * and on seeded normal series (tests/unit/drift/far.c). */
#include "beamtally/drift.h"

#include <gsl/gsl_sort.h>
#include <gsl/gsl_statistics.h>
#include <math.h>
#include <string.h>

enum { SIDE = 3 };

static const double far_by = 6, mad_to_sigma = 1.4826;

/* Of n values, 1 to 2 SIDE, which are put in order. */
static double median(double *value, size_t n) {
  gsl_sort(value, 1, n);
  return gsl_stats_median_from_sorted_data(value, 1, n);
}

static double median_of(const double *value, size_t n) {
  double copy[2 * SIDE];
  memcpy(copy, value, n * sizeof *copy);
  return median(copy, n);
}

/* s, from the values on both sides of value i. */
static double scale(const double *value, size_t i, size_t before, size_t after, double sigma) {
  double near[2 * SIDE];
  memcpy(near, value + i - before, before * sizeof *near);
  memcpy(near + before, value + i + 1, after * sizeof *near);
  double middle = median_of(near, before + after);
  for (size_t k = 0; k < before + after; k++)
    near[k] = fabs(near[k] - middle);
  return fmax(sigma, mad_to_sigma * median(near, before + after));
}

/* How far value i lies beyond n values, `nearest` among them and at an end of the series: the
 * lesser of its distances from their median and from that one. */
static double beyond_end(const double *value, size_t i, const double *of, size_t nearest) {
  double from_median = value[i] - median_of(of, SIDE), from_nearest = value[i] - value[nearest];
  if ((from_median > 0) != (from_nearest > 0))
    return 0;
  return fabs(from_median) < fabs(from_nearest) ? from_median : from_nearest;
}

static bool is_far(const double *value, size_t n, size_t i, double sigma) {
  size_t before = i < SIDE ? i : SIDE, after = n - 1 - i < SIDE ? n - 1 - i : SIDE;
  if (before + after < SIDE)
    return false;
  double least = far_by * scale(value, i, before, after, sigma);
  if (before == 0) /* A1 */
    return fabs(beyond_end(value, i, value + 1, 1)) > least;
  if (after == 0)
    return fabs(beyond_end(value, i, value + n - 1 - SIDE, i - 1)) > least;
  size_t near = 0;
  for (size_t k = i - before; k <= i + after; k++)
    near += k != i && fabs(value[k] - value[i]) <= least;
  double from_before = value[i] - median_of(value + i - before, before);
  double from_after = value[i] - median_of(value + i + 1, after);
  return near <= 1 && ((from_before > least && from_after > least) ||
                       (from_before < -least && from_after < -least));
}

size_t bt_far_values(const double *value, size_t n, double sigma, uint8_t *is) {
  size_t found = 0;
  for (size_t i = 0; i < n; i++) {
    is[i] = sigma > 0 && is_far(value, n, i, sigma);
    found += is[i];
  }
  return found;
}
