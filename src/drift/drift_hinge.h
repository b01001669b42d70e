/* The hinge (hinge.c), which change dates and forecasts are made of. */
#ifndef DRIFT_HINGE_H
#define DRIFT_HINGE_H

#include "beamtally/base.h"

#include <stddef.h>

/* Sums over the values from one on; days from the first one, values from their mean. */
typedef struct drift_sums {
  double count, day, days2, value, product;
} drift_sums;

/* A series that hinges are fitted to. Its days are borrowed. */
typedef struct drift_hinge {
  size_t n;
  const double *day;
  double mean, total; /* of the values; sum of squares about it */
  drift_sums *from;   /* [n + 1] */
  double first, last; /* the onsets that are looked at: at `first` two values have come, after
                         `last` values of two days follow; last < first: there is none */
} drift_hinge;

/* Of the ramps x_i = max(0, day_i - onset) of all values. */
typedef struct drift_ramp {
  double onset;
  double x, xx, xy; /* sums of x, x^2, x times the value from its mean */
  double sxx;       /* of x about its mean, > 0 */
  double explained; /* of the sum of squares: xy^2 / sxx */
} drift_ramp;

bt_status drift_hinge_make(const double *day, const double *value, size_t n, drift_hinge *hinge,
                           bt_error *error) BT_MUST_CHECK;
void drift_hinge_free(drift_hinge *hinge);

/* The ramp of an onset within first .. last. */
drift_ramp drift_hinge_at(const drift_hinge *hinge, double onset);

enum { DRIFT_HINGE_PARTS = 4 };

/* Ramps of the onsets to look at, first .. last in order: each value's day, which is every
 * DRIFT_HINGE_PARTS-th, and points between. Owned; *n of them, 0 where there is none. NULL without
 * memory. */
drift_ramp *drift_hinge_ramps(const drift_hinge *hinge, size_t *n) BT_MUST_CHECK;

/* The ramp that explains most, also between those n > 0 above. */
drift_ramp drift_hinge_best(const drift_hinge *hinge, const drift_ramp *ramp, size_t n);

/* n ln(total / (total - explained)): twice the log likelihood over that of an unchanged mean.
 * Finite where nothing is left: 1e-12 of the total at least stays unexplained. */
double drift_likelihood_ratio(size_t n, double total, double explained);

#endif
