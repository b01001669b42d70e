/* Run length: the number N of points up to and with a chart's first signal, centre and sigma known,
 * values independent and normal, the mean shifted by `shift` sigma from the first point on.
 *
 * A law (spc_run_length.h) gives f_n = P(N = n). With S_n = P(N > n),
 *   ARL = E N = sum of S_n,  E N^2 = sum of (2n + 1) S_n,  n from 0;  SDRL^2 = E N^2 - ARL^2
 *   percentile p = the smallest n with 1 - S_n >= p
 * The hazard q_n = f_n / S_(n-1) of every such chart tends to a constant q: what has not signalled
 * for long forgets how it began. The law is walked until q stands still to 1e-12 of itself over 16
 * points, or S is below 1e-15; from there on S falls as (1 - q)^j, which has closed sums:
 *   sum over j of S (1 - q)^j = S/q
 *   sum over j of (2(n + j) + 1) S (1 - q)^j = S [(2n + 1)/q + 2(1 - q)/q^2]
 *
 * Source: the definitions. Accuracy: that of the law, and 1e-9 for the tail. Checked against
 * published and computed run lengths, distributions and simulation (tests/published/spc). */
#include "spc_run_length.h"

#include <math.h>

#define NOTHING_LEFT 1e-15
#define STANDS_STILL 1e-12

enum { QUIET_POINTS = 16, MONTHS = 12 };

/* A law on its way. */
typedef struct walk {
  uint64_t n;      /* points so far */
  double survival; /* S_n */
  double hazard;   /* q_n */
  unsigned quiet;  /* points over which the hazard stood still */
} walk;

/* The law of a chart whose lines stand `width` times as far as it says. */
static bt_status make_law(const bt_run_chart *chart, double shift, double width, spc_law *law,
                          bt_error *error) {
  bt_status status = spc_run_chart_check(chart, shift, error);
  if (status != BT_OK)
    return status;
  bt_run_chart scaled = *chart;
  scaled.k *= width;
  scaled.h *= width;
  scaled.limit *= width;
  switch (chart->method) {
  case BT_RUN_OF_RULES:
    return spc_law_of_rules(&scaled, shift, width, law, error);
  case BT_RUN_OF_CUSUM:
    return spc_law_of_cusum(&scaled, shift, law, error);
  default:
    return spc_law_of_ewma(&scaled, shift, law, error);
  }
}

static void drop_law(spc_law *law) {
  if (law->drop != NULL)
    law->drop(law->state);
}

/* True while there is more to walk. */
static bool goes_on(const walk *so_far) {
  return so_far->survival > NOTHING_LEFT && so_far->quiet < QUIET_POINTS &&
         so_far->n < SPC_LAW_POINTS;
}

static void take_step(const spc_law *law, walk *so_far) {
  double signal = law->next(law->state), hazard = signal / so_far->survival;
  bool still = hazard > 0 && fabs(hazard - so_far->hazard) <= STANDS_STILL * hazard;
  so_far->quiet = still ? so_far->quiet + 1 : 0;
  so_far->hazard = hazard;
  so_far->survival -= signal;
  so_far->n++;
}

/* After the walk: signals that hardly ever come, where no tail is worth computing. */
static bool is_rare(const walk *end) {
  return end->survival > NOTHING_LEFT && end->hazard < 1 / SPC_LONGEST_ARL;
}

static bt_status fail_rare(bt_error *error) {
  return bt_fail(error, BT_USAGE,
                 "this chart signals less than once in a million million points; take a smaller k, "
                 "h or limit"); /* SPC_LONGEST_ARL */
}

/* The tail must be a known one. */
static bt_status check_tail(const walk *end, bt_error *error) {
  if (end->survival > NOTHING_LEFT && end->quiet < QUIET_POINTS)
    return bt_fail(error, BT_USAGE,
                   "the run length of this chart was not settled after %d points; take a larger k "
                   "or lambda, or a smaller h or limit",
                   SPC_LAW_POINTS);
  return BT_OK;
}

/* Puts n where the first signal has come with that probability, once. */
static void note(uint64_t *percentile, double probability, const walk *so_far) {
  if (*percentile == 0 && so_far->survival <= 1 - probability)
    *percentile = so_far->n;
}

/* The same beyond the walk's end. */
static void note_tail(uint64_t *percentile, double probability, const walk *end) {
  if (*percentile == 0)
    *percentile =
        end->n + (uint64_t)ceil(log((1 - probability) / end->survival) / log1p(-end->hazard));
}

static void note_all(void (*noted)(uint64_t *, double, const walk *), const walk *at,
                     bt_run_length *found) {
  noted(&found->p5, 0.05, at);
  noted(&found->p25, 0.25, at);
  noted(&found->p50, 0.50, at);
  noted(&found->p75, 0.75, at);
  noted(&found->p95, 0.95, at);
}

/* The run length; or *rare, and no more than that. */
static bt_status measure(const bt_run_chart *chart, double shift, double width,
                         bt_run_length *found, bool *rare, bt_error *error) {
  *rare = false;
  *found = (bt_run_length){.shift = shift};
  spc_law law = {0};
  walk so_far = {.survival = 1};
  double mean = 0, square = 0;
  bt_status status = make_law(chart, shift, width, &law, error);
  if (status != BT_OK)
    goto done;
  while (goes_on(&so_far)) {
    mean += so_far.survival;
    square += (2 * (double)so_far.n + 1) * so_far.survival;
    take_step(&law, &so_far);
    note_all(note, &so_far, found);
  }
  *rare = is_rare(&so_far);
  if (*rare)
    goto done;
  status = check_tail(&so_far, error);
  if (status != BT_OK)
    goto done;
  if (so_far.survival > NOTHING_LEFT) {
    double s = so_far.survival, q = so_far.hazard;
    mean += s / q;
    square += s * ((2 * (double)so_far.n + 1) / q + 2 * (1 - q) / (q * q));
    note_all(note_tail, &so_far, found);
  }
  found->arl = mean;
  found->sdrl = sqrt(fmax(square - mean * mean, 0));
done:
  drop_law(&law);
  return status;
}

bt_status bt_run_length_find(const bt_run_chart *chart, double shift, bt_run_length *found,
                             bt_error *error) {
  bool rare = false;
  bt_status status = measure(chart, shift, 1, found, &rare, error);
  return rare ? fail_rare(error) : status;
}

bt_status spc_run_length_mean(const bt_run_chart *chart, double shift, double width, double *arl,
                              bt_error *error) {
  bt_run_length found;
  bool rare = false;
  bt_status status = measure(chart, shift, width, &found, &rare, error);
  *arl = rare ? SPC_LONGEST_ARL : found.arl;
  return status;
}

bt_status spc_run_length_within(const bt_run_chart *chart, double shift, uint64_t points,
                                double *probability, bt_error *error) {
  *probability = 0;
  spc_law law = {0};
  walk so_far = {.survival = 1};
  bt_status status = make_law(chart, shift, 1, &law, error);
  if (status != BT_OK)
    goto done;
  while (goes_on(&so_far) && so_far.n < points)
    take_step(&law, &so_far);
  if (so_far.n < points) {
    status = is_rare(&so_far) ? fail_rare(error) : check_tail(&so_far, error);
    so_far.survival *= exp((double)(points - so_far.n) * log1p(-so_far.hazard));
  }
  *probability = 1 - so_far.survival;
done:
  drop_law(&law);
  return status;
}

bt_status bt_false_signals_find(const bt_run_chart *chart, double arl, double checks_a_month,
                                bt_false_signals *rate, bt_error *error) {
  if (!(checks_a_month >= 1 && checks_a_month <= 1e6))
    return bt_fail(error, BT_USAGE, "a rate of checking is from 1 to 1000000 checks a month");
  *rate =
      (bt_false_signals){.checks_a_month = checks_a_month, .a_year = MONTHS * checks_a_month / arl};
  bt_status status = spc_run_length_within(chart, 0, (uint64_t)llround(checks_a_month),
                                           &rate->within_month, error);
  if (status == BT_OK)
    status = spc_run_length_within(chart, 0, (uint64_t)llround(MONTHS * checks_a_month),
                                   &rate->within_year, error);
  return status;
}
