/* How many days a fill lasts before the mean meets tolerance, at today's level and slope.
 *
 *   age = A + (limit - level) / b,  level the mean at fill age A, b the within-fill slope per day
 *   interval: all ages x with (limit - level - b (x - A))^2 <= t^2 (se_level^2 + (x - A)^2 se_b^2)
 *             (Fieller), t = t(0.975; df of b)
 *
 * Requirements
 *   Y1  Not given where b doesn't differ from zero, or where no limit stands on the side that b
 *       leads to.
 *   Y2  A fresh fill beyond the limit already lasts 0 days: BT_FILL_BEYOND.
 *   Y3  The interval begins at 0 at the earliest. Its end is open where Fieller's set has none.
 *
 * It is of the mean: single checks fail earlier. Source: Fieller, Journal of the Royal Statistical
 * Society B 16 (1954). Level and b are taken as independent, which holds at the mean fill age.
 * Checked by hand and coverage (tests/unit/drift/fill_days.c). */
#include "beamtally/drift.h"

#include <gsl/gsl_cdf.h>
#include <math.h>

/* Y3: x - A between the roots of a x^2 - 2 h x + c <= 0. */
static void set_interval(double level, double level_se, const bt_slope *slope,
                         bt_fill_days *found) {
  double t = gsl_cdf_tdist_Pinv(0.975, slope->df), b = slope->per_day, far = found->limit - level;
  double a = b * b - t * t * slope->se * slope->se, c = far * far - t * t * level_se * level_se;
  double root = sqrt(fmax(far * far * b * b - a * c, 0));
  if (!(a > 0))
    return;
  found->has_high = true;
  found->low = fmax(slope->mean_age_days + (far * b - root) / a, 0);
  found->high = fmax(slope->mean_age_days + (far * b + root) / a, 0);
}

bt_fill_days bt_fill_days_of(double level, double level_se, const bt_slope *slope, bool has_low,
                             double low, bool has_high, double high) {
  bt_fill_days found = {.use = BT_FILL_NO_SLOPE};
  if (slope->use != BT_AGE_USED)
    return found; /* Y1 */
  bool falls = slope->per_day < 0;
  found.use = BT_FILL_NO_LIMIT;
  if (falls ? !has_low : !has_high)
    return found;
  found.limit = falls ? low : high;
  double days = slope->mean_age_days + (found.limit - level) / slope->per_day;
  found.use = days > 0 ? BT_FILL_GIVEN : BT_FILL_BEYOND; /* Y2 */
  found.days = fmax(days, 0);
  set_interval(level, level_se, slope, &found);
  return found;
}
