/* Run lengths against an independent computation in base R: run_length_reference.R beside this file
 * writes the numbers. Its chain of the zone rules forgets nothing that a rule asks for and finds
 * the mean by iteration; its integral equations are solved for the mean by Simpson's rule. */
#include "run_length_reference.h"

#include <criterion/criterion.h>
#include <math.h>

Test(run_length_reference, base_R_agrees) {
  size_t rows = sizeof run_length_reference / sizeof *run_length_reference;
  cr_assert_eq(rows, 69);
  for (size_t r = 0; r < rows; r++) {
    bt_run_length found;
    bt_error error = {0};
    double arl = run_length_reference[r].arl;
    cr_assert_eq(bt_run_length_find(&run_length_reference[r].chart, run_length_reference[r].shift,
                                    &found, &error),
                 BT_OK, "%s", error.text);
    cr_expect_leq(fabs(found.arl - arl), 1e-8 * arl, "row %zu: %.10g, R %.10g", r, found.arl, arl);
  }
}
