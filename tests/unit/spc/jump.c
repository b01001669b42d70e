/* Jumps back behind signals: each requirement of jump.c by a series that lacks it alone. */
#include "beamtally/spc.h"

#include <criterion/criterion.h>
#include <stdlib.h>

enum { N = 40, AT = 20 }; /* points; the jump */

typedef struct made {
  double value[N], range[N];
  uint8_t has_range[N], judged[N];
  bt_rules low[N], high[N];
  bt_jump_basis basis;
} made;

/* Four sigma low up to the jump, signals at the last five points before it, at the centre from
 * there on; `sign` -1: the other way round. */
static void make(made *of, double sign) {
  *of = (made){0};
  for (size_t i = 0; i < N; i++) {
    of->value[i] = i < AT ? -4 * sign : 0;
    of->judged[i] = 1;
    of->has_range[i] = i > 0;
    of->range[i] = i == AT ? 4 : 0;
    bt_rules rules = i + 5 >= AT && i < AT ? BT_WE1 : 0;
    *(sign > 0 ? &of->low[i] : &of->high[i]) = rules;
  }
  of->basis = (bt_jump_basis){.n = N,
                              .value = of->value,
                              .moving_range = of->range,
                              .has_range = of->has_range,
                              .judged = of->judged,
                              .rules = {of->low, of->high},
                              .range_limit = 3.3};
}

static void expect(const made *of, size_t n, const char *what) {
  bt_error error;
  bt_jump *found = NULL;
  size_t found_n = 0;
  cr_assert_eq(bt_jumps_find(&of->basis, &found, &found_n, &error), BT_OK);
  cr_expect_eq(found_n, n, "%s: %zu", what, found_n);
  free(found);
}

Test(jump, is_found_with_its_points_and_its_size) {
  for (int sign = -1; sign <= 1; sign += 2) {
    made of;
    bt_error error;
    bt_jump *found = NULL;
    size_t n = 0;
    make(&of, sign);
    of.judged[AT - 1] = 0; /* a point that isn't judged does not part the two */
    cr_assert_eq(bt_jumps_find(&of.basis, &found, &n, &error), BT_OK);
    cr_assert_eq(n, 1);
    cr_expect_eq(found[0].before, AT - 2);
    cr_expect_eq(found[0].at, AT);
    cr_expect_float_eq(found[0].by, 4.0 * sign, 1e-12);
    free(found);
  }
}

Test(jump, needs_all_of_its_requirements) {
  made of;
  make(&of, 1);
  of.range[AT] = 3.2;
  expect(&of, 0, "J1: a range within its limit");
  make(&of, 1);
  of.has_range[AT] = 0;
  expect(&of, 0, "J1: no range");
  make(&of, 1);
  of.basis.phase2 = AT - 4;
  expect(&of, 0, "J1: 4 points of Phase II before it");
  of.basis.phase2 = AT - 5;
  expect(&of, 1, "J1: 5 of them");
  make(&of, 1);
  for (size_t i = AT - 3; i < AT; i++)
    of.low[i] = BT_CUSUM_SIGNAL;
  expect(&of, 0, "J2: 2 zone rules broken");
  of.low[AT - 1] = BT_WE4;
  expect(&of, 1, "J2: 3 of them");
  make(&of, 1);
  of.low[AT + 7] = BT_WE1;
  expect(&of, 0, "J3: the limit is passed at the eighth point");
  of.low[AT + 8] = BT_WE1;
  of.low[AT + 7] = BT_WE2;
  expect(&of, 1, "J3: at the ninth, and another rule before");
  make(&of, 1);
  of.basis.n = AT + 7;
  expect(&of, 0, "J3: 7 points");
  make(&of, 1);
  for (size_t i = 0; i + 1 < AT; i++)
    of.value[i] = -3; /* levels 3.2 apart */
  expect(&of, 0, "J4: levels nearer to each other than a range may be");
}
