/* Variation between days against base R, whose script stands beside this file
 * (between_reference.R). */
#include "beamtally/spc.h"

#include <criterion/criterion.h>
#include <gsl/gsl_errno.h>
#include <math.h>
#include <string.h>

static double find(const double *value, const int32_t *group, const uint8_t *use, size_t n) {
  gsl_set_error_handler_off();
  double p = -1;
  bt_error error = {0};
  cr_assert_eq(bt_between_days(value, group, use, n, &p, &error), BT_OK, "%s", error.text);
  return p;
}

/* R 4: anova(lm(value ~ factor(day))), days of three, two and one value. */
Test(between, unequal_days) {
  static const double value[] = {1.612, 1.609, 1.615, 1.604, 1.607, 1.611, 1.611,
                                 1.613, 1.610, 1.618, 1.602, 1.605, 1.603, 1.609};
  static const int32_t day[] = {0, 0, 0, 1, 1, 2, 3, 3, 3, 3, 7, 7, 7, 9};
  uint8_t use[14];
  memset(use, 1, sizeof use);
  cr_expect_float_eq(find(value, day, use, 14), 0.0193621132567, 1e-11);
  cr_expect_float_eq(find(value, day, use, 5), 0.0803758229323, 1e-11);
  memset(use + 11, 0, 3);
  cr_expect_float_eq(find(value, day, use, 14), 0.071550028497, 1e-11);
}

/* Levene (in Olkin, Contributions to Probability and Statistics, 1960): the same analysis of the
 * distances from each group's centre. About the means p = .4413931, about the medians (Brown and
 * Forsythe, Journal of the American Statistical Association 69, 1974) .6243743; scipy. */
Test(between, levene_of_sleep) {
  static const double extra[] = {0.7, -1.6, -0.2, -1.2, -0.1, 3.4, 3.7, 0.8, 0.0, 2.0,
                                 1.9, 0.8,  1.1,  0.1,  -0.1, 4.4, 5.5, 1.6, 4.6, 3.4};
  static const double mean[] = {0.75, 2.33}, median[] = {0.35, 1.75};
  double from_mean[20], from_median[20];
  int32_t group[20];
  uint8_t use[20];
  memset(use, 1, sizeof use);
  for (size_t i = 0; i < 20; i++) {
    group[i] = i < 10 ? 1 : 2;
    from_mean[i] = fabs(extra[i] - mean[i / 10]);
    from_median[i] = fabs(extra[i] - median[i / 10]);
  }
  cr_expect_float_eq(find(from_mean, group, use, 20), .4413931, 5e-8);
  cr_expect_float_eq(find(from_median, group, use, 20), .6243743, 5e-8);
}

/* Hours of sleep gained: Student, Biometrika 6 (1908), R's data set sleep, read as two independent
 * groups. */
Test(between, sleep) {
  static const double extra[] = {0.7, -1.6, -0.2, -1.2, -0.1, 3.4, 3.7, 0.8, 0.0, 2.0,
                                 1.9, 0.8,  1.1,  0.1,  -0.1, 4.4, 5.5, 1.6, 4.6, 3.4};
  int32_t group[20];
  uint8_t use[20];
  memset(use, 1, sizeof use);
  for (size_t i = 0; i < 20; i++)
    group[i] = i < 10 ? 1 : 2;
  cr_expect_float_eq(find(extra, group, use, 20), 0.0791867142159, 1e-11);
}
