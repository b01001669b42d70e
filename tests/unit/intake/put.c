/* One KEY=VALUE into a check, as `record` and `correct` take it. */
#include "beamtally/intake.h"

#include <criterion/criterion.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

static bt_own_characteristic own[] = {
    {(char[]){"door_force"}, (char[]){"Door closing force"}, (char[]){"N"}, 1},
    {(char[]){"homogeneity"}, (char[]){"Homogeneity"}, (char[]){""}, 2}};

static void put(bt_check *check, const char *key_value) {
  bt_error error = {0};
  cr_assert_eq(bt_check_put(check, key_value, own, 2, &error), BT_OK, "%s: %s", key_value,
               error.text);
}

Test(intake_put, what_a_check_holds) {
  bt_check check = {0};
  put(&check, "energy_mj=1.61");
  put(&check, " offset_x_um = -3 ");
  put(&check, "target_mj=-0");
  put(&check, "selftest_passed=17/18");
  put(&check, "pattern=i.O. = gut");
  put(&check, "remark=Süd, \"leise\"");
  put(&check, "selftest_failed=none");
  put(&check, "state=as-left");
  put(&check, "refill=before");
  put(&check, "door_force=35.5");
  put(&check, "homogeneity=-0.25");
  put(&check, "door_force=36");
  cr_expect_eq(check.reading[BT_READING_ENERGY_MJ], 1.61);
  cr_expect_eq(check.reading[BT_READING_OFFSET_X_UM], -3.0);
  cr_expect(!signbit(check.reading[BT_READING_TARGET_MJ]));
  cr_expect_eq(check.present, 1U << BT_READING_ENERGY_MJ | 1U << BT_READING_OFFSET_X_UM |
                                  1U << BT_READING_TARGET_MJ | 1U << BT_READING_SELFTEST_PASSED |
                                  1U << BT_READING_SELFTEST_TOTAL);
  cr_expect_eq(check.reading[BT_READING_SELFTEST_PASSED], 17.0);
  cr_expect_eq(check.reading[BT_READING_SELFTEST_TOTAL], 18.0);
  cr_expect_str_eq(check.text[BT_FIELD_PATTERN], "i.O. = gut", "only the first = parts");
  cr_expect_str_eq(check.text[BT_FIELD_REMARK], "Süd, \"leise\"");
  cr_expect_null(check.text[BT_FIELD_SELFTEST_FAILED]);
  cr_expect_eq(check.state, BT_AS_LEFT);
  cr_expect_eq(check.refill, BT_REFILL_BEFORE);
  cr_assert_eq(check.own_n, 2);
  cr_expect_str_eq(check.own[0].key, "door_force");
  cr_expect_eq(check.own[0].value, 36.0);
  cr_expect_str_eq(check.own[1].key, "homogeneity");
  cr_expect_eq(check.own[1].value, -0.25);
  bt_check_free(&check);
}

Test(intake_put, an_empty_value_takes_out) {
  static const char *const keys[] = {"energy_mj", "pattern",    "state",       "refill",
                                     "remark",    "door_force", "homogeneity", "selftest_passed"};
  bt_check check = {0};
  put(&check, "energy_mj=1.61");
  put(&check, "pattern=pass");
  put(&check, "state=as_found");
  put(&check, "refill=after");
  put(&check, "door_force=1");
  put(&check, "homogeneity=2");
  for (size_t i = 0; i < sizeof keys / sizeof *keys; i++) {
    char word[64];
    (void)snprintf(word, sizeof word, "%s=", keys[i]);
    put(&check, word);
  }
  cr_expect_eq(check.present, 0);
  cr_expect_null(check.text[BT_FIELD_PATTERN]);
  cr_expect(check.state == BT_STATE_NONE && check.refill == BT_REFILL_NONE && check.own_n == 0);
  bt_check_free(&check);
}

/* As a log's cell: else an export would not come back as the same texts. */
Test(intake_put, a_text_is_kept_as_that_of_a_log) {
  static const char *const typed[][2] = {{"remark=\u00a0 late\u00a0\n", "late"},
                                         {"remark=one\r\ntwo\rthree", "one\ntwo\nthree"},
                                         {"remark=n/a but seen", "n/a but seen"},
                                         {"remark=NA", NULL},
                                         {"remark=n/a", NULL},
                                         {"remark=-", NULL},
                                         {"remark= \u00a0", NULL}};
  for (size_t i = 0; i < sizeof typed / sizeof typed[0]; i++) {
    bt_check check = {0};
    put(&check, "remark=before");
    put(&check, typed[i][0]);
    const char *kept = check.text[BT_FIELD_REMARK];
    cr_expect(typed[i][1] == NULL ? kept == NULL : kept != NULL && strcmp(kept, typed[i][1]) == 0,
              "%s: %s", typed[i][0], kept == NULL ? "nothing" : kept);
    bt_check_free(&check);
  }
}

Test(intake_put, mistakes_change_nothing) {
  static const struct {
    const char *word, *says;
  } table[] = {
      {"energy_mj", "\"energy_mj\": expected KEY=VALUE, such as energy_mj=1.61"},
      {"=1.61", "\"=1.61\": expected KEY=VALUE"},
      {"enrgy_mj=1.61", "a key that isn't known: \"enrgy_mj\"; the nearest is energy_mj"},
      {"dor_force=1", "a key that isn't known: \"dor_force\"; the nearest is door_force"},
      {"energy_mj=1,610", "energy_mj=1,610: 1,610 can be 1.610 or, with thousands, 1610; write"},
      {"energy_mj=1,61,2", "is no number"},
      {"energy_mj=1,", "\"1,\" is no number such as 1.61"},
      {"energy_mj=1.61 mJ", "is no number such as 1.61 (or 1,61), which stands without its unit"},
      {"energy_mj=NA", "is no number such as 1.61 (or 1,61), which stands without its unit"},
      {"energy_mj=-1", "energy_mj=-1: a value below zero is not possible here"},
      {"energy_mj=1e12", "energy_mj=1e12: the number is larger than any instrument reads"},
      {"energy_mj=inf", "is no number such as 1.61 (or 1,61), which stands without its unit"},
      {"energy_mj=17/18", "is no number such as 1.61 (or 1,61), which stands without its unit"},
      {"selftest_passed=17/", "is no number such as 1.61 (or 1,61), which stands without its unit"},
      {"selftest_passed=1.5", "selftest_passed=1.5: expected a whole number"},
      {"selftest_total=17.25", "selftest_total=17.25: expected a whole number"},
      {"door_force=heavy", "door_force=heavy: \"heavy\" is no number such as 1.61"},
      {"state=new", "state=new: expected as_found or as_left"},
      {"refill=yes", "refill=yes: expected before or after"},
      {"unit=A", "\"unit\" is no reading: --unit and --at say"},
      {"date=2026-08-17", "\"date\" is no reading: --unit and --at say"},
      {"event=service", "a key that isn't known: \"event\""},
      {"value=1", "a key that isn't known: \"value\""},
      {"remark=\xFF", "a reading is not valid UTF-8"},
  };
  bt_check check = {0};
  put(&check, "energy_mj=2");
  put(&check, "door_force=3");
  put(&check, "state=as_found");
  for (size_t i = 0; i < sizeof table / sizeof *table; i++) {
    bt_error error = {0};
    cr_expect_eq(bt_check_put(&check, table[i].word, own, 2, &error), BT_INPUT, "%s",
                 table[i].word);
    cr_expect_not_null(strstr(error.text, table[i].says), "%s: %s", table[i].word, error.text);
  }
  cr_expect(check.present == 1U << BT_READING_ENERGY_MJ && check.own_n == 1);
  cr_expect(check.reading[BT_READING_ENERGY_MJ] == 2.0 && check.own[0].value == 3.0);
  cr_expect_eq(check.state, BT_AS_FOUND);
  bt_check_free(&check);
}
