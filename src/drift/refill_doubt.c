/* Two signs that refills stand otherwise in the log than they were. They are asked about, never
 * assumed: fills and fill ages stay as recorded.
 *
 * Requirements
 *   Q1  Readings that get better as the gas ages are the sign of "before" and "after" of the
 * refills the wrong way round: a slope inside the fills, per day, more than 3 standard errors to
 * the side that no loss goes to, with 10 degrees of freedom or more. Of a laser whose gas does not
 *       act at all one chart in 700 would be. The slope since the change, or of the window, is
 *       asked; the baseline's where that one has too few.
 *   Q2  A reading in a fill over 3 times as old, in days, as fills usually get: the refill before
 *       may be missing. The oldest reading is named.
 *
 * Common practice, no source. Checked by hand (tests/unit/drift/refill_doubt.c). */
#include "beamtally/drift.h"

#include <math.h>

enum { LEAST_DF = 10 };

static const double least_t = 3, most_fills = 3;

bool bt_refills_wrong_side(const bt_slope *since, const bt_slope *baseline, int loss,
                           bt_slope *slope) {
  const bt_slope *asked = since->df >= LEAST_DF ? since : baseline;
  *slope = *asked;
  return asked->df >= LEAST_DF && asked->per_day * loss < 0 && fabs(asked->t) > least_t;
}

size_t bt_refills_missing(const double *age_days, const uint8_t *known, size_t n,
                          double usual_days) {
  size_t oldest = BT_NONE;
  for (size_t i = 0; i < n; i++)
    if (known[i] != 0 && age_days[i] > (oldest == BT_NONE ? 0 : age_days[oldest]))
      oldest = i;
  return oldest != BT_NONE && usual_days > 0 && age_days[oldest] > most_fills * usual_days
             ? oldest
             : BT_NONE;
}
