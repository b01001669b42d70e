/* How old the gas usually gets: by hand, and against counting. */
#include "beamtally/drift.h"

#include <criterion/criterion.h>
#include <gsl/gsl_rng.h>

enum { MOST = 400 };

static double end_of(const double *age, const int32_t *fill, const uint8_t *known, size_t n) {
  double end = -1;
  bt_error error = {0};
  cr_assert_eq(bt_fill_end_find(age, fill, known, n, &end, &error), BT_OK, "%s", error.text);
  return end;
}

Test(fill_end, by_hand) {
  static const double age[] = {0, 3, 1, 2, 10, 0};
  static const int32_t fill[] = {0, 0, 1, 1, 2, 3};
  static const uint8_t all[] = {1, 1, 1, 1, 1, 1}, none[6] = {0}, some[] = {1, 1, 0, 1, 0, 0};
  cr_expect_eq(end_of(age, fill, all, 0), 0);
  cr_expect_eq(end_of(age, fill, none, 6), 0);
  cr_expect_eq(end_of(age, fill, all, 6), 3, "10, 3, 2, 0");
  cr_expect_eq(end_of(age, fill, some, 6), 2, "3, 2");
  cr_expect_eq(end_of(age, fill, all, 2), 3, "of one fill");
}

/* Of fifty weekly fills one lasted over the holidays. */
Test(fill_end, one_long_fill_is_not_usual) {
  double age[100];
  int32_t fill[100];
  uint8_t known[100];
  for (int i = 0; i < 100; i++) {
    fill[i] = i / 2;
    age[i] = i == 61 ? 10 : i % 2 == 0 ? 0.1 : 2.9;
    known[i] = 1;
  }
  cr_expect_eq(end_of(age, fill, known, 100), 2.9);
}

/* At least a fiftieth of the fills, and two, get as old; less than that older. */
Test(fill_end, a_fiftieth_gets_as_old) {
  gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
  for (unsigned long seed = 1; seed <= 200; seed++) {
    double age[MOST], end;
    int32_t fill[MOST];
    uint8_t known[MOST];
    gsl_rng_set(random, seed);
    size_t n = 1 + gsl_rng_uniform_int(random, MOST), fills = 0, as_old = 0, older = 0;
    for (size_t i = 0; i < n; i++) {
      fill[i] = i == 0 ? 0 : fill[i - 1] + (gsl_rng_uniform(random) < 0.4);
      age[i] = (double)gsl_rng_uniform_int(random, 12);
      known[i] = gsl_rng_uniform(random) < 0.8;
    }
    end = end_of(age, fill, known, n);
    for (int32_t f = 0; f <= fill[n - 1]; f++) {
      double greatest = -1;
      for (size_t i = 0; i < n; i++)
        if (fill[i] == f && known[i] != 0 && age[i] > greatest)
          greatest = age[i];
      fills += greatest >= 0;
      as_old += greatest >= 0 && greatest >= end;
      older += greatest > end;
    }
    size_t two = fills < 2 ? fills : 2;
    cr_expect(as_old >= two && 50 * as_old >= fills && (older < two || 50 * older < fills),
              "seed %lu: %zu, %zu of %zu", seed, as_old, older, fills);
  }
  gsl_rng_free(random);
}
