/* Least squares on columns of which some may not be told apart from others. */
#ifndef DRIFT_LEAST_SQUARES_H
#define DRIFT_LEAST_SQUARES_H

#include "beamtally/base.h"

#include <gsl/gsl_matrix.h>

enum { DRIFT_MOST_COLUMNS = 4 };

typedef struct drift_fitted {
  bool whole; /* all columns could be told apart, and something is left unexplained */
  double rss;
  double size[DRIFT_MOST_COLUMNS], variance[DRIFT_MOST_COLUMNS]; /* where whole, by column */
} drift_fitted;

/* y on the columns of x, at most DRIFT_MOST_COLUMNS; singular values below that share of the
 * largest count as none. BT_MEMORY. */
bt_status drift_least_squares(const gsl_matrix *x, const gsl_vector *y, double least_singular,
                              drift_fitted *found, bt_error *error) BT_MUST_CHECK;

#endif
