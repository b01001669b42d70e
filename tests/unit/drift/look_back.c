/* Look-back by hand-written histories: one check at 8:00 and one at 17:00 a day. */
#include "beamtally/drift.h"

#include <criterion/criterion.h>

enum { CHECKS = 20 };

typedef struct log_of {
  bt_time at[CHECKS];
  uint8_t outside[CHECKS];
  bt_time day[CHECKS];
} log_of;

static const bt_time start = (bt_time)20000 * BT_DAY;

static log_of daily(void) {
  log_of made = {0};
  for (int i = 0; i < CHECKS; i++)
    made.at[i] = start + i / 2 * BT_DAY + (i % 2 == 0 ? 8 : 17) * BT_HOUR;
  return made;
}

static bt_look_back look_back(log_of *of, bt_time earliest, const bt_event *events, size_t n) {
  return bt_look_back_find(of->at, of->outside, CHECKS, earliest, events, n, of->day);
}

Test(look_back, L1_L2_to_the_end) {
  log_of made = daily();
  bt_look_back found = look_back(&made, start + 4 * BT_DAY, NULL, 0);
  cr_expect_eq(found.last_good, 7, "17:00 of day 3");
  cr_assert_eq(found.days, 6);
  for (size_t d = 0; d < found.days; d++)
    cr_expect_eq(made.day[d], start + (bt_time)(4 + d) * BT_DAY);
  cr_expect(found.event == BT_NONE && found.restored == BT_NONE);

  made.outside[6] = made.outside[7] = 1;
  found = look_back(&made, start + 4 * BT_DAY, NULL, 0);
  cr_expect(found.last_good == 5 && found.days == 7 && made.day[0] == start + 3 * BT_DAY);
  found = look_back(&made, made.at[5], NULL, 0);
  cr_expect_eq(found.last_good, 4, "a check at the earliest date isn't before it");
  cr_expect(found.days == 8 && made.day[0] == start + 2 * BT_DAY, "its day has a check after it");
}

Test(look_back, L2_L3_until_restored) {
  log_of made = daily();
  bt_event events[] = {
      {.time = start + 3 * BT_DAY, .kind = BT_EVENT_SERVICE}, /* before the change */
      {.time = start + 5 * BT_DAY, .kind = BT_EVENT_GAS_REFILL},
      {.time = start + 6 * BT_DAY + 12 * BT_HOUR, .kind = BT_EVENT_OPTICS_CLEANED},
      {.time = start + 8 * BT_DAY, .kind = BT_EVENT_SERVICE},
  };
  bt_look_back found = look_back(&made, start + 4 * BT_DAY, events, 4);
  cr_expect(found.event == 2 && found.restored == 13 && found.days == 3);
  cr_expect_eq(made.day[2], start + 6 * BT_DAY, "8:00 of day 6 came before the cleaning");
  made.outside[13] = made.outside[14] = 1; /* the cleaning didn't help at once */
  found = look_back(&made, start + 4 * BT_DAY, events, 4);
  cr_expect(found.event == 2 && found.restored == 15 && found.days == 4);
  for (int i = 13; i < CHECKS; i++)
    made.outside[i] = 1;
  found = look_back(&made, start + 4 * BT_DAY, events, 4);
  cr_expect(found.restored == BT_NONE && found.days == 6);
}

Test(look_back, L4_nothing_good_before_or_no_checks) {
  log_of made = daily();
  bt_look_back found = look_back(&made, start, NULL, 0);
  cr_expect(found.last_good == BT_NONE && found.days == 10 && made.day[0] == start);
  found = bt_look_back_find(made.at, made.outside, 1, start, NULL, 0, made.day);
  cr_expect(found.days == 1 && made.day[0] == start, "the first check counts");
  found = bt_look_back_find(made.at, made.outside, 5, made.at[9], NULL, 0, made.day);
  cr_expect(found.last_good == 4 && found.days == 0, "none but the checks given count");
  found = bt_look_back_find(made.at, made.outside, 0, start, NULL, 0, made.day);
  cr_expect(found.last_good == BT_NONE && found.days == 0);
}
