/* Run length of rules and CUSUM together, over one chart or several: simulated, through the charts'
 * own code.
 *
 * Rules and CUSUM of one series signal at the same points more often than chance has it, so their
 * joint run length doesn't follow from their own ones. It is found by seeded runs of unit normal
 * noise. Requirements
 *   J1  The same chart, seed and number of runs give the same numbers.
 *   J2  A run ends at the first point at which any of the charts has a signal of any kind. Charts
 *       are independent; the first one's mean is shifted from the first point on.
 *   J3  `limit` takes the place of WE1's 3 sigma where WE1 is among the rules.
 *   J4  A headstart is that of a restart before the first point.
 *   J5  Percentile p is the smallest number of points within which at least that share of the runs
 *       has ended.
 *
 * A run is taken through bt_zone_rules and bt_cusum_run over a stretch of points; without a signal
 * the stretch is doubled and taken again from its start, since a signal depends on what came
 * before. Accuracy: the standard error given with the mean. Checked against exact run lengths and
 * simulated ones of others (tests/published/spc/joint.c). */
#include "spc_lines.h"
#include "spc_run_length.h"

#include <gsl/gsl_randist.h>
#include <gsl/gsl_rng.h>
#include <gsl/gsl_sort.h>
#include <math.h>
#include <stdlib.h>

enum { MOST_CHARTS = 100, MOST_RUNS = 10000000, FIRST_STRETCH = 32, LONGEST = 1 << 20 };

/* What all runs share; arrays have room for `room` points. */
typedef struct joint_run {
  const bt_joint_chart *chart;
  size_t charts, room;
  double shift;
  gsl_rng *random;
  double **z; /* a series a chart */
  uint8_t *judged;
  bt_rules *high, *low;
  bt_restart at_start;
  bt_cusum cusum;
} joint_run;

static bt_status check(const bt_joint_chart *chart, size_t charts, double shift, size_t runs,
                       bt_error *error) {
  if ((chart->rules & ~BT_ZONE_RULES) != 0 || (chart->rules == 0 && !chart->has_cusum))
    return bt_fail(error, BT_USAGE, "a joint run length is that of zone rules, a CUSUM, or both");
  if (!(isfinite(chart->limit) && chart->limit >= 0))
    return bt_fail(error, BT_USAGE, "a limit is above 0, in sigma; usual is 3");
  if (charts < 1 || charts > MOST_CHARTS)
    return bt_fail(error, BT_USAGE, "a joint run length is that of 1 to %d charts", MOST_CHARTS);
  if (runs < 2 || runs > MOST_RUNS)
    return bt_fail(error, BT_USAGE, "a simulation has 2 to %d runs", MOST_RUNS);
  bt_run_chart cusum = {.method = BT_RUN_OF_CUSUM,
                        .k = chart->has_cusum ? chart->k : 0.5,
                        .h = chart->has_cusum ? chart->h : 5,
                        .headstart = chart->has_cusum ? chart->headstart : 0,
                        .one_sided = true};
  return spc_run_chart_check(&cusum, shift, error);
}

static void drop(joint_run *run) {
  for (size_t c = 0; c < run->charts && run->z != NULL; c++)
    free(run->z[c]);
  free(run->z);
  free(run->judged);
  free(run->high);
  free(run->low);
  run->cusum.restarts = NULL; /* at_start is ours */
  bt_cusum_free(&run->cusum);
  if (run->random != NULL)
    gsl_rng_free(run->random);
}

/* Room for more points. False without memory. */
static bool widen(joint_run *run, size_t points) {
  size_t room[8] = {run->room, run->room, run->room, run->room,
                    run->room, run->room, run->room, run->room};
  bt_cusum *cusum = &run->cusum;
  bool made = bt_grow(&run->judged, &room[0], points, sizeof *run->judged) &&
              bt_grow(&run->high, &room[1], points, sizeof *run->high) &&
              bt_grow(&run->low, &room[2], points, sizeof *run->low) &&
              bt_grow(&cusum->high, &room[3], points, sizeof *cusum->high) &&
              bt_grow(&cusum->low, &room[4], points, sizeof *cusum->low) &&
              bt_grow(&cusum->run_high, &room[5], points, sizeof *cusum->run_high) &&
              bt_grow(&cusum->run_low, &room[6], points, sizeof *cusum->run_low);
  for (size_t c = 0; c < run->charts && made; c++) {
    room[7] = run->room;
    made = bt_grow(&run->z[c], &room[7], points, sizeof *run->z[c]);
  }
  for (size_t i = run->room; i < points && made; i++)
    run->judged[i] = 1;
  run->room = made ? points : run->room;
  return made;
}

/* The first of n points that has a signal of the rules, or n. */
static size_t first_of_rules(joint_run *run, const double *z, size_t n) {
  bt_rules rules = run->chart->rules;
  double line = run->chart->limit > 0 ? run->chart->limit : 3;
  bool has_limit = (rules & BT_WE1) != 0; /* J3 */
  size_t first = n;
  for (size_t i = 0; i < n && has_limit && first == n; i++)
    if (fabs(z[i]) > line + SPC_ON_LINE)
      first = i;
  rules &= (bt_rules)~BT_WE1;
  if (rules == 0)
    return first;
  bt_zone_rules(z, run->judged, first, run->high, run->low);
  for (size_t i = 0; i < first; i++)
    if (((run->high[i] | run->low[i]) & rules) != 0)
      return i;
  return first;
}

/* The first of n points at which this series has any signal; or n. */
static bt_status first_of_series(joint_run *run, const double *z, size_t n, size_t *first,
                                 bt_error *error) {
  *first = first_of_rules(run, z, n);
  if (!run->chart->has_cusum)
    return BT_OK;
  run->cusum.excursions_n = 0;
  bt_status status = bt_cusum_run(z, run->judged, 0, *first, 1, &run->cusum, error);
  if (status == BT_OK && run->cusum.excursions_n > 0)
    *first = run->cusum.excursions[0].signal;
  return status;
}

/* One run: points up to and with the first signal of any series. */
static bt_status run_once(joint_run *run, size_t stretch, double *length, bt_error *error) {
  size_t from = 0;
  for (; stretch <= LONGEST; from = stretch, stretch *= 2) {
    if (stretch > run->room && !widen(run, stretch))
      return bt_fail_memory(error);
    size_t end = stretch;
    for (size_t c = 0; c < run->charts; c++) {
      double shift = c == 0 ? run->shift : 0; /* J2 */
      for (size_t i = from; i < stretch; i++)
        run->z[c][i] = shift + gsl_ran_gaussian_ziggurat(run->random, 1);
      size_t first = 0;
      bt_status status = first_of_series(run, run->z[c], end, &first, error);
      if (status != BT_OK)
        return status;
      end = first < end ? first : end;
    }
    if (end < stretch) {
      *length = (double)(end + 1);
      return BT_OK;
    }
  }
  return bt_fail(error, BT_USAGE,
                 "no signal came within %d points; take a smaller h or limit, or more rules",
                 LONGEST);
}

static bt_status prepare(joint_run *run, uint64_t seed, bt_error *error) {
  run->random = gsl_rng_alloc(gsl_rng_mt19937);
  run->z = bt_new(run->charts, sizeof *run->z);
  if (run->random == NULL || run->z == NULL)
    return bt_fail_memory(error);
  gsl_rng_set(run->random,
              (unsigned long)(seed & 0xffffffffU) ^ (unsigned long)(seed >> 32)); /* J1 */
  run->cusum.k = run->chart->k;
  run->cusum.h = run->chart->h;
  run->cusum.headstart = run->chart->headstart;
  run->cusum.restarts = &run->at_start;
  run->cusum.restarts_n = run->chart->headstart > 0; /* J4 */
  return BT_OK;
}

/* J5: of sorted lengths. */
static uint64_t percentile(const double *length, size_t n, double probability) {
  size_t rank = (size_t)ceil(probability * (double)n);
  return (uint64_t)length[rank > 0 ? rank - 1 : 0];
}

static void summarise(double *length, size_t runs, bt_joint_run *found) {
  double sum = 0, squares = 0;
  for (size_t r = 0; r < runs; r++)
    sum += length[r];
  found->arl = sum / (double)runs;
  for (size_t r = 0; r < runs; r++)
    squares += (length[r] - found->arl) * (length[r] - found->arl);
  found->arl_se = sqrt(squares / (double)(runs - 1) / (double)runs);
  found->arl_margin = 1.96 * found->arl_se;
  gsl_sort(length, 1, runs);
  found->p5 = percentile(length, runs, 0.05);
  found->p25 = percentile(length, runs, 0.25);
  found->p50 = percentile(length, runs, 0.50);
  found->p75 = percentile(length, runs, 0.75);
  found->p95 = percentile(length, runs, 0.95);
}

bt_status bt_joint_run_find(const bt_joint_chart *chart, size_t charts, double shift, size_t runs,
                            uint64_t seed, bt_joint_run *found, bt_error *error) {
  *found = (bt_joint_run){.charts = charts, .runs = runs, .shift = shift};
  bt_status status = check(chart, charts, shift, runs, error);
  if (status != BT_OK)
    return status;
  joint_run run = {.chart = chart, .charts = charts, .shift = shift};
  double sum = 0, *length = bt_new(runs, sizeof *length);
  status = length == NULL ? bt_fail_memory(error) : prepare(&run, seed, error);
  for (size_t r = 0; r < runs && status == BT_OK; r++) {
    /* About as long as the runs before. */
    double usual = r == 0 ? FIRST_STRETCH : sum / (double)r;
    size_t stretch = FIRST_STRETCH;
    while ((double)stretch < usual && stretch < LONGEST)
      stretch *= 2;
    status = run_once(&run, stretch, &length[r], error);
    sum += length[r];
  }
  if (status == BT_OK)
    summarise(length, runs, found);
  drop(&run);
  free(length);
  return status;
}
