/* The chart core on one characteristic of a million points: each pass's points a second (median of
 * REPEATS), beside a plain sum over the same array, which is what reading the memory costs.
 *
 *   bench_passes      prints: pass, million points a second */
#include "beamtally/spc.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_randist.h>
#include <gsl/gsl_rng.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

enum { POINTS = 1000000, REPEATS = 15 };

typedef struct state {
  double *value, *z, *range, *high_sum, *low_sum, *ewma, *lcl, *ucl;
  uint8_t *use, *has_range, *strength;
  bt_rules *high, *low;
  uint32_t *run_high, *run_low;
  bt_individuals chart;
  double sum;
} state;

static void pass_sum(state *s) {
  double sum = 0;
  for (size_t i = 0; i < POINTS; i++)
    sum += s->value[i];
  s->sum = sum;
}

static void need(bt_status status, const bt_error *error) {
  if (status == BT_OK)
    return;
  fprintf(stderr, "bench_passes: %s\n", error->text);
  exit(1);
}

static void pass_limits(state *s) {
  bt_error error;
  need(bt_individuals_fit(s->value, s->use, POINTS, &s->chart, &error), &error);
}

static void pass_ranges(state *s) {
  bt_moving_ranges(s->value, s->use, POINTS, s->range, s->has_range);
}

static void pass_z(state *s) {
  bt_standardise(s->value, POINTS, &s->chart, s->z);
}

static void pass_rules(state *s) {
  bt_zone_rules(s->z, s->use, POINTS, s->high, s->low);
}

static void pass_cusum(state *s) {
  bt_error error;
  bt_cusum cusum = {.k = 0.5,
                    .h = 5,
                    .high = s->high_sum,
                    .low = s->low_sum,
                    .run_high = s->run_high,
                    .run_low = s->run_low};
  need(bt_cusum_run(s->z, s->use, 0, POINTS, s->chart.sigma, &cusum, &error), &error);
  free(cusum.excursions);
}

static void pass_ewma(state *s) {
  bt_ewma ewma = {.lambda = 0.2, .limit = 2.962, .value = s->ewma, .lcl = s->lcl, .ucl = s->ucl};
  bt_ewma_run(s->value, s->use, 0, POINTS, &s->chart, NULL, 0, &ewma);
}

static double now(void) {
  struct timespec at;
  (void)clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &at);
  return (double)at.tv_sec + 1e-9 * (double)at.tv_nsec;
}

static int by_size(const void *a, const void *b) {
  double x = *(const double *)a, y = *(const double *)b;
  return (x > y) - (x < y);
}

static void *room(size_t size) {
  void *made = calloc(POINTS, size);
  if (made == NULL)
    exit(1);
  return made;
}

int main(void) {
  static const struct {
    const char *name;
    void (*run)(state *s);
  } passes[] = {{"plain sum", pass_sum}, {"limits", pass_limits},    {"moving ranges", pass_ranges},
                {"z", pass_z},           {"four rules", pass_rules}, {"CUSUM", pass_cusum},
                {"EWMA", pass_ewma}};
  enum { PASSES = sizeof passes / sizeof passes[0] };
  double seconds[PASSES][REPEATS];
  state s = {.value = room(sizeof(double)),
             .z = room(sizeof(double)),
             .range = room(sizeof(double)),
             .high_sum = room(sizeof(double)),
             .low_sum = room(sizeof(double)),
             .ewma = room(sizeof(double)),
             .lcl = room(sizeof(double)),
             .ucl = room(sizeof(double)),
             .use = room(1),
             .high = room(1),
             .low = room(1),
             .has_range = room(1),
             .strength = room(1),
             .run_high = room(sizeof(uint32_t)),
             .run_low = room(sizeof(uint32_t))};
  (void)gsl_set_error_handler_off();
  gsl_rng *random = gsl_rng_alloc(gsl_rng_taus2);
  if (random == NULL)
    return 1;
  for (size_t i = 0; i < POINTS; i++) {
    s.value[i] = gsl_ran_gaussian_ziggurat(random, 1.0);
    s.use[i] = 1;
  }
  gsl_rng_free(random);
  for (int r = -1; r < REPEATS; r++) /* the first round only warms up */
    for (size_t p = 0; p < PASSES; p++) {
      double from = now();
      passes[p].run(&s);
      if (r >= 0)
        seconds[p][r] = now() - from;
    }
  for (size_t p = 0; p < PASSES; p++) {
    qsort(seconds[p], REPEATS, sizeof seconds[p][0], by_size);
    printf("%s\t%.0f\n", passes[p].name, 1e-6 * POINTS / seconds[p][REPEATS / 2]);
  }
  return s.sum > 1e9; /* the sum is used */
}
