/* h of a CUSUM, or the limit of an EWMA, for a wanted ARL in control: the root of
 * ln ARL(x) - ln wanted, which rises with x, by Brent's method between 0 and the first of 1, 1.5,
 * 2.25 ... that is large enough. Rounded to a millionth of sigma, so that what is printed is what
 * was used; the ARL then differs from the wanted one by about a millionth of it.
 *
 * Checked against published and further computed values (tests/published/spc), and by solving back
 * (tests/unit/spc/run_length.c). */
#include "spc_run_length.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_roots.h>
#include <math.h>

#define GRID     1e6
#define SMALLEST 1e-6
#define STRIDE   1.5
#define MOST_ARL 1e6

typedef struct search {
  bt_run_chart chart;
  double wanted;
  bt_status status; /* of the first run length that failed */
  bt_error *error;
} search;

static void set_width(bt_run_chart *chart, double x) {
  if (chart->method == BT_RUN_OF_CUSUM)
    chart->h = x;
  else
    chart->limit = x;
}

static double excess(double x, void *parameters) {
  search *of = parameters;
  double arl = 0;
  set_width(&of->chart, x);
  bt_status status = spc_run_length_mean(&of->chart, 0, 1, &arl, of->error);
  if (status != BT_OK) {
    of->status = of->status == BT_OK ? status : of->status;
    return GSL_NAN;
  }
  return log(arl / of->wanted);
}

/* Brings the bracket together; a status of GSL. */
static int narrow(gsl_root_fsolver *solver) {
  int status = GSL_CONTINUE;
  for (int round = 0; status == GSL_CONTINUE && round < 100; round++) {
    status = gsl_root_fsolver_iterate(solver);
    if (status == GSL_SUCCESS)
      status = gsl_root_test_interval(gsl_root_fsolver_x_lower(solver),
                                      gsl_root_fsolver_x_upper(solver), 0.01 / GRID, 0);
  }
  return status;
}

static bt_status solve(search *of, double low, double high, double *root) {
  gsl_function function = {.function = excess, .params = of};
  gsl_root_fsolver *solver = gsl_root_fsolver_alloc(gsl_root_fsolver_brent);
  if (solver == NULL)
    return bt_fail_memory(of->error);
  int status = gsl_root_fsolver_set(solver, &function, low, high);
  if (status == GSL_SUCCESS)
    status = narrow(solver);
  if (status == GSL_SUCCESS)
    *root = gsl_root_fsolver_root(solver);
  gsl_root_fsolver_free(solver);
  if (of->status != BT_OK)
    return of->status;
  if (status != GSL_SUCCESS)
    return bt_fail(of->error, BT_SYSTEM, "no limit was found for an ARL of %.10g (%s)", of->wanted,
                   gsl_strerror(status));
  return BT_OK;
}

bt_status bt_run_length_solve(bt_run_chart *chart, double arl, bt_error *error) {
  if (chart->method == BT_RUN_OF_RULES)
    return bt_fail(error, BT_USAGE,
                   "the zone rules have no limit that could be set for a wanted ARL; a CUSUM and "
                   "an EWMA have");
  if (!(arl > 1 && arl <= MOST_ARL))
    return bt_fail(error, BT_USAGE, "a wanted ARL is above 1 and at most %.0f points", MOST_ARL);
  search of = {.chart = *chart, .wanted = arl, .error = error};
  const double widest = spc_run_chart_widest(chart);
  double low = SMALLEST, high = SMALLEST, root = 0;
  double more = excess(low, &of);
  if (of.status == BT_OK && more > 0)
    return bt_fail(error, BT_USAGE,
                   "an ARL of %.10g is less than this chart has with the narrowest limits; take a "
                   "larger one",
                   arl);
  for (double x = 1; of.status == BT_OK && more < 0 && high < widest; x *= STRIDE) {
    low = high;
    high = fmin(x, widest);
    more = excess(high, &of);
  }
  if (of.status != BT_OK)
    return of.status;
  if (more < 0)
    return bt_fail(
        error, BT_USAGE,
        "an ARL of %.10g is more than this chart has with limits of %g; take a smaller one, "
        "or a larger k or lambda",
        arl, widest);
  bt_status status = solve(&of, low, high, &root);
  if (status == BT_OK)
    set_width(chart, round(root * GRID) / GRID);
  return status;
}
