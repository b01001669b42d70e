/* Verdicts, worst first; the unit's self-test, currency, and the worst of its characteristics. */
#include "made_ledger.h"

#include <stdlib.h>

enum { POINTS = 20 };

/* A study of 20 judged points that can be given a tolerance, an open episode, a failed check. */
typedef struct made_up {
  bt_study study;
  uint8_t judged[POINTS];
  uint16_t flags[POINTS];
  bt_segment segment;
  uint8_t strength[POINTS];
  bt_tolerance tolerance;
} made_up;

static void make_up(made_up *made, bt_characteristic characteristic) {
  *made = (made_up){.segment = {.to = POINTS, .state = BT_CHART_DRAWN}};
  made->study.characteristic = characteristic;
  made->study.points.n = POINTS;
  made->study.points.flags = made->flags;
  for (int p = 0; p < POINTS; p++)
    made->judged[p] = 1;
  made->study.judged = made->judged;
  made->study.segments_n = 1;
  made->study.segments = &made->segment;
  made->study.strength = made->strength;
}

Test(verdict, of_a_characteristic_worst_first) {
  made_up made;
  make_up(&made, BT_ENERGY_RATIO);
  cr_assert_eq(study_verdict(&made.study), BT_VERDICT_NO_TOLERANCE);
  made.study.tolerance.now = &made.tolerance;
  cr_assert_eq(study_verdict(&made.study), BT_VERDICT_NO_SIGNAL);
  made.segment.state = BT_CHART_TOO_FEW;
  cr_assert_eq(study_verdict(&made.study), BT_VERDICT_NO_BASELINE);
  made.segment.state = BT_CHART_DRAWN;
  made.flags[POINTS - 1] = BT_POINT_OTHER_TARGET;
  cr_assert_eq(study_verdict(&made.study), BT_VERDICT_NO_BASELINE, "of the newest point's target");
  made.strength[POINTS - 2] = BT_NOTICE;
  cr_assert_eq(study_verdict(&made.study), BT_VERDICT_NOTICE, "which hides nothing that is open");
  made.strength[POINTS - 2] = BT_QUIET;
  made.flags[POINTS - 1] = 0;

  made.strength[11] = BT_ALARM;
  cr_assert_eq(study_verdict(&made.study), BT_VERDICT_NO_SIGNAL, "8 quiet points have passed");
  made.strength[12] = BT_NOTICE;
  cr_assert_eq(study_verdict(&made.study), BT_VERDICT_NOTICE);
  made.strength[19] = BT_ALARM;
  cr_assert_eq(study_verdict(&made.study), BT_VERDICT_ALARM);
  made.study.tolerance.last_is_outside = true;
  cr_assert_eq(study_verdict(&made.study), BT_VERDICT_OUT_OF_TOLERANCE);

  make_up(&made, BT_TEMPERATURE);
  cr_assert_eq(study_verdict(&made.study), BT_VERDICT_NO_SIGNAL, "a room condition is only shown");
}

/* A notice on a characteristic without tolerance is not hidden by the missing tolerance. */
Test(verdict, of_a_unit) {
  made_up energy, spread, room;
  make_up(&energy, BT_ENERGY_RATIO);
  make_up(&spread, BT_ENERGY_SPREAD);
  make_up(&room, BT_TEMPERATURE);
  bt_study *studies[] = {&energy.study, &spread.study, &room.study};
  bt_unit_study unit = {.studies_n = 3, .studies = studies, .current = true};
  for (int i = 0; i < 3; i++)
    studies[i]->verdict = study_verdict(studies[i]);
  study_unit_verdict(&unit);
  cr_assert_eq(unit.verdict, BT_VERDICT_NO_TOLERANCE);

  energy.study.tolerance.now = &energy.tolerance;
  energy.study.verdict = study_verdict(&energy.study);
  study_unit_verdict(&unit);
  cr_assert_eq(unit.verdict, BT_VERDICT_NO_SIGNAL);

  spread.strength[15] = BT_NOTICE;
  spread.study.verdict = study_verdict(&spread.study);
  study_unit_verdict(&unit);
  cr_assert_eq(unit.verdict, BT_VERDICT_NOTICE);

  unit.current = false;
  study_unit_verdict(&unit);
  cr_assert_eq(unit.verdict, BT_VERDICT_NO_CURRENT_CHECK);
  unit.selftest.last_failed = true;
  study_unit_verdict(&unit);
  cr_assert_eq(unit.verdict, BT_VERDICT_SELFTEST_FAILED);
  energy.study.verdict = BT_VERDICT_OUT_OF_TOLERANCE;
  study_unit_verdict(&unit);
  cr_assert_eq(unit.verdict, BT_VERDICT_OUT_OF_TOLERANCE);
}

static void selftest_check(made_ledger *made, bt_time at, double passed) {
  made_check(made, at, BT_READING_SELFTEST_PASSED, passed, BT_READING_SELFTEST_TOTAL, 9);
}

Test(verdict, selftest_and_currency_through_the_ledger) {
  made_ledger made;
  bt_error error;
  made_begin(&made);
  selftest_check(&made, made_time(0, 8, 0), 9);
  selftest_check(&made, made_time(1, 8, 0), 8);
  selftest_check(&made, made_time(1, 8, 30), 9);
  selftest_check(&made, made_time(2, 8, 0), 7);
  made_finish(&made);
  static const struct {
    int until;
    size_t n, failed;
    bool last_failed, current;
  } table[] = {{1, 1, 0, false, true},
               {2, 3, 1, false, true},
               {3, 4, 2, true, true},
               {9, 4, 2, true, true},
               {10, 4, 2, true, false}};
  for (size_t i = 0; i < sizeof table / sizeof *table; i++) {
    bt_study_request request = {.unit = "unit a", .until = made_time(table[i].until, 0, 0)};
    bt_unit_study *unit;
    cr_assert_eq(bt_study_unit(made.ledger, &request, &unit, &error), BT_OK, "%s", error.text);
    cr_assert_eq(unit->selftest.n, table[i].n);
    cr_assert_eq(unit->selftest.failed, table[i].failed);
    cr_assert_eq(unit->selftest.last_failed, table[i].last_failed);
    cr_assert_eq(unit->current, table[i].current, "row %zu", i);
    bt_unit_study_free(unit);
  }
  bt_study_request request = {
      .unit = "Unit A", .until = made_time(9, 0, 0), .only_one = true, .characteristic = BT_DEMAND};
  bt_unit_study *unit;
  cr_assert_eq(bt_study_unit(made.ledger, &request, &unit, &error), BT_NOTFOUND);
  request.unit = "Unit B";
  cr_assert_eq(bt_study_unit(made.ledger, &request, &unit, &error), BT_NOTFOUND);
  made_end(&made);
}

/* R3 of unit.c: two characteristics, the second not read any more; a check is expected within 7
 * days, or more where the settings say so. */
Test(verdict, a_characteristic_that_nobody_reads) {
  static const struct {
    int until;
    double expected;
    int64_t days;
  } table[] = {{40, 0, 0}, {44, 0, 0}, {45, 0, 15}, {50, 0, 20}, {50, 20, 0}, {50, 19, 20}};
  char name[] = "Unit A";
  made_ledger made;
  bt_error error;
  made_begin(&made);
  for (int day = 0; day < 60; day++)
    made_check(&made, made_time(day, 8, 0), BT_READING_OFFSET_X_UM, day % 5,
               day < 30 ? BT_READING_OFFSET_Y_UM : BT_READING_COUNT, day % 7);
  made_finish(&made);
  for (size_t i = 0; i < sizeof table / sizeof *table; i++) {
    bt_unit_setting setting = {.name = name, .expected_days = table[i].expected};
    bt_settings settings = {.units_n = 1, .units = &setting, .alarms_per_unit_year = 1};
    cr_assert_eq(
        bt_ledger_add_settings(made.ledger, &settings, "KL", "a test", made_time(0, 0, 0), &error),
        BT_OK, "%s", error.text);
    bt_study_request request = {.unit = "Unit A", .until = made_time(table[i].until, 0, 0)};
    bt_unit_study *unit;
    cr_assert_eq(bt_study_unit(made.ledger, &request, &unit, &error), BT_OK, "%s", error.text);
    cr_expect_eq(bt_unit_study_of(unit, BT_TRACKER_X)->stale_days, 0, "row %zu", i);
    cr_expect_eq(bt_unit_study_of(unit, BT_TRACKER_Y)->stale_days, table[i].days, "row %zu", i);
    bt_unit_study_free(unit);
  }
  made_end(&made);
}
