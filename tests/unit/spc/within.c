/* Within-day spread: edges, a plain loop, and the mean of s by simulation. */
#include "beamtally/spc.h"
#include "shapes.h"
#include "spc_constants.h"

#include <criterion/criterion.h>
#include <math.h>

Test(within, W1_days_of_a_single_check_or_left_out_do_not_count) {
  static const double s[] = {0.02, 0, 0.03, 5, 0.01};
  static const uint32_t checks[] = {2, 1, 3, 2, 0};
  static const uint8_t use[] = {1, 1, 1, 0, 1};
  bt_within within = bt_within_fit(s, checks, use, 5);
  cr_expect_eq(within.days, 2);
  cr_expect_float_eq(within.sigma, (0.02 / spc_c4(2) + 0.03 / spc_c4(3)) / 2, 1e-16);
  within = bt_within_fit(s, checks, use, 0);
  cr_expect(within.days == 0 && within.sigma == 0);
}

Test(within, W2_more_than_25_checks_count_as_25) {
  static const double s[] = {1};
  static const uint32_t many[] = {4000000000U}, most[] = {25};
  static const uint8_t use[] = {1};
  bt_within of_many = bt_within_fit(s, many, use, 1), of_most = bt_within_fit(s, most, use, 1);
  cr_expect_eq(of_many.sigma, of_most.sigma);
  double centre, lcl, ucl, centre_25, lcl_25, ucl_25;
  bt_within_limits(&of_many, 26, &centre, &lcl, &ucl);
  bt_within_limits(&of_many, 25, &centre_25, &lcl_25, &ucl_25);
  cr_expect(centre == centre_25 && lcl == lcl_25 && ucl == ucl_25);
}

Test(within, W3_no_chart_has_no_limits) {
  bt_within none = {0}, some = {.days = 3, .sigma = 1};
  double centre = 1, lcl = 1, ucl = 1;
  bt_within_limits(&none, 5, &centre, &lcl, &ucl);
  cr_expect(centre == 0 && lcl == 0 && ucl == 0);
  centre = lcl = ucl = 1;
  bt_within_limits(&some, 1, &centre, &lcl, &ucl);
  cr_expect(centre == 0 && lcl == 0 && ucl == 0);
}

Test(within, plain_loop_agrees_over_all_shapes) {
  static shape at;
  for (size_t index = 0; shape_make(index, &at); index++) {
    double s[SHAPE_MOST], sum = 0;
    uint32_t checks[SHAPE_MOST];
    size_t days = 0;
    for (size_t i = 0; i < at.n; i++) {
      s[i] = fabs(at.value[i]);
      checks[i] = (uint32_t)(i * 5 % 31);
    }
    for (size_t i = at.n; i-- > 0;)
      if (at.use[i] != 0 && checks[i] > 1) {
        uint32_t n = checks[i] > 25 ? 25 : checks[i];
        sum += s[i] / (sqrt(2.0 / (n - 1)) * exp(lgamma(n / 2.0) - lgamma((n - 1) / 2.0)));
        days++;
      }
    bt_within within = bt_within_fit(s, checks, at.use, at.n);
    cr_expect_eq(within.days, days);
    cr_expect_float_eq(within.sigma, days > 0 ? sum / (double)days : 0, 1e-12, "%s %zu", at.name,
                       index);
  }
}

/* 20,000 days of 2 to 6 checks with sigma 3: it is found without bias, and s lies within its limits
 * but for under 2 %. */
Test(within, simulation_finds_sigma) {
  enum { DAYS = 20000 };
  static double s[DAYS];
  static uint32_t checks[DAYS];
  static uint8_t use[DAYS];
  uint64_t seed = 3;
  for (size_t day = 0; day < DAYS; day++) {
    double value[6], mean = 0, squares = 0;
    checks[day] = 2 + (uint32_t)(day % 5);
    use[day] = 1;
    for (uint32_t i = 0; i < checks[day]; i++)
      mean += (value[i] = 10 + 3 * shape_normal(&seed)) / checks[day];
    for (uint32_t i = 0; i < checks[day]; i++)
      squares += (value[i] - mean) * (value[i] - mean);
    s[day] = sqrt(squares / (checks[day] - 1));
  }
  bt_within within = bt_within_fit(s, checks, use, DAYS);
  /* Relative standard deviation of s/c4 is 0.76 at most: 4 standard errors are 0.065. */
  cr_expect_float_eq(within.sigma, 3, 0.065, "%.4f", within.sigma);
  size_t beyond = 0;
  for (size_t day = 0; day < DAYS; day++) {
    double centre, lcl, ucl;
    bt_within_limits(&within, checks[day], &centre, &lcl, &ucl);
    cr_expect(lcl >= 0 && lcl < centre && centre < ucl);
    beyond += s[day] > ucl || s[day] < lcl;
  }
  cr_expect(beyond > DAYS / 1000 && beyond < DAYS / 50, "%zu", beyond);
}
