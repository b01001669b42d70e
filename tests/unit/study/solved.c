/* Alarm limits that are solved once for several units: what a unit gets is what it would get alone.
 */
#include "made_ledger.h"

static bt_error error;

enum { DAYS = 90 };

/* Energy and tracker, every `step` days. */
static void unit_of(made_ledger *made, int step) {
  uint64_t state = 7;
  made_begin(made);
  for (int day = 0; day < DAYS * step; day += step) {
    bt_check check = {.time = made_time(day, 8, 0), .has_clock = true};
    const double value[][2] = {{BT_READING_TARGET_MJ, 1.5},
                               {BT_READING_ENERGY_MJ, 1.5 + 0.006 * made_normal(&state)},
                               {BT_READING_OFFSET_X_UM, made_normal(&state)},
                               {BT_READING_OFFSET_Y_UM, made_normal(&state)}};
    for (size_t k = 0; k < sizeof value / sizeof *value; k++) {
      check.present |= 1U << (int)value[k][0];
      check.reading[(int)value[k][0]] = value[k][1];
    }
    made_full_check(made, check);
  }
  made_finish(made);
}

static bt_unit_study *study(made_ledger *made, bt_solved_limits *solved) {
  bt_study_request ask = {.unit = "Unit A", .until = made_time(400, 0, 0), .solved = solved};
  bt_unit_study *unit;
  cr_assert_eq(bt_study_unit(made->ledger, &ask, &unit, &error), BT_OK, "%s", error.text);
  return unit;
}

static size_t same_limits(const bt_unit_study *a, const bt_unit_study *b) {
  size_t given = 0;
  cr_assert_eq(a->studies_n, b->studies_n);
  for (size_t s = 0; s < a->studies_n; s++) {
    const bt_alarm_limits *x = &bt_study_now(a->studies[s])->alarm;
    const bt_alarm_limits *y = &bt_study_now(b->studies[s])->alarm;
    cr_assert(x->given == y->given && x->n == y->n && x->charts == y->charts);
    cr_assert(x->limit == y->limit && x->h == y->h && x->t2_limit == y->t2_limit);
    cr_assert(x->share_a_year == y->share_a_year && x->low == y->low && x->high == y->high);
    cr_assert(x->budget_a_year == y->budget_a_year && x->checks_a_year == y->checks_a_year);
    given += x->given;
  }
  return given;
}

Test(solved, a_unit_gets_what_it_would_get_alone) {
  bt_solved_limits solved = {0};
  size_t known[3];
  for (int turn = 0; turn < 3; turn++) { /* the last unit is like the first */
    made_ledger made;
    unit_of(&made, 1 + turn % 2);
    bt_unit_study *alone = study(&made, NULL), *beside = study(&made, &solved);
    cr_assert_eq(same_limits(alone, beside), 4);
    known[turn] = solved.n;
    bt_unit_study_free(alone);
    bt_unit_study_free(beside);
    made_end(&made);
  }
  cr_assert(known[0] > 0);
  cr_assert_gt(known[1], known[0], "another rate of checking is another problem");
  cr_assert_eq(known[2], known[1], "a unit like one before has nothing solved");
  bt_solved_limits_free(&solved);
  cr_assert(solved.n == 0 && solved.limit == NULL);
}
