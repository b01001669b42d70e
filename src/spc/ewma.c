/* Exponentially weighted moving average with its exact limits, in the unit of the values.
 *
 *   E_i = lambda x_i + (1 - lambda) E_(i-1)      E_0 = centre
 *   limits_i = centre -/+ L sigma sqrt(lambda / (2 - lambda) [1 - (1 - lambda)^(2i)])
 *
 * lambda in (0, 1]; lambda = 0.2, L = 2.962 by design. It is drawn beside the chart and has no
 * signal of its own. Requirements
 *   E1  i counts judged points since the start. A point that isn't judged is stepped over; its
 *       average and limits are written as 0.
 *   E2  It starts at `from`: nothing carries over from before.
 *   E3  It starts anew, at the centre with i = 1 at the next judged point, where the CUSUM
 *       restarts: what was done to the laser may have moved its mean, and an average of points from
 *       both sides of that would show neither. There is no headstart.
 *   E4  The average of values on the centre is the centre, without rounding.
 *
 * Accuracy: a few units of the last binary digit, of the largest distance from the centre.
 * Source: Roberts, Technometrics 1 (1959); exact limits: NIST/SEMATECH e-Handbook of Statistical
 * Methods, 6.3.2.4, and Lucas and Saccucci, Technometrics 32 (1990). Checked against two published
 * examples and run lengths (tests/published/spc/ewma.c), the run-length engine
 * (tests/unit/spc/run_length_simulated.c) and a plain loop (tests/unit/spc/ewma.c). */
#include "beamtally/spc.h"

#include <float.h>
#include <math.h>

/* State between two judged points. */
typedef struct ewma_state {
  double distance;  /* of the average from the centre */
  double forgotten; /* (1 - lambda)^(2i) */
} ewma_state;

static const ewma_state at_start = {.distance = 0, .forgotten = 1};

/* Runs over points [from, to), within which nothing restarts. */
static void run_span(const double *value, const uint8_t *judged, size_t from, size_t to,
                     const bt_individuals *chart, bt_ewma *ewma) {
  double lambda = ewma->lambda, keeps = 1 - lambda, centre = chart->centre;
  double widest = ewma->limit * chart->sigma * sqrt(lambda / (2 - lambda));
  ewma_state state = at_start;
  for (size_t i = from; i < to; i++) {
    if (judged[i] == 0) { /* E1 */
      ewma->value[i] = ewma->lcl[i] = ewma->ucl[i] = 0;
      continue;
    }
    state.distance = lambda * (value[i] - centre) + keeps * state.distance; /* E4 */
    /* Below a quarter of DBL_EPSILON it no longer changes 1 - forgotten; left to shrink, it would
     * come to numbers that processors are slow with. */
    state.forgotten = state.forgotten < DBL_EPSILON / 4 ? 0 : state.forgotten * keeps * keeps;
    double half_width = widest * sqrt(1 - state.forgotten);
    ewma->value[i] = centre + state.distance;
    ewma->lcl[i] = centre - half_width;
    ewma->ucl[i] = centre + half_width;
  }
}

/* The first restart at or after that point, or `to`. */
static size_t next_restart(const bt_restart *restarts, size_t n, size_t point, size_t to) {
  size_t next = to;
  for (size_t r = 0; r < n; r++)
    if (restarts[r].point >= point && restarts[r].point < next)
      next = restarts[r].point;
  return next;
}

void bt_ewma_run(const double *value, const uint8_t *judged, size_t from, size_t to,
                 const bt_individuals *chart, const bt_restart *restarts, size_t restarts_n,
                 bt_ewma *ewma) {
  size_t start = from; /* E2 */
  while (start < to) {
    size_t stop = next_restart(restarts, restarts_n, start + 1, to); /* E3 */
    run_span(value, judged, start, stop, chart, ewma);
    start = stop;
  }
}
