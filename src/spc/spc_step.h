/* The test of a step at any date (step.c), which the test of a period is made of. */
#ifndef SPC_STEP_H
#define SPC_STEP_H

#include <stddef.h>

/* Fewest values that have a split with two on either side and something left over. */
#define SPC_STEP_LEAST 4

/* Largest F over all splits of n >= SPC_STEP_LEAST values; *at is the first value after the step,
 * 0 where all values are alike. */
double spc_step_largest(const double *value, size_t n, size_t *at);

/* p of a largest F: P(it is exceeded by n values that don't change). */
double spc_step_p(double f, size_t n);

/* The shift of the mean between two halves, in sigma, that is found with a probability of 0.8 at
 * p < 0.01; `tests` 2: at twice p < 0.01, as where two series are tested. */
double spc_step_detectable(size_t n, int tests);

#endif
