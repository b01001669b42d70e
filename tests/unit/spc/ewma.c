/* The EWMA: edges by hand, a plain loop, and properties. */
#include "beamtally/spc.h"
#include "shapes.h"

#include <criterion/criterion.h>
#include <math.h>
#include <string.h>

/* An EWMA whose arrays have room for n points. */
static bt_ewma make(size_t n, double lambda, double limit) {
  return (bt_ewma){.lambda = lambda,
                   .limit = limit,
                   .value = bt_new(n, sizeof(double)),
                   .lcl = bt_new(n, sizeof(double)),
                   .ucl = bt_new(n, sizeof(double))};
}

static const uint8_t all[] = {1, 1, 1, 1, 1, 1};

/* lambda 1/2: E_i = (x_i + E_(i-1)) / 2; limits 3 sigma sqrt(1/3 (1 - 1/4^i)). */
Test(ewma, by_hand) {
  static const double value[] = {14, 10, 8};
  static const double average[] = {12, 11, 9.5};
  bt_individuals chart = bt_individuals_stated(10, 2);
  bt_ewma ewma = make(3, 0.5, 3);
  bt_ewma_run(value, all, 0, 3, &chart, NULL, 0, &ewma);
  cr_expect_arr_eq(ewma.value, average, sizeof average);
  cr_expect_float_eq(ewma.ucl[0], 10 + 3, 1e-12, "the first average has half the sigma of a value");
  cr_expect_float_eq(ewma.lcl[0], 10 - 3, 1e-12);
  cr_expect_float_eq(ewma.ucl[1], 10 + 6 * sqrt(5.0 / 16), 1e-12);
  cr_expect_float_eq(ewma.ucl[2], 10 + 6 * sqrt(21.0 / 64), 1e-12);
  bt_ewma_free(&ewma);
}

Test(ewma, E1_i_counts_judged_points) {
  static const double value[] = {14, 99, 99, 10, 99, 8};
  static const uint8_t judged[] = {1, 0, 0, 1, 0, 1};
  static const double average[] = {12, 0, 0, 11, 0, 9.5};
  bt_individuals chart = bt_individuals_stated(10, 2);
  bt_ewma ewma = make(6, 0.5, 3);
  for (int i = 0; i < 6; i++)
    ewma.value[i] = ewma.lcl[i] = ewma.ucl[i] = -7;
  bt_ewma_run(value, judged, 0, 6, &chart, NULL, 0, &ewma);
  cr_expect_arr_eq(ewma.value, average, sizeof average);
  cr_expect_float_eq(ewma.ucl[3], 10 + 6 * sqrt(5.0 / 16), 1e-12, "i is 2");
  cr_expect_float_eq(ewma.lcl[5], 10 - 6 * sqrt(21.0 / 64), 1e-12, "i is 3");
  for (int i = 0; i < 6; i++)
    cr_expect(judged[i] || (ewma.lcl[i] == 0 && ewma.ucl[i] == 0));
  bt_ewma_free(&ewma);
}

/* Restarts in any order, one at a point that isn't judged, one at `from`, one outside [1, 6). */
Test(ewma, E2_E3_starts_and_restarts_at_the_centre) {
  static const double value[] = {14, 14, 14, 99, 14, 14};
  static const uint8_t judged[] = {1, 1, 1, 0, 1, 1};
  static const double average[] = {-7, 12, 13, 0, 12, 12};
  static const bt_restart restarts[] = {{.point = 5}, {.point = 3}, {.point = 0}, {.point = 1}};
  bt_individuals chart = bt_individuals_stated(10, 2);
  bt_ewma ewma = make(6, 0.5, 3);
  ewma.value[0] = -7;
  bt_ewma_run(value, judged, 1, 6, &chart, restarts, 4, &ewma);
  cr_expect_arr_eq(ewma.value, average, sizeof average, "nothing is written before `from`");
  cr_expect_float_eq(ewma.ucl[2], 10 + 6 * sqrt(5.0 / 16), 1e-12);
  cr_expect_float_eq(ewma.ucl[4], 13, 1e-12, "i is 1 again");
  cr_expect_float_eq(ewma.ucl[5], 13, 1e-12);
  bt_ewma_free(&ewma);
}

Test(ewma, E4_values_on_the_centre_stay_on_it) {
  static const double value[] = {0.1, 0.1, 0.1, 0.1, 0.1, 0.1};
  bt_individuals chart = bt_individuals_stated(0.1, 1);
  bt_ewma ewma = make(6, 0.2, 2.962);
  bt_ewma_run(value, all, 0, 6, &chart, NULL, 0, &ewma);
  cr_expect_arr_eq(ewma.value, value, sizeof value);
  bt_ewma_free(&ewma);
}

/* The average written out: lambda times the sum of (1 - lambda)^age times each value, and what is
 * left of the centre; its limits from the power, not from a running product. */
static void expect_written_out(const shape *at, size_t from, const bt_restart *restarts,
                               size_t restarts_n, const bt_individuals *chart,
                               const bt_ewma *ewma) {
  size_t begins = from;
  for (size_t i = from; i < at->n; i++) {
    for (size_t r = 0; r < restarts_n; r++)
      if (restarts[r].point == i)
        begins = i;
    if (at->use[i] == 0) {
      cr_expect(ewma->value[i] == 0 && ewma->lcl[i] == 0 && ewma->ucl[i] == 0);
      continue;
    }
    double sum = 0, lambda = ewma->lambda;
    int count = 0;
    for (size_t j = i + 1; j-- > begins;)
      if (at->use[j] != 0)
        sum += lambda * pow(1 - lambda, count++) * at->value[j];
    sum += pow(1 - lambda, count) * chart->centre;
    double sigma =
        chart->sigma * sqrt(lambda / (2 - lambda) * (1 - pow(1 - lambda, 2 * (double)count)));
    cr_expect_float_eq(ewma->value[i], sum, 1e-12, "%s: point %zu", at->name, i);
    cr_expect_float_eq(ewma->ucl[i], chart->centre + ewma->limit * sigma, 1e-12, "%s: point %zu",
                       at->name, i);
    cr_expect_float_eq(ewma->lcl[i], chart->centre - ewma->limit * sigma, 1e-12, "%s: point %zu",
                       at->name, i);
  }
}

Test(ewma, plain_loop_agrees_over_all_shapes) {
  static const double lambdas[] = {0.2, 0.05, 1};
  static shape at;
  size_t points = 0;
  for (size_t s = 0; shape_make(s, &at); s++) {
    bt_restart restarts[] = {{.point = at.n / 2}, {.point = at.n / 3}};
    size_t restarts_n = s % 2 * 2, from = s % 3 == 0 ? 0 : at.n / 5;
    bt_individuals chart = bt_individuals_stated(0.3, 1.25);
    bt_ewma ewma = make(at.n, lambdas[s % 5 % 3], 2.962);
    bt_ewma_run(at.value, at.use, from, at.n, &chart, restarts, restarts_n, &ewma);
    expect_written_out(&at, from, restarts, restarts_n, &chart, &ewma);
    points += at.n - from;
    bt_ewma_free(&ewma);
  }
  cr_expect_gt(points, 9000);
}

/* Limits that have settled stay put, and an EWMA with lambda 1 is the chart itself. */
Test(ewma, limits_widen_to_the_constant_ones) {
  enum { MANY = 3000 };
  static double value[MANY];
  static uint8_t judged[MANY];
  memset(judged, 1, sizeof judged);
  bt_individuals chart = bt_individuals_stated(5, 2);
  bt_ewma ewma = make(MANY, 0.2, 2.962);
  bt_ewma_run(value, judged, 0, MANY, &chart, NULL, 0, &ewma);
  for (size_t i = 1; i < MANY; i++)
    cr_assert(ewma.ucl[i] >= ewma.ucl[i - 1] && ewma.lcl[i] <= ewma.lcl[i - 1], "point %zu", i);
  cr_expect_float_eq(ewma.ucl[MANY - 1], 5 + 2.962 * 2 / 3, 1e-12, "sqrt(0.2 / 1.8) is 1/3");
  ewma.lambda = 1;
  ewma.limit = 3;
  bt_ewma_run(value, judged, 0, MANY, &chart, NULL, 0, &ewma);
  cr_expect(ewma.value[9] == value[9] && ewma.lcl[0] == chart.lcl && ewma.ucl[0] == chart.ucl);
  bt_ewma_free(&ewma);
}

/* A segment is run as if it stood alone. */
Test(ewma, E2_a_series_cut_in_two) {
  static shape at;
  for (size_t s = 0; shape_make(s, &at); s++) {
    size_t cut = at.n / 2, left = (at.n - cut) * sizeof(double);
    bt_individuals chart = bt_individuals_stated(-0.5, 1);
    bt_ewma whole = make(at.n, 0.2, 2.962), part = make(at.n, 0.2, 2.962);
    bt_ewma_run(at.value, at.use, 0, cut, &chart, NULL, 0, &whole);
    bt_ewma_run(at.value, at.use, cut, at.n, &chart, NULL, 0, &whole);
    bt_ewma_run(at.value + cut, at.use + cut, 0, at.n - cut, &chart, NULL, 0, &part);
    cr_expect_arr_eq(whole.value + cut, part.value, left);
    cr_expect_arr_eq(whole.lcl + cut, part.lcl, left);
    cr_expect_arr_eq(whole.ucl + cut, part.ucl, left);
    bt_ewma_free(&whole);
    bt_ewma_free(&part);
  }
}
