/* The tabular CUSUM: edges by hand, a plain loop, and properties. */
#include "beamtally/spc.h"
#include "shapes.h"

#include <criterion/criterion.h>
#include <math.h>
#include <string.h>

static bt_cusum make(size_t n, double k, double h, double headstart) {
  return (bt_cusum){.k = k,
                    .h = h,
                    .headstart = headstart,
                    .high = bt_new(n, sizeof(double)),
                    .low = bt_new(n, sizeof(double)),
                    .run_high = bt_new(n, sizeof(uint32_t)),
                    .run_low = bt_new(n, sizeof(uint32_t))};
}

static void add_restart(bt_cusum *cusum, size_t point) {
  size_t capacity = cusum->restarts_n;
  cr_assert(bt_grow(&cusum->restarts, &capacity, cusum->restarts_n + 1, sizeof *cusum->restarts));
  cusum->restarts[cusum->restarts_n++].point = point;
}

static void run(const double *z, const uint8_t *judged, size_t from, size_t to, double sigma,
                bt_cusum *cusum) {
  bt_error error;
  cr_assert_eq(bt_cusum_run(z, judged, from, to, sigma, cusum, &error), BT_OK);
}

static const uint8_t all[] = {1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1};

Test(cusum, C1_a_sum_on_the_line_is_no_signal) {
  /* 4.5 - 0.5 = 4.0 = h; 0.5 more and it is beyond. */
  static const double z[] = {4.5, 0.5, 1.0};
  bt_cusum cusum = make(3, 0.5, 4, 0);
  run(z, all, 0, 3, 1, &cusum);
  cr_expect_eq(cusum.high[0], 4);
  cr_assert_eq(cusum.excursions_n, 1);
  cr_expect_eq(cusum.excursions[0].signal, 2);
  bt_cusum_free(&cusum);

  /* Sums that should come to h = 0.3 but for binary rounding: 0.1 + 0.1 + 0.1 > 0.3. */
  static const double tenths[] = {0.6, 0.6, 0.6};
  cusum = make(3, 0.5, 0.3, 0);
  run(tenths, all, 0, 3, 1, &cusum);
  cr_expect_eq(cusum.excursions_n, 0, "sum %.17g", cusum.high[2]);
  bt_cusum_free(&cusum);
}

Test(cusum, C1_C2_a_sum_on_zero_is_zero_and_ends_the_run) {
  static const double z[] = {0.8, 0.2, 0.9, 0.5 + 5e-10, 0.6};
  bt_cusum cusum = make(5, 0.5, 5, 0);
  run(z, all, 0, 5, 1, &cusum);
  static const uint32_t runs[] = {1, 0, 1, 2, 3};
  cr_expect_eq(cusum.high[1], 0, "0.3 - 0.3 is 0, not %.17g", cusum.high[1]);
  cr_expect_arr_eq(cusum.run_high, runs, sizeof runs);
  bt_cusum_free(&cusum);

  static const double tiny[] = {0.5 + 5e-10, 0.5 + 2e-9};
  cusum = make(2, 0.5, 5, 0);
  run(tiny, all, 0, 2, 1, &cusum);
  cr_expect_eq(cusum.high[0], 0);
  cr_expect_eq(cusum.run_high[0], 0);
  cr_expect_eq(cusum.run_high[1], 1);
  bt_cusum_free(&cusum);
}

Test(cusum, C3_C7_the_run_is_counted_in_judged_points) {
  static const double z[] = {-1, 3, 99, 3, 99, 99, 3, 0};
  static const uint8_t judged[] = {1, 1, 0, 1, 0, 0, 1, 1};
  bt_cusum cusum = make(8, 0.5, 5, 0);
  run(z, judged, 0, 8, 2, &cusum);
  static const double high[] = {0, 2.5, 0, 5, 0, 0, 7.5, 7};
  static const uint32_t runs[] = {0, 1, 0, 2, 0, 0, 3, 4};
  cr_expect_arr_eq(cusum.high, high, sizeof high);
  cr_expect_arr_eq(cusum.run_high, runs, sizeof runs);
  cr_assert_eq(cusum.excursions_n, 1);
  cr_expect_eq(cusum.excursions[0].signal, 6);
  cr_expect_eq(cusum.excursions[0].run_began, 1);
  cr_expect_eq(cusum.excursions[0].last, 7);
  cr_expect_float_eq(cusum.excursions[0].size, 6, 1e-12, "2 sigma times the mean of 3, 3, 3");
  bt_cusum_free(&cusum);
}

Test(cusum, C4_one_entry_a_stay_above_h) {
  /* Above at 1 and 2, on h at 3, above again at 4, down at 5; then the low side. */
  static const double z[] = {3.5, 2.5, 0.5, 0.5, 1.5, -9, -3, 0.5};
  bt_cusum cusum = make(8, 0.5, 5, 0);
  run(z, all, 0, 8, 1, &cusum);
  static const double high[] = {3, 5, 5, 5, 6, 0, 0, 0};
  cr_expect_arr_eq(cusum.high, high, sizeof high);
  cr_assert_eq(cusum.excursions_n, 2);
  cr_expect_eq(cusum.excursions[0].side, BT_HIGH);
  cr_expect_eq(cusum.excursions[0].signal, 4);
  cr_expect_eq(cusum.excursions[0].last, 4);
  cr_expect_eq(cusum.excursions[0].run_began, 0);
  cr_expect_eq(cusum.excursions[1].side, BT_LOW);
  cr_expect_eq(cusum.excursions[1].signal, 5);
  cr_expect_eq(cusum.excursions[1].last, 7, "11 - 0.5 - 0.5 is still above h");
  cr_expect_float_eq(cusum.excursions[1].size, -9, 1e-12);
  bt_cusum_free(&cusum);

  static const double twice[] = {6, -3, 6, 6};
  cusum = make(4, 0.5, 5, 0);
  run(twice, all, 0, 4, 1, &cusum);
  cr_assert_eq(cusum.excursions_n, 2, "5.5, 2, 7.5, 13: two stays");
  cr_expect_eq(cusum.excursions[0].last, 0);
  cr_expect_eq(cusum.excursions[1].signal, 2);
  cr_expect_eq(cusum.excursions[1].run_began, 0, "the sum was above 0 all the while");
  cr_expect(cusum.excursions[0].run_first == 0 && cusum.excursions[1].run_first == 0,
            "C9: one run");
  cr_expect_eq(cusum.excursions[1].last, 3);
  cr_expect_float_eq(cusum.excursions[1].size, 3, 1e-12);
  bt_cusum_free(&cusum);
}

Test(cusum, C5_a_restart_begins_both_sides_at_the_headstart) {
  static const double z[] = {6, 6, 0.25, 0.25, -3.5, 0};
  bt_cusum cusum = make(6, 0.5, 5, 0.5);
  add_restart(&cusum, 2);
  run(z, all, 0, 6, 1, &cusum);
  static const double high[] = {5.5, 11, 2.25, 2, 0, 0};
  static const double low[] = {0, 0, 1.75, 1, 4, 3.5};
  static const uint32_t run_high[] = {1, 2, 1, 2, 0, 0}, run_low[] = {0, 0, 1, 2, 3, 4};
  cr_expect_arr_eq(cusum.high, high, sizeof high);
  cr_expect_arr_eq(cusum.low, low, sizeof low);
  cr_expect_arr_eq(cusum.run_high, run_high, sizeof run_high);
  cr_expect_arr_eq(cusum.run_low, run_low, sizeof run_low);
  cr_assert_eq(cusum.excursions_n, 1);
  cr_expect_eq(cusum.excursions[0].last, 1, "the restart ended the stay");
  bt_cusum_free(&cusum);
}

Test(cusum, C5_restarts_in_any_order_and_at_points_not_judged) {
  static const double z[] = {1, 1, 1, 1, 1, 1, 1, 1};
  static const uint8_t judged[] = {1, 1, 0, 1, 1, 1, 1, 1};
  bt_cusum cusum = make(8, 0.5, 5, 0.2);
  add_restart(&cusum, 5);
  add_restart(&cusum, 2);
  add_restart(&cusum, 5);
  add_restart(&cusum, 7);
  run(z, judged, 0, 7, 1, &cusum);
  static const double high[] = {0.5, 1, 0, 1.5, 2, 1.5, 2, 0};
  cr_expect_arr_eq(cusum.high, high, sizeof high, "the restart at 7 lies outside [0, 7)");
  bt_cusum_free(&cusum);
}

Test(cusum, C6_a_headstart_still_carried_is_taken_off) {
  static const double z[] = {2, 2, 2, -9, 4, 4};
  bt_cusum cusum = make(6, 0.5, 5, 0.5);
  add_restart(&cusum, 0);
  run(z, all, 0, 6, 3, &cusum);
  cr_assert_eq(cusum.excursions_n, 3);
  /* 2.5 + 1.5 + 1.5 = 5.5 at the second point: carried. */
  cr_expect_eq(cusum.excursions[0].signal, 1);
  cr_expect_eq(cusum.excursions[0].run_began, 0);
  cr_expect_float_eq(cusum.excursions[0].size, 3 * 2, 1e-12);
  /* Low: the headstart fell to 0 in two points; 8.5 from 0. */
  cr_expect_eq(cusum.excursions[1].side, BT_LOW);
  cr_expect_float_eq(cusum.excursions[1].size, -27, 1e-12);
  /* High again, from 0: nothing carried. */
  cr_expect_eq(cusum.excursions[2].run_began, 4);
  for (size_t e = 0; e < 3; e++)
    cr_expect_eq(cusum.excursions[e].run_first, e, "C9: three runs");
  cr_expect_float_eq(cusum.excursions[2].size, 12, 1e-12);
  bt_cusum_free(&cusum);
}

Test(cusum, C8_nothing_carries_over_from_before) {
  static const double z[] = {9, 9, 0.6, 0.6};
  bt_cusum cusum = make(4, 0.5, 5, 0.5);
  run(z, all, 0, 2, 1, &cusum);
  run(z, all, 2, 4, 1, &cusum);
  cr_expect_float_eq(cusum.high[2], 0.1, 1e-12);
  cr_expect_float_eq(cusum.high[3], 0.2, 1e-12);
  cr_expect_eq(cusum.excursions_n, 1);
  bt_cusum_free(&cusum);
}

/* Sums, counts and excursions of one side as the definitions read. */
static void expect_side(const shape *at, double direction, const bt_cusum *cusum) {
  bt_side side = direction > 0 ? BT_HIGH : BT_LOW;
  const double *sums = direction > 0 ? cusum->high : cusum->low;
  const uint32_t *runs = direction > 0 ? cusum->run_high : cusum->run_low;
  double sum = 0;
  uint32_t count = 0;
  bool was_above = false;
  size_t entry = 0; /* the next excursion of the list to be looked at */
  for (size_t i = 0; i < at->n; i++) {
    for (size_t r = 0; r < cusum->restarts_n; r++)
      if (cusum->restarts[r].point == i) {
        sum = cusum->headstart * cusum->h;
        count = 0;
        was_above = false;
      }
    if (at->use[i] == 0) {
      cr_expect(sums[i] == 0 && runs[i] == 0);
      continue;
    }
    sum = fmax(0, sum + direction * at->value[i] - cusum->k);
    sum = sum <= 1e-9 ? 0 : sum;
    count = sum > 0 ? count + 1 : 0;
    cr_expect_float_eq(sums[i], sum, 1e-12);
    cr_expect_eq(runs[i], count, "%s: point %zu", at->name, i);
    bool above = sum > cusum->h + 1e-9;
    if (above && !was_above) {
      while (entry < cusum->excursions_n && cusum->excursions[entry].side != side)
        entry++;
      cr_assert_lt(entry, cusum->excursions_n);
      const bt_excursion *found = &cusum->excursions[entry++];
      cr_expect_eq(found->signal, i);
      /* The size is the mean of the run, counted back in judged points. */
      double total = 0;
      uint32_t left = count;
      size_t j = i + 1;
      while (left > 0) {
        j--;
        if (at->use[j] != 0) {
          total += at->value[j];
          left--;
        }
      }
      cr_expect_eq(found->run_began, j);
      const bt_excursion *first = &cusum->excursions[found->run_first];
      bool ran = true; /* from the run's first signal to this one */
      for (j = 0; j <= i; j++)
        ran = ran && (j < first->signal || at->use[j] == 0 || sums[j] > 0);
      bool earlier = false;
      for (j = found->run_began; j < first->signal; j++)
        earlier = earlier || sums[j] > cusum->h + 1e-9;
      cr_expect(first->run_began == found->run_began && ran && !earlier, "C9: %s", at->name);
      cr_expect_float_eq(found->size, 0.25 * total / count, 1e-9, "%s: point %zu", at->name, i);
    }
    if (above && entry > 0)
      cr_expect_geq(cusum->excursions[entry - 1].last, i);
    was_above = above;
  }
  while (entry < cusum->excursions_n)
    cr_expect_neq(cusum->excursions[entry++].side, side, "no more excursions than stays");
}

Test(cusum, plain_loop_agrees_over_all_shapes) {
  static shape at;
  size_t excursions = 0;
  for (size_t s = 0; shape_make(s, &at); s++) {
    bt_cusum cusum = make(at.n, 0.5, 4, 0.5);
    if (s % 2 == 1) {
      add_restart(&cusum, at.n / 3);
      add_restart(&cusum, at.n / 2);
    }
    run(at.value, at.use, 0, at.n, 0.25, &cusum);
    expect_side(&at, 1, &cusum);
    expect_side(&at, -1, &cusum);
    for (size_t e = 1; e < cusum.excursions_n; e++)
      cr_expect_geq(cusum.excursions[e].signal, cusum.excursions[e - 1].signal);
    excursions += cusum.excursions_n;
    bt_cusum_free(&cusum);
  }
  cr_expect_gt(excursions, 100);
}

Test(cusum, mirrored_points_swap_the_sides) {
  static shape at;
  for (size_t s = 0; shape_make(s, &at); s++) {
    double mirrored[SHAPE_MOST];
    for (size_t i = 0; i < at.n; i++)
      mirrored[i] = -at.value[i];
    bt_cusum one = make(at.n, 0.5, 5, 0.5), other = make(at.n, 0.5, 5, 0.5);
    run(at.value, at.use, 0, at.n, 1, &one);
    run(mirrored, at.use, 0, at.n, 1, &other);
    cr_expect_arr_eq(one.high, other.low, at.n * sizeof(double));
    cr_expect_arr_eq(one.run_low, other.run_high, at.n * sizeof(uint32_t));
    cr_assert_eq(one.excursions_n, other.excursions_n);
    for (size_t e = 0; e < one.excursions_n; e++) {
      cr_expect_neq(one.excursions[e].side, other.excursions[e].side);
      cr_expect_eq(one.excursions[e].size, -other.excursions[e].size);
    }
    bt_cusum_free(&one);
    bt_cusum_free(&other);
  }
}

/* A segment is run as if it stood alone. */
Test(cusum, C8_a_series_cut_in_two) {
  static shape at;
  for (size_t s = 0; shape_make(s, &at); s++) {
    size_t cut = at.n / 2;
    bt_cusum whole = make(at.n, 0.5, 5, 0), part = make(at.n, 0.5, 5, 0);
    run(at.value, at.use, 0, cut, 1, &whole);
    run(at.value, at.use, cut, at.n, 1, &whole);
    run(at.value + cut, at.use + cut, 0, at.n - cut, 1, &part);
    cr_expect_arr_eq(whole.high + cut, part.high, (at.n - cut) * sizeof(double));
    cr_expect_arr_eq(whole.low + cut, part.low, (at.n - cut) * sizeof(double));
    cr_assert_geq(whole.excursions_n, part.excursions_n);
    size_t before = whole.excursions_n - part.excursions_n;
    for (size_t e = 0; e < part.excursions_n; e++) {
      cr_expect_eq(whole.excursions[before + e].signal, part.excursions[e].signal + cut);
      cr_expect_eq(whole.excursions[before + e].run_began, part.excursions[e].run_began + cut);
      cr_expect_eq(whole.excursions[before + e].last, part.excursions[e].last + cut);
    }
    bt_cusum_free(&whole);
    bt_cusum_free(&part);
  }
}
