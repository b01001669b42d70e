/* The Markov chain of the zone rules against published run lengths.
 *
 * ARL: Champ and Woodall, Technometrics 29 (1987), values from memory, confirmed by computation to
 * every printed digit; the four decimals here are computed (exact chain, and 4 million simulated
 * runs a case). SDRL and probabilities: computed, two ways. */
#include "beamtally/spc.h"
#include "spc_run_length.h"

#include <criterion/criterion.h>
#include <math.h>

enum { R1 = BT_WE1, R2 = BT_WE2, R3 = BT_WE3, R4 = BT_WE4, SHIFTS = 6 };

static const double shifts[SHIFTS] = {0, 0.5, 1, 1.5, 2, 3};

static const struct {
  bt_rules rules;
  double arl[SHIFTS];
} table[] = {
    {R1, {370.3983, 155.2242, 43.8947, 14.9677, 6.3030, 2.0000}},
    {R1 | R2, {225.4384, 77.7245, 20.0050, 7.3012, 3.6464, 1.6758}},
    {R1 | R3, {166.0545, 46.1813, 12.6644, 5.8556, 3.6801, 1.8865}},
    {R1 | R4, {152.7301, 44.2801, 14.5781, 7.7545, 4.8907, 1.9923}},
    {R1 | R2 | R3, {132.8928, 38.6417, 10.9514, 5.0841, 3.1402, 1.6666}},
    {R1 | R2 | R4, {122.0508, 36.1754, 11.7258, 5.8956, 3.5022, 1.6757}},
    {R1 | R3 | R4, {105.7831, 30.3897, 10.1875, 5.5000, 3.6499, 1.8865}},
    {R1 | R2 | R3 | R4, {91.7508, 27.3251, 9.2219, 4.8719, 3.1276, 1.6666}},
};

static bt_run_length find(bt_rules rules, double shift) {
  bt_run_chart chart = {.method = BT_RUN_OF_RULES, .rules = rules};
  bt_run_length found;
  bt_error error = {0};
  cr_assert_eq(bt_run_length_find(&chart, shift, &found, &error), BT_OK, "%s", error.text);
  return found;
}

static void expect_within(bt_rules rules, uint64_t points, double listed) {
  bt_run_chart chart = {.method = BT_RUN_OF_RULES, .rules = rules};
  double probability;
  bt_error error = {0};
  cr_assert_eq(spc_run_length_within(&chart, 0, points, &probability, &error), BT_OK);
  cr_expect_float_eq(probability, listed, 5.01e-7, "rules %u within %u: %.6f", rules,
                     (unsigned)points, probability);
}

Test(run_length_rules, table_of_champ_and_woodall) {
  for (size_t r = 0; r < sizeof table / sizeof *table; r++)
    for (int s = 0; s < SHIFTS; s++) {
      double arl = find(table[r].rules, shifts[s]).arl;
      cr_expect_float_eq(arl, table[r].arl[s], 5.01e-5, "rules %u at %g: %.5f, not %.4f",
                         table[r].rules, shifts[s], arl, table[r].arl[s]);
    }
}

Test(run_length_rules, spread_of_all_four) {
  cr_expect_float_eq(find(R1 | R2 | R3 | R4, 0).sdrl, 88.145, 5.01e-4); /* computed */
}

/* Probability of a false signal within 20, 50, 100, 250 points; computed, two ways. */
Test(run_length_rules, false_signals_within) {
  static const uint64_t points[] = {20, 50, 100, 250};
  static const double all_four[] = {.173934, .412301, .666787, .939267};
  static const double first_alone[] = {.052633, .126435, .236884, .491282};
  for (size_t i = 0; i < 4; i++) {
    expect_within(R1 | R2 | R3 | R4, points[i], all_four[i]);
    expect_within(R1, points[i], first_alone[i]);
  }
}

/* WE1 alone is geometric: ARL 1/p, SDRL sqrt(1 - p)/p, percentiles ln(1 - P)/ln(1 - p). */
Test(run_length_rules, one_rule_is_geometric) {
  for (double shift = -4; shift <= 4; shift += 0.5) {
    double p = erfc((3 - shift) / sqrt(2)) / 2 + erfc((3 + shift) / sqrt(2)) / 2;
    bt_run_length found = find(R1, shift);
    cr_expect_float_eq(found.arl, 1 / p, 1e-9 / p, "at %g", shift);
    cr_expect_float_eq(found.sdrl, sqrt(1 - p) / p, 1e-7 / p, "at %g", shift);
    cr_expect_eq(found.p50, (uint64_t)ceil(log(0.5) / log1p(-p)), "at %g", shift);
    cr_expect_eq(found.p95, (uint64_t)ceil(log(0.05) / log1p(-p)), "at %g", shift);
  }
}

/* WE4 alone, in control: 8 tosses of one side, 2^8 - 1 (Feller, An Introduction to Probability
 * Theory and Its Applications I, XIII.7: either of two runs of 8 at p 1/2). */
Test(run_length_rules, eight_on_one_side_are_tosses_of_a_coin) {
  cr_expect_float_eq(find(R4, 0).arl, 255, 1e-8);
  cr_expect_eq(find(R4, 9).p5, 8);
  cr_expect_float_eq(find(R4, 9).arl, 8, 1e-9);
}
