/* The slope by pulses: against the slope by day of a laser that fires evenly; resets. */
#include "beamtally/drift.h"

#include <criterion/criterion.h>
#include <math.h>

enum { VALUES = 24, EACH = 6 };

typedef struct data {
  double value[VALUES], age[VALUES], pulses[VALUES];
  int32_t fill[VALUES];
  uint8_t use[VALUES];
} data;

/* 40,000 pulses a day; the counter goes on over refills. */
static data evenly_fired(void) {
  data made = {0};
  for (size_t i = 0; i < VALUES; i++) {
    made.age[i] = (double)(i % EACH);
    made.fill[i] = (int32_t)(i / EACH);
    made.pulses[i] = 40000 * (double)i;
    made.value[i] = 5 + made.fill[i] - 0.08 * made.age[i] + 0.01 * (double)(i * i % 7);
    made.use[i] = 1;
  }
  return made;
}

static bt_slope by_pulses(const data *of) {
  bt_slope slope;
  bt_error error = {0};
  cr_assert_eq(bt_slope_by_pulses(of->value, of->pulses, of->fill, of->fill, of->use, VALUES,
                                  &slope, &error),
               BT_OK, "%s", error.text);
  return slope;
}

Test(pulses, U2_U4_agree_with_days) {
  data made = evenly_fired();
  bt_slope by_day, slope;
  bt_error error;
  cr_assert_eq(bt_slope_fit(made.value, made.age, made.fill, made.fill, made.use, made.use, VALUES,
                            &by_day, &error),
               BT_OK);
  for (int anew = 0; anew < 2; anew++) {
    slope = by_pulses(&made);
    cr_expect_float_eq(slope.per_day * 40, by_day.per_day, 1e-12);
    cr_expect_float_eq(slope.se * 40, by_day.se, 1e-12);
    cr_expect(slope.fills == 4 && slope.stretches == 4 && slope.df == by_day.df);
    for (size_t i = 0; i < VALUES; i++)
      made.pulses[i] = 40000 * made.age[i]; /* a counter that starts anew at the refill */
  }
  cr_expect_float_eq(slope.mean_age_days, 100, 1e-12, "2.5 days of 40,000 pulses");
}

Test(pulses, U1_U3_not_read_and_reset) {
  data made = evenly_fired();
  for (size_t i = 3; i < EACH; i++)
    made.pulses[i] -= 3 * 40000; /* reset within the first fill */
  made.use[9] = 0;
  made.pulses[9] = NAN;
  bt_slope slope = by_pulses(&made);
  cr_expect(slope.stretches == 5 && slope.fills == 4 && slope.n == VALUES - 1);
  cr_expect(isfinite(slope.per_day) && slope.per_day < 0);
}
