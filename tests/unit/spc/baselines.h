/* Baselines of a laser that never changes, as the product takes them. */
#ifndef BASELINES_H
#define BASELINES_H

#include "beamtally/spc.h"

/* Centre and sigma of the values; screened: of those that no pass of the screening leaves out, each
 * by the 3-sigma limits, as long as it's at most one in ten. use: which they are, n of them. */
bt_individuals baseline_of(const double *value, uint8_t *use, size_t n, bool screened);

#endif
