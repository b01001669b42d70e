#include "baselines.h"

#include <criterion/criterion.h>
#include <math.h>

bt_individuals baseline_of(const double *value, uint8_t *use, size_t n, bool screened) {
  bt_individuals chart;
  bt_error error;
  size_t left_out = 0;
  for (size_t i = 0; i < n; i++)
    use[i] = 1;
  for (;;) {
    cr_assert_eq(bt_individuals_fit(value, use, n, &chart, &error), BT_OK);
    size_t beyond = 0;
    for (size_t i = 0; i < n; i++)
      beyond += use[i] && fabs(value[i] - chart.centre) > 3 * chart.sigma;
    if (!screened || beyond == 0 || 10 * (left_out + beyond) > n)
      return chart;
    left_out += beyond;
    for (size_t i = 0; i < n; i++)
      use[i] = use[i] && fabs(value[i] - chart.centre) <= 3 * chart.sigma;
  }
}
