/* Loss by ageing of the gas alone, in the characteristic's unit per day: the within-fill slope
 * holds what the optics lose meanwhile as well, and that shows in the levels.
 *
 *   gas = b - c,  b the within-fill slope, c the Theil-Sen slope of the levels
 *   low  = gas - sqrt((b - b_low)^2 + (c_high - c)^2)
 *   high = gas + sqrt((b_high - b)^2 + (c - c_low)^2)
 *
 * Requirements
 *   G1  Without degrees of freedom for b, or without a trend, nothing is given; without an interval
 *       of the trend no interval is given.
 *
 * Accuracy: 95 % where both intervals have 95 % and b and c are independent; Kendall's has a little
 * more. Sources: this program's design, section 7; for the interval, Zou and Donner, Statistics in
 * Medicine 27 (2008), "variance estimates recovery" (value from memory, confirmed by its coverage).
 * Checked by hand and by coverage (tests/unit/drift/gas.c). */
#include "beamtally/drift.h"

#include <math.h>

bt_gas_slope bt_gas_slope_of(const bt_slope *within, const bt_trend *levels) {
  bt_gas_slope gas = {.given = within->df >= 1 && levels->given}; /* G1 */
  if (!gas.given)
    return gas;
  gas.per_day = gas.low = gas.high = within->per_day - levels->slope;
  gas.has_interval = levels->has_interval;
  if (!gas.has_interval)
    return gas;
  gas.low -= hypot(within->per_day - within->low, levels->high - levels->slope);
  gas.high += hypot(within->high - within->per_day, levels->slope - levels->low);
  return gas;
}
