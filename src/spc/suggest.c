/* Charts that keep a budget of false signals, the soonest to find a shift first.
 *
 * A budget of so many false signals a year at a rate of checking is an ARL in control of at least
 * 12 checks_a_month / budget. Requirements
 *   S1  Each subset of the zone rules whose ARL in control is that or more.
 *   S2  CUSUMs of k = shift/2, the reference value that finds that shift soonest, and of the usual
 *       0.5, each with and without a headstart of half of h; h solved for that ARL. Once where the
 *       two k are the same.
 *   S3  EWMAs of lambda 0.1, 0.2 and 0.4, exact limits, solved likewise.
 *   S4  Ordered by the ARL at the shift.
 *   S5  A chart that can't be solved for that ARL is left out; nothing is suggested for a budget
 *       that no chart keeps.
 *   S6  A headstart, and exact limits that begin narrow, find sooner only what is there from the
 *       first point on: beside that ARL stands the one of the same h without headstart, or of the
 *       same limit held constant. A shift that comes later is found about as late, or a little
 *       sooner.
 *   S7  h and limits are rounded up to a ten-thousandth of sigma: what is printed is what is meant,
 *       and keeps the budget.
 *
 * Source: k = shift/2: Page, Biometrika 41 (1954). Checked by asking the run lengths back
 * (tests/unit/spc/suggest.c). */
#include "spc_run_length.h"

#include <math.h>
#include <stdlib.h>

/* The zone rules have the lowest bits (rules.c), so that each number up to all of them is a set. */
enum { MONTHS = 12, RULE_SETS = BT_ZONE_RULES };

_Static_assert(RULE_SETS + 7 == BT_SUGGESTIONS, "each chart that is looked at has its place");

#define DAYS_A_YEAR     365.25
#define USUAL_K         0.5
#define USUAL_HEADSTART 0.5
#define GRID            1e4
#define SOLVED_WITHIN   1e-6 /* the solver's own grid */

/* Under this a chart would signal at every other point. */
#define LEAST_ARL 2.0

typedef struct search {
  double arl; /* at least, in control */
  double checks_a_year, shift, charts;
  size_t n;
  bt_suggestion found[BT_SUGGESTIONS];
} search;

/* Takes the chart in when it keeps the budget. */
static bt_status consider(search *of, const bt_run_chart *chart, bt_error *error) {
  bt_run_length quiet, shifted, later;
  bt_run_chart run_in = *chart; /* S6 */
  run_in.headstart = 0;
  run_in.constant_limits = true;
  bt_status status = bt_run_length_find(chart, 0, &quiet, error);
  if (status == BT_OK)
    status = bt_run_length_find(chart, of->shift, &shifted, error);
  if (status == BT_OK)
    status = bt_run_length_find(&run_in, of->shift, &later, error);
  if (status == BT_OK && quiet.arl >= of->arl)
    of->found[of->n++] =
        (bt_suggestion){.chart = *chart,
                        .arl_in_control = quiet.arl,
                        .a_year = of->checks_a_year / quiet.arl,
                        .together_a_year = of->checks_a_year / quiet.arl * of->charts,
                        .arl_shifted = shifted.arl,
                        .arl_later = later.arl,
                        .days_shifted = shifted.arl / of->checks_a_year * DAYS_A_YEAR};
  return status;
}

static bt_status consider_solved(search *of, bt_run_chart chart, bt_error *error) {
  bt_status status = bt_run_length_solve(&chart, of->arl, error);
  if (status == BT_USAGE)
    return BT_OK; /* S5 */
  double *width = chart.method == BT_RUN_OF_CUSUM ? &chart.h : &chart.limit;
  *width = ceil((*width + SOLVED_WITHIN) * GRID) / GRID; /* S7 */
  if (status == BT_OK)
    status = consider(of, &chart, error);
  return status == BT_USAGE ? BT_OK : status; /* S5 */
}

static bt_status consider_all(search *of, bt_error *error) {
  bt_status status = BT_OK;
  for (bt_rules rules = 1; rules <= RULE_SETS && status == BT_OK; rules++) /* S1 */
    status = consider(of, &(bt_run_chart){.method = BT_RUN_OF_RULES, .rules = rules}, error);

  const double k[] = {fabs(of->shift) / 2, USUAL_K};
  for (int i = fabs(k[0] - USUAL_K) < 1e-9 ? 1 : 0; i < 2; i++) /* S2 */
    for (int with = 0; with < 2 && status == BT_OK; with++)
      status = consider_solved(of,
                               (bt_run_chart){.method = BT_RUN_OF_CUSUM,
                                              .k = k[i],
                                              .headstart = with != 0 ? USUAL_HEADSTART : 0},
                               error);

  static const double lambda[] = {0.1, 0.2, 0.4};
  for (int i = 0; i < 3 && status == BT_OK; i++) /* S3 */
    status =
        consider_solved(of, (bt_run_chart){.method = BT_RUN_OF_EWMA, .lambda = lambda[i]}, error);
  return status;
}

/* The sooner one first; of equals, the one with the rarer false signals. */
static int compare(const void *a, const void *b) {
  const bt_suggestion *one = a, *other = b;
  if (one->arl_shifted != other->arl_shifted)
    return one->arl_shifted < other->arl_shifted ? -1 : 1;
  return (one->arl_in_control < other->arl_in_control) -
         (one->arl_in_control > other->arl_in_control);
}

bt_status bt_suggest(const bt_budget *budget, bt_suggestion *suggestions, size_t *n,
                     bt_error *error) {
  double charts = budget->charts > 1 ? (double)budget->charts : 1,
         budget_a_year = budget->a_year / charts, checks_a_month = budget->checks_a_month,
         shift = budget->shift;
  *n = 0;
  if (!(isfinite(budget_a_year) && budget_a_year > 0))
    return bt_fail(error, BT_USAGE, "a budget of false signals a year is above 0; usual is 1");
  if (!(checks_a_month >= 1 && checks_a_month <= 1e6))
    return bt_fail(error, BT_USAGE, "a rate of checking is from 1 to 1000000 checks a month");
  if (!(isfinite(shift) && fabs(shift) >= 0.1 && fabs(shift) <= 10))
    return bt_fail(error, BT_USAGE, "a shift to find is from 0.1 to 10 sigma, either way");
  search of = {.checks_a_year = MONTHS * checks_a_month, .shift = shift, .charts = charts};
  of.arl = fmax(of.checks_a_year / budget_a_year, LEAST_ARL);
  bt_status status = consider_all(&of, error);
  if (status != BT_OK)
    return status;
  qsort(of.found, of.n, sizeof *of.found, compare); /* S4 */
  *n = of.n;
  for (size_t i = 0; i < *n; i++)
    suggestions[i] = of.found[i];
  return BT_OK;
}
