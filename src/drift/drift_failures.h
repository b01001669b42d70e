/* Failures among checks of a mean that moves in a straight line (failures.c). */
#ifndef DRIFT_FAILURES_H
#define DRIFT_FAILURES_H

enum { DRIFT_FAILURE_NODES = 1025 };

/* -ln P(a check doesn't fail) and its integral, over how far the mean lies beyond the limit, in
 * sigma of a check: -8 .. 8. */
typedef struct drift_failures {
  double rate[DRIFT_FAILURE_NODES], sum[DRIFT_FAILURE_NODES];
} drift_failures;

void drift_failures_make(drift_failures *failures);

/* -ln P(no failure) of one check, on average over checks spread evenly while the mean moves from
 * `from` to `to`. */
double drift_failures_mean(const drift_failures *failures, double from, double to);

#endif
