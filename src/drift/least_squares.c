/* Least squares by singular values, with what parts.c and fill_growth.c need of it.
 *
 *   size = argmin |y - x size|^2,  variance: the diagonal of (x'x)^-1 rss / (rows - columns)
 *
 * Source: the GNU Scientific Library's gsl_multifit_linear_tsvd. Checked by those two files' tests.
 */
#include "least_squares.h"

#include <gsl/gsl_multifit.h>

bt_status drift_least_squares(const gsl_matrix *x, const gsl_vector *y, double least_singular,
                              drift_fitted *found, bt_error *error) {
  size_t columns = x->size2, rank = 0;
  bt_status status = BT_OK;
  *found = (drift_fitted){0};
  gsl_matrix *cov = gsl_matrix_alloc(columns, columns);
  gsl_vector *c = gsl_vector_alloc(columns);
  gsl_multifit_linear_workspace *work = gsl_multifit_linear_alloc(x->size1, columns);
  if (!cov || !c || !work) {
    status = bt_fail_memory(error);
    goto done;
  }
  int failed = gsl_multifit_linear_tsvd(x, y, least_singular, c, cov, &found->rss, &rank, work);
  found->whole = failed == 0 && rank == columns && found->rss > 0;
  for (size_t k = 0; k < columns && found->whole; k++) {
    found->size[k] = gsl_vector_get(c, k);
    found->variance[k] = gsl_matrix_get(cov, k, k);
  }
done:
  gsl_matrix_free(cov);
  gsl_vector_free(c);
  gsl_multifit_linear_free(work);
  return status;
}
