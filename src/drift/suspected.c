/* Refills that nobody recorded, suspected: inside a fill the values jump back against their ageing.
 * They are pointed out, never assumed: fills and fill ages stay as recorded.
 *
 *   r_i = value_i - b age_i;  at each gap inside a stretch of a fill
 *   z = (mean of r after - mean of r before) / (sigma sqrt(1/k + 1/m)),  k and m up to 3 values on
 *   either side, signed so that a jump against b is positive
 *
 * Requirements
 *   U1  Suspected with z >= 4. By chance that has a probability under 3.2e-5 a gap: under 1 % a
 *       chart and year of daily checks.
 *   U2  Of gaps less than 3 values apart in one stretch the one with the largest z counts.
 *   U3  Only where b differs from zero: without ageing a refill has nothing to restore.
 *   U4  A refill of a fill as old as `age_days` would make it jump by about `expected`.
 *
 * Where fills are short the jump is small against sigma, and nothing is found. Source: this
 * program's design, section 7. Checked by hand and by the rate of false ones
 * (tests/unit/drift/suspected.c). */
#include "beamtally/drift.h"

#include <math.h>

enum { SIDE = 3 };

static const double least_z = 4;

/* Mean of r over [from, to). */
static double mean_of(const double *value, const double *age, double b, size_t from, size_t to) {
  double mean = 0;
  for (size_t i = from; i < to; i++)
    mean += (value[i] - b * age[i]) / (double)(to - from);
  return mean;
}

/* The gap before value i, of the stretch [from, to). */
static bt_suspected at_gap(const double *value, const double *age, const bt_slope *slope,
                           double sigma, size_t from, size_t to, size_t i) {
  size_t first = i - from > SIDE ? i - SIDE : from, end = to - i > SIDE ? i + SIDE : to;
  double b = slope->per_day;
  double jump = mean_of(value, age, b, i, end) - mean_of(value, age, b, first, i);
  double se = sigma * sqrt(1 / (double)(i - first) + 1 / (double)(end - i));
  return (bt_suspected){.first = i,
                        .jump = jump,
                        .z = (b < 0 ? jump : -jump) / se,
                        .age_days = age[i],
                        .expected = -b * age[i]};
}

size_t bt_refills_suspect(const double *value, const double *age_days, const int32_t *stretch,
                          size_t n, const bt_slope *slope, double sigma, bt_suspected *found) {
  size_t count = 0;
  if (slope->use != BT_AGE_USED || !(sigma > 0))
    return 0; /* U3 */
  for (size_t from = 0, to; from < n; from = to) {
    for (to = from + 1; to < n && stretch[to] == stretch[from];)
      to++;
    size_t before = count;
    for (size_t i = from + 1; i < to; i++) {
      bt_suspected gap = at_gap(value, age_days, slope, sigma, from, to, i);
      if (gap.z < least_z)
        continue; /* U1 */
      bool near = count > before && i - found[count - 1].first < SIDE;
      if (!near)
        found[count++] = gap;
      else if (gap.z > found[count - 1].z)
        found[count - 1] = gap; /* U2 */
    }
  }
  return count;
}
