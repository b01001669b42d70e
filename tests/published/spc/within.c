/* Limits of a within-day standard deviation against the tabled factors. */
#include "beamtally/spc.h"
#include "spc_constants.h"

#include <criterion/criterion.h>

/* Montgomery, Introduction to Statistical Quality Control, appendix VI: factors B5 and B6 of an s
 * chart with known sigma (values from memory, confirmed by computation). */
Test(within, tabled_factors_b5_and_b6) {
  static const struct {
    uint32_t n;
    double b5, b6;
  } row[] = {{2, 0, 2.606},      {3, 0, 2.276},     {4, 0, 2.088},      {5, 0, 1.964},
             {6, 0.029, 1.874},  {7, 0.113, 1.806}, {10, 0.276, 1.669}, {15, 0.421, 1.544},
             {20, 0.504, 1.470}, {25, 0.559, 1.420}};
  bt_within within = {.days = 10, .sigma = 1};
  for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
    double centre, lcl, ucl;
    bt_within_limits(&within, row[i].n, &centre, &lcl, &ucl);
    cr_expect_float_eq(centre, spc_c4((int)row[i].n), 1e-15);
    cr_expect_float_eq(lcl, row[i].b5, 6e-4, "B5(%u): %.5f", row[i].n, lcl);
    cr_expect_float_eq(ucl, row[i].b6, 6e-4, "B6(%u): %.5f", row[i].n, ucl);
  }
}
