/* Refills that may stand otherwise in the log than they were: by hand. */
#include "beamtally/drift.h"

#include <criterion/criterion.h>

Test(refill_doubt, Q1_better_as_the_gas_ages) {
  static const struct {
    int loss;
    double per_day, t, df;
    bool doubted;
  } cases[] = {{-1, 0.004, 5, 20, true}, {-1, 0.004, 3, 20, false},   {-1, 0.004, 3.01, 10, true},
               {-1, 0.004, 5, 9, false}, {-1, -0.004, -5, 20, false}, {1, -0.02, -5, 20, true},
               {1, 0.02, 5, 20, false},  {0, 0.004, 5, 20, false}};
  for (size_t k = 0; k < sizeof cases / sizeof *cases; k++) {
    bt_slope asked = {.df = cases[k].df, .per_day = cases[k].per_day, .t = cases[k].t};
    bt_slope none = {0}, other = {.df = 9, .per_day = -cases[k].per_day, .t = -cases[k].t}, found;
    cr_expect_eq(bt_refills_wrong_side(&asked, &none, cases[k].loss, &found), cases[k].doubted,
                 "%zu, since the change", k);
    cr_expect_eq(bt_refills_wrong_side(&other, &asked, cases[k].loss, &found), cases[k].doubted,
                 "%zu, of the baseline", k);
    cr_expect(!cases[k].doubted || found.t == asked.t, "%zu", k);
  }
  bt_slope since = {.df = 10, .per_day = -1, .t = -9}, baseline = {.df = 30, .per_day = 1, .t = 9};
  bt_slope found;
  cr_expect_not(bt_refills_wrong_side(&since, &baseline, -1, &found), "what is since then counts");
}

Test(refill_doubt, Q2_older_than_fills_get) {
  const double age[] = {2, 31, 12, 40, 33};
  const uint8_t known[] = {1, 1, 1, 0, 1};
  cr_expect_eq(bt_refills_missing(age, known, 5, 10), 4, "the oldest of known age");
  cr_expect_eq(bt_refills_missing(age, known, 4, 10), 1);
  cr_expect_eq(bt_refills_missing(age, known, 5, 11), BT_NONE, "three times is not over three");
  cr_expect_eq(bt_refills_missing(age, known, 5, 0), BT_NONE, "nobody knows how long they last");
  cr_expect_eq(bt_refills_missing(age, known, 0, 10), BT_NONE);
}
