/* The tolerance in force, found along a series, against a plain search at each moment. */
#include "beamtally/setup.h"

#include <criterion/criterion.h>

enum { MOST = 12, MOMENTS = 40 };

/* The latest that had begun; of two that began together the later entered. */
static const bt_tolerance *plain(const bt_settings *settings, const char *unit,
                                 bt_characteristic of, bt_time at) {
  const bt_tolerance *found = NULL;
  for (size_t i = 0; i < settings->tolerances_n; i++) {
    const bt_tolerance *t = &settings->tolerances[i];
    if (t->characteristic == of && t->from <= at && bt_same_name(t->unit, unit) &&
        (found == NULL || t->from >= found->from))
      found = t;
  }
  return found;
}

/* The first that begins later. */
static const bt_tolerance *plain_next(const bt_settings *settings, const char *unit,
                                      bt_characteristic of, bt_time at) {
  for (bt_time day = at + 1; day < 20; day++)
    for (size_t i = 0; i < settings->tolerances_n; i++) {
      const bt_tolerance *t = &settings->tolerances[i];
      if (t->characteristic == of && t->from == day && bt_same_name(t->unit, unit))
        return t;
    }
  return NULL;
}

static unsigned next(unsigned *state) {
  *state = *state * 1664525U + 1013904223U;
  return *state >> 16;
}

Test(tolerances, along_a_series_as_at_each_moment) {
  static char names[][8] = {"Unit A", " unit a", "Unit B"};
  unsigned state = 11;
  size_t found = 0, later = 0;
  for (int round = 0; round < 400; round++) {
    bt_tolerance list[MOST] = {0};
    bt_settings settings = {.tolerances = list, .tolerances_n = next(&state) % (MOST + 1)};
    for (size_t i = 0; i < settings.tolerances_n; i++)
      list[i] =
          (bt_tolerance){.unit = names[next(&state) % 3],
                         .characteristic = next(&state) % 3 == 0 ? BT_TRACKER_X : BT_ENERGY_RATIO,
                         .from = (bt_time)(next(&state) % 20)};
    bt_tolerance_stretch stretch = {0};
    bt_time at = -2;
    for (int m = 0; m < MOMENTS; m++) {
      at += (bt_time)(next(&state) % 3);
      if (next(&state) % 16 == 0)
        at -= 5; /* not only forward */
      const bt_tolerance *wanted = plain(&settings, "Unit A", BT_ENERGY_RATIO, at);
      cr_assert_eq(bt_settings_tolerance(&settings, "Unit A", BT_ENERGY_RATIO, at), wanted);
      cr_assert_eq(bt_settings_tolerance_along(&settings, "Unit A", BT_ENERGY_RATIO, at, &stretch),
                   wanted, "round %d, at %lld", round, (long long)at);
      found += wanted != NULL;
      const bt_tolerance *to_come = plain_next(&settings, "Unit A", BT_ENERGY_RATIO, at);
      cr_assert_eq(bt_settings_next_tolerance(&settings, "Unit A", BT_ENERGY_RATIO, at), to_come,
                   "round %d, at %lld", round, (long long)at);
      later += to_come != NULL;
    }
  }
  cr_assert_gt(found, 1000);
  cr_assert_gt(later, 1000);
}
