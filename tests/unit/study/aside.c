/* What takes no part is counted by its reason; where a CUSUM restarts at a baseline's edge; the
 * power that a baseline's test states; limits of the past when a chart is added. */
#include "made_ledger.h"

#include <math.h>
#include <stdlib.h>

static void ratio(made_ledger *made, bt_time at, double value) {
  made_check(made, at, BT_READING_TARGET_MJ, 1, BT_READING_ENERGY_MJ, value);
}

/* A service on the baseline's last day, after its last point, begins Phase II with a headstart; one
 * between its points doesn't. */
Test(aside, a_service_after_the_last_point_of_the_baseline_restarts) {
  static const struct {
    int day, hour;
    size_t restarts;
  } row[] = {{59, 12, 1}, {60, 7, 1}, {59, 7, 0}, {30, 12, 0}, {65, 12, 1}};
  for (size_t r = 0; r < sizeof row / sizeof *row; r++) {
    made_ledger made;
    uint64_t state = 3;
    made_begin(&made);
    for (int day = 0; day < 80; day++)
      ratio(&made, made_time(day, 8, 0), 1 + 0.004 * made_normal(&state));
    made_event(&made, made_time(row[r].day, row[r].hour, 0), BT_EVENT_SERVICE);
    made_finish(&made);
    bt_study_request ask = {.characteristic = BT_ENERGY_RATIO,
                            .has_baseline = true,
                            .baseline_from = made_time(0, 0, 0),
                            .baseline_to = made_time(59, 0, 0)};
    bt_unit_study *unit = made_study(&made, ask);
    const bt_study *study = unit->studies[0];
    cr_assert_eq(study->cusum.restarts_n, row[r].restarts, "day %d, %d h", row[r].day, row[r].hour);
    size_t first = row[r].day == 65 ? 66 : 60;
    double start = row[r].restarts > 0 && first == 60 ? 2.5 : 0;
    cr_expect_float_eq(study->cusum.high[60], fmax(0, start + study->z[60] - 0.5), 1e-12);
    cr_expect_float_eq(study->cusum.low[60], fmax(0, start - study->z[60] - 0.5), 1e-12);
    if (row[r].restarts > 0)
      cr_expect_eq(study->cusum.restarts[0].point, first);
    bt_unit_study_free(unit);
    made_end(&made);
  }
}

/* Each reason once or more, by its number; the same within a span. */
Test(aside, each_reason_is_counted) {
  made_ledger made;
  uint64_t state = 9;
  made_begin(&made);
  for (int day = 0; day < 100; day++) {
    if (day % 3 == 0 && day >= 6 && day < 90)
      made_event(&made, made_time(day, 7, 0), BT_EVENT_GAS_REFILL);
    double age = day < 6 ? day : day < 90 ? day % 3 : day - 87;
    double value = 1.02 - 0.004 * age + 0.001 * made_normal(&state);
    ratio(&made, made_time(day, 8, 0), day == 40 ? 0.8 : day == 50 ? 1.06 : value);
    if (day == 40) /* a retest */
      ratio(&made, made_time(day, 8, 20), value);
  }
  bt_check as_left = {.time = made_time(70, 15, 0), .has_clock = true, .state = BT_AS_LEFT};
  as_left.present = 1U << BT_READING_TARGET_MJ | 1U << BT_READING_ENERGY_MJ;
  as_left.reading[BT_READING_TARGET_MJ] = as_left.reading[BT_READING_ENERGY_MJ] = 1;
  made_full_check(&made, as_left);
  made_finish(&made);
  made_tolerance(&made, BT_ENERGY_RATIO, 0.9, 1.1);
  made_freeze(&made, BT_ENERGY_RATIO, 3, 65);
  bt_study_request ask = {.characteristic = BT_ENERGY_RATIO};
  bt_unit_study *unit = made_study(&made, ask);
  const bt_study *study = unit->studies[0];
  cr_assert(bt_study_now(study)->baseline.adjusted);
  bt_left_out out = bt_study_left_out(study, INT64_MIN, INT64_MAX);
  cr_expect_eq(out.retests, 1);
  cr_expect_eq(out.as_left, 1);
  cr_expect_eq(out.failed, 1, "day 40: %zu", out.failed);
  cr_expect_eq(out.beyond, 1, "day 50: %zu", out.beyond);
  cr_expect_eq(out.no_baseline, 3, "days 0 to 2: %zu", out.no_baseline);
  cr_expect_eq(out.unknown_age, 3, "days 3 to 5, before the first refill: %zu", out.unknown_age);
  cr_expect_eq(out.too_old, 9, "days 91 to 99, older than 2 days and one more: %zu", out.too_old);
  out = bt_study_left_out(study, made_time(41, 0, 0), made_time(70, 0, 0));
  cr_expect(out.retests == 0 && out.as_left == 0 && out.failed == 0 && out.beyond == 1 &&
            out.no_baseline == 0 && out.unknown_age == 0 && out.too_old == 0);
  bt_unit_study_free(unit);
  made_end(&made);
}

/* A failed check of unknown fill age, and one beyond 3 sigma in a fill older than all that entered,
 * are left out of the baseline and judged by tolerance only: where they would lie at the mean fill
 * age isn't known. */
Test(aside, what_was_left_out_at_no_known_age_is_judged_by_no_rule) {
  made_ledger made;
  uint64_t state = 9;
  made_begin(&made);
  for (int day = 0; day < 90; day++) {
    bool refilled = day % 3 == 0 && day >= 6 && !(day > 30 && day < 39);
    if (refilled)
      made_event(&made, made_time(day, 7, 0), BT_EVENT_GAS_REFILL);
    if (day > 32 && day < 38) /* nothing between the third day of a fill and its ninth */
      continue;
    double age = day < 6 ? day : day == 38 ? 8 : day % 3;
    double value = 1.02 - 0.004 * age + 0.001 * made_normal(&state);
    ratio(&made, made_time(day, 8, 0), day == 4 ? 0.8 : day == 38 ? 1.06 : value);
  }
  made_finish(&made);
  made_tolerance(&made, BT_ENERGY_RATIO, 0.9, 1.1);
  made_freeze(&made, BT_ENERGY_RATIO, 0, 65);
  bt_study_request ask = {.characteristic = BT_ENERGY_RATIO};
  bt_unit_study *unit = made_study(&made, ask);
  const bt_study *study = unit->studies[0];
  const bt_segment *segment = bt_study_now(study);
  cr_assert(segment->baseline.adjusted);
  cr_assert_eq(segment->exclusions_n, 2);
  for (size_t e = 0; e < 2; e++) {
    size_t p = segment->exclusions[e].point;
    bool failed = study->points.at[p] == made_time(4, 8, 0);
    cr_assert(failed || study->points.at[p] == made_time(38, 8, 0));
    cr_expect((study->points.flags[p] & BT_POINT_SCREENED) != 0);
    cr_expect_eq(study->judged[p], 0, "%s", failed ? "unknown age" : "too old");
    cr_expect_eq(study->rules[BT_LOW][p], failed ? BT_TOLERANCE_FAILED : 0);
    cr_expect_eq(study->rules[BT_HIGH][p], 0);
  }
  bt_unit_study_free(unit);
  made_end(&made);
}

/* Levels of fills of 4 alike checks scatter half as much as checks do: what their test finds is
 * stated in sigma of the chart. */
Test(aside, the_power_is_in_sigma_of_the_chart) {
  enum { FILLS = 30, DAYS = 4 * FILLS };
  made_ledger made;
  uint64_t state = 21;
  double level[FILLS] = {0};
  uint8_t use[FILLS];
  bt_error error = {0};
  made_begin(&made);
  for (int day = 0; day < DAYS; day++) {
    if (day % 4 == 0)
      made_event(&made, made_time(day, 7, 0), BT_EVENT_GAS_REFILL);
    ratio(&made, made_time(day, 8, 0), 1.02 - 0.01 * (day % 4) + 0.002 * made_normal(&state));
  }
  made_finish(&made);
  bt_study_request ask = {.characteristic = BT_ENERGY_RATIO,
                          .has_baseline = true,
                          .baseline_from = made_time(0, 0, 0),
                          .baseline_to = made_time(DAYS - 1, 0, 0)};
  bt_unit_study *unit = made_study(&made, ask);
  const bt_study *study = unit->studies[0];
  const bt_segment *now = bt_study_now(study);
  cr_assert(now->baseline.adjusted);
  for (int day = 0; day < DAYS; day++) {
    level[day / 4] += study->points.value[day] / 4;
    use[day / 4] = 1;
  }
  bt_stability plain;
  bt_individuals of_levels;
  cr_assert_eq(bt_stability_test(level, use, FILLS, &plain, &error), BT_OK, "%s", error.text);
  cr_assert_eq(bt_individuals_fit(level, use, FILLS, &of_levels, &error), BT_OK, "%s", error.text);
  double expected = plain.detectable * of_levels.sigma / now->chart.sigma;
  cr_assert_float_eq(now->stability.detectable, expected, 1e-9);
  cr_assert_lt(now->stability.detectable, 0.75 * plain.detectable,
               "levels of four scatter about half as much");
  bt_unit_study_free(unit);
  made_end(&made);
}

static void put(bt_check *check, bt_reading reading, double value) {
  check->present |= 1U << reading;
  check->reading[reading] = value;
}

/* The spread is logged from day `spread_from` on. Two baselines of the energy. */
static bt_alarm_limits first_limits(int spread_from, bt_alarm_limits *newest) {
  made_ledger made;
  uint64_t energy = 15, spread = 16;
  made_begin(&made);
  for (int day = 0; day < 260; day++) {
    bt_check check = {.time = made_time(day, 8, 0), .has_clock = true};
    put(&check, BT_READING_TARGET_MJ, 1);
    put(&check, BT_READING_ENERGY_MJ, 1 + 0.004 * made_normal(&energy));
    if (day >= spread_from)
      put(&check, BT_READING_ENERGY_SD_PCT, 2 + 0.1 * made_normal(&spread));
    made_full_check(&made, check);
  }
  made_finish(&made);
  made_freeze(&made, BT_ENERGY_RATIO, 0, 59);
  made_freeze(&made, BT_ENERGY_RATIO, 120, 179);
  bt_study_request ask = {.characteristic = BT_ENERGY_RATIO};
  bt_unit_study *unit = made_study(&made, ask);
  cr_assert_eq(unit->studies[0]->segments_n, 2);
  bt_alarm_limits found = unit->studies[0]->segments[0].alarm;
  *newest = unit->studies[0]->segments[1].alarm;
  bt_unit_study_free(unit);
  made_end(&made);
  return found;
}

/* A chart that is added after a baseline's span leaves that baseline's limits alone; those in force
 * share the budget with it. */
Test(aside, a_chart_added_later_leaves_past_limits_alone) {
  bt_alarm_limits newest_alone, newest_both;
  bt_alarm_limits alone = first_limits(1000, &newest_alone),
                  later = first_limits(150, &newest_both);
  cr_assert_eq(alone.charts, 1);
  cr_assert_eq(later.charts, 1);
  cr_assert(later.limit == alone.limit && later.h == alone.h);
  cr_assert_eq(newest_alone.charts, 1);
  cr_assert_eq(newest_both.charts, 2);
  cr_assert_gt(newest_both.limit, newest_alone.limit);
  bt_alarm_limits newest;
  bt_alarm_limits before = first_limits(80, &newest);
  cr_assert_eq(before.charts, 2, "it was there before the span ended");
}
