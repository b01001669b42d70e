/* Run length of the EWMA, both sides: an integral equation, walked forward.
 *
 *   E_i = lambda z_i + (1 - lambda) E_(i-1), E_0 = 0, a signal where |E_i| > limit x its sigma,
 *   sigma^2 = lambda / (2 - lambda) [1 - (1 - lambda)^(2i)]       exact limits
 *   sigma^2 = lambda / (2 - lambda)                               constant limits
 *
 * In units of lambda a step is normal with standard deviation 1: y = e + noise, e = (1 - lambda) x
 * + shift. What is carried is the probability without a signal so far at each point of a
 * Gauss-Legendre rule between the limits; it starts as all at 0. Exact limits widen until they have
 * reached the constant ones to 1e-10 of themselves; then the step is the same for good, and is
 * kept.
 *
 * Source: Roberts, Technometrics 1 (1959); Crowder, Technometrics 29 (1987); Lucas and Saccucci,
 * Technometrics 32 (1990). Accuracy: 1e-9 of an ARL, lambda from 0.02 up. Checked against their
 * tables and further computed values, both kinds of limits, against a linear solver and by
 * simulation (tests/published/spc/run_length_ewma.c, tests/unit/spc/run_length.c). */
#include "spc_run_length.h"

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_randist.h>
#include <math.h>
#include <stdlib.h>

#define SETTLED 1e-10

typedef struct ewma_law {
  double lambda, shift; /* the shift in sigma */
  double limit;         /* the constant one, in units of lambda */
  double forgotten;     /* (1 - lambda)^(2i); 0 once the limits are constant */
  spc_nodes nodes;      /* of the interval from -1 to 1, by their share of the limit */
  double now_limit;     /* limit that the points stand for; 0 while all is at 0 */
  double *now, *then;   /* probability at each point; scratch */
  double *kernel, *out; /* the constant step, from point j (row) to each; to beyond the limits */
  bool kept;            /* kernel and out are made */
} ewma_law;

/* Probability of a step from x to beyond +-limit. */
static double beyond(const ewma_law *law, double x, double limit) {
  double mean = (1 - law->lambda) * x + law->shift;
  return gsl_cdf_ugaussian_Q(limit - mean) + gsl_cdf_ugaussian_P(-limit - mean);
}

/* Probability that a step from x is taken to point i of that limit. */
static double reaches(const ewma_law *law, double x, size_t i, double limit) {
  double mean = (1 - law->lambda) * x + law->shift;
  return limit * law->nodes.weight[i] * gsl_ran_ugaussian_pdf(limit * law->nodes.at[i] - mean);
}

/* From points of now_limit to those of `limit`. Gives what goes beyond. */
static double widen(ewma_law *law, double limit) {
  size_t n = law->nodes.n, from_n = law->now_limit > 0 ? n : 1;
  double signal = 0;
  for (size_t i = 0; i < n; i++)
    law->then[i] = 0;
  for (size_t j = 0; j < from_n; j++) {
    double x = law->now_limit > 0 ? law->now_limit * law->nodes.at[j] : 0;
    signal += law->now[j] * beyond(law, x, limit);
    for (size_t i = 0; i < n; i++)
      law->then[i] += law->now[j] * reaches(law, x, i, limit);
  }
  return signal;
}

static void keep_step(ewma_law *law) {
  size_t n = law->nodes.n;
  for (size_t j = 0; j < n; j++) {
    double x = law->limit * law->nodes.at[j];
    law->out[j] = beyond(law, x, law->limit);
    for (size_t i = 0; i < n; i++)
      law->kernel[j * n + i] = reaches(law, x, i, law->limit);
  }
  law->kept = true;
}

static double repeat(ewma_law *law) {
  size_t n = law->nodes.n;
  double signal = 0;
  if (!law->kept)
    keep_step(law);
  for (size_t i = 0; i < n; i++)
    law->then[i] = 0;
  for (size_t j = 0; j < n; j++) {
    const double *row = law->kernel + j * n;
    double from = law->now[j];
    signal += from * law->out[j];
    for (size_t i = 0; i < n; i++)
      law->then[i] += from * row[i];
  }
  return signal;
}

static double ewma_next(void *state) {
  ewma_law *law = state;
  double keeps = (1 - law->lambda) * (1 - law->lambda);
  law->forgotten = law->forgotten * keeps < 2 * SETTLED ? 0 : law->forgotten * keeps;
  double limit = law->limit * sqrt(1 - law->forgotten);
  double signal = law->now_limit < law->limit ? widen(law, limit) : repeat(law);
  law->now_limit = limit;
  double *now = law->then;
  law->then = law->now;
  law->now = now;
  return signal;
}

static void ewma_drop(void *state) {
  ewma_law *law = state;
  if (law == NULL)
    return;
  spc_nodes_free(&law->nodes);
  free(law->now);
  free(law->then);
  free(law->kernel);
  free(law->out);
  free(law);
}

bt_status spc_law_of_ewma(const bt_run_chart *chart, double shift, spc_law *law, bt_error *error) {
  ewma_law *made = bt_new(1, sizeof *made);
  *law = (spc_law){.state = made, .next = ewma_next, .drop = ewma_drop};
  if (made == NULL)
    return bt_fail_memory(error);
  made->lambda = chart->lambda;
  made->shift = shift;
  made->limit = chart->limit / sqrt(chart->lambda * (2 - chart->lambda));
  made->forgotten = chart->constant_limits ? 0 : 1;
  bt_status status = spc_nodes_make(-made->limit, made->limit, &made->nodes, error);
  if (status != BT_OK)
    return status;
  size_t n = made->nodes.n;
  for (size_t i = 0; i < n; i++) {
    made->nodes.at[i] /= made->limit;
    made->nodes.weight[i] /= made->limit;
  }
  made->now = bt_new(n, sizeof(double));
  made->then = bt_new(n, sizeof(double));
  made->out = bt_new(n, sizeof(double));
  made->kernel = bt_new(n * n, sizeof(double));
  if (made->now == NULL || made->then == NULL || made->out == NULL || made->kernel == NULL)
    return bt_fail_memory(error);
  made->now[0] = 1;
  return BT_OK;
}
