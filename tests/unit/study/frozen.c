/* What is frozen stays: late rows, later versions, other derivations, the raw series. */
#include "made_ledger.h"

#include <stdlib.h>

#include <math.h>
#include <string.h>

static bt_error error;

/* Ten days of checks more, of the same unit and period, with a wild radius; as a second log. */
static void late_rows(made_ledger *made, int day, int n, bt_reading first, double a,
                      bt_reading second, double b) {
  bt_source source = {.name = "late.csv", .sha256 = {1}, .reading = "by hand"};
  bool repeated;
  cr_assert_eq(bt_import_begin(made->ledger, &source, NULL, false, made_time(0, 0, 0),
                               &made->import, &repeated, &error),
               BT_OK, "%s", error.text);
  for (int i = 0; i < n; i++)
    made_check(made, made_time(day + i, 14, 0), first, a, second, b);
  made_finish(made);
}

static double wobble(int day, int size) {
  return (day * 37) % (2 * size + 1) - size;
}

/* Three wild readings in twenty are more than one in ten and entered the baseline when it was
 * frozen: none of them is called left out afterwards, though all lie beyond its limits or would
 * have been next to. One in twenty was left out, and stays so. */
Test(frozen, what_entered_is_not_called_left_out) {
  for (int wild = 1; wild <= 3; wild += 2) {
    made_ledger made;
    made_begin(&made);
    for (int day = 0; day < 60; day++)
      made_check(&made, made_time(day, 8, 0), BT_READING_OFFSET_X_UM,
                 day % 20 >= 8 && day % 20 < 8 + wild ? 80 : (day * 7) % 5, BT_READING_OFFSET_Y_UM,
                 0);
    made_finish(&made);
    (void)made_freeze(&made, BT_TRACKER_X, 0, 59);
    bt_unit_study *unit = made_study(&made, (bt_study_request){.characteristic = BT_TRACKER_X});
    const bt_study *study = unit->studies[0];
    const bt_segment *now = bt_study_now(study);
    cr_assert_eq(now->baseline.version, 1);
    cr_assert_not(now->refit.differs);
    cr_expect_eq(now->exclusions_n, wild == 1 ? 3 : 0, "%zu", now->exclusions_n);
    cr_expect_eq(now->baseline.n + (int64_t)now->exclusions_n, 60);
    cr_expect_eq(now->screen_stopped, wild == 3);
    cr_expect_eq(now->autocorrelation.n, (size_t)now->baseline.n);
    cr_expect_eq((study->points.flags[28] & BT_POINT_SCREENED) != 0, wild == 1);
    cr_expect((study->rules[BT_HIGH][28] & BT_WE1) != 0, "beyond 3 sigma either way");
    /* A tolerance entered later, which many of its checks fail: the list is the one of the freeze,
     * with its causes. */
    made_tolerance(&made, BT_TRACKER_X, -5, 2.5);
    bt_unit_study *later = made_study(&made, (bt_study_request){.characteristic = BT_TRACKER_X});
    const bt_segment *same = bt_study_now(later->studies[0]);
    cr_expect(same->refit.differs);
    cr_assert_eq(same->exclusions_n, now->exclusions_n);
    for (size_t e = 0; e < same->exclusions_n; e++) {
      cr_expect_eq(same->exclusions[e].point, 8 + 20 * e);
      cr_expect_eq(same->exclusions[e].pass, 1);
      cr_expect_float_eq(same->exclusions[e].z, now->exclusions[e].z, 0);
      cr_expect_gt(same->exclusions[e].z, 3);
    }
    bt_unit_study_free(later);
    bt_unit_study_free(unit);
    made_end(&made);
  }
}

Test(frozen, the_radius_limit_stays) {
  made_ledger made;
  made_begin(&made);
  for (int day = 0; day < 40; day++)
    made_check(&made, made_time(day, 8, 0), BT_READING_OFFSET_X_UM, wobble(day, 5),
               BT_READING_OFFSET_Y_UM, wobble(day * 3 + 1, 4));
  made_finish(&made);
  (void)made_freeze(&made, BT_TRACKER_RADIAL, 0, 29);
  bt_study_request ask = {.characteristic = BT_TRACKER_RADIAL};
  bt_unit_study *before = made_study(&made, ask);
  late_rows(&made, 5, 10, BT_READING_OFFSET_X_UM, 60, BT_READING_OFFSET_Y_UM, 60);
  bt_unit_study *after = made_study(&made, ask);
  double limit = bt_study_now(before->studies[0])->radial.limit;
  cr_assert_gt(limit, 5);
  cr_assert_float_eq(bt_study_now(after->studies[0])->radial.limit, limit, 1e-12);
  cr_assert((after->studies[0]->rules[BT_HIGH][5] & BT_WE1) != 0);
  bt_unit_study_free(before);
  bt_unit_study_free(after);
  made_end(&made);
}

Test(frozen, a_stated_centre_is_refused_for_the_radius) {
  made_ledger made;
  made_begin(&made);
  made_check(&made, made_time(0, 8, 0), BT_READING_OFFSET_X_UM, 1, BT_READING_OFFSET_Y_UM, 1);
  made_finish(&made);
  bt_study_request ask = {.unit = "Unit A",
                          .until = made_time(9, 0, 0),
                          .only_one = true,
                          .characteristic = BT_TRACKER_RADIAL,
                          .has_centre = true,
                          .has_sigma = true,
                          .sigma = 1};
  bt_unit_study *unit;
  cr_assert_eq(bt_study_unit(made.ledger, &ask, &unit, &error), BT_USAGE);
  made_end(&made);
}

/* Refills every third day, 0.01 lost a day: the slope and mean age that are applied are the frozen
 * ones, and they are what the finding says, whatever rows come later. */
Test(frozen, slope_and_ages_stay_and_are_what_is_said) {
  made_ledger made;
  made_begin(&made);
  for (int day = 0; day < 60; day++) {
    if (day % 3 == 0)
      made_event(&made, made_time(day, 7, 0), BT_EVENT_GAS_REFILL);
    made_check(&made, made_time(day, 8, 0), BT_READING_TARGET_MJ, 1, BT_READING_ENERGY_MJ,
               1.01 - 0.01 * (day % 3) + 0.0004 * wobble(day, 5));
  }
  made_finish(&made);
  (void)made_freeze(&made, BT_ENERGY_RATIO, 0, 44);
  bt_study_request ask = {.characteristic = BT_ENERGY_RATIO};
  bt_unit_study *before = made_study(&made, ask);
  bt_segment was = *bt_study_now(before->studies[0]);
  cr_assert(was.baseline.adjusted);
  late_rows(&made, 0, 45, BT_READING_TARGET_MJ, 1, BT_READING_ENERGY_MJ, 1.03);
  bt_unit_study *after = made_study(&made, ask);
  const bt_segment *now = bt_study_now(after->studies[0]);
  cr_assert_eq(now->slope.use, BT_AGE_USED);
  cr_assert_float_eq(now->slope.per_day, was.slope.per_day, 1e-15);
  cr_assert_float_eq(now->slope.low, was.slope.low, 1e-15);
  cr_assert_float_eq(now->slope.mean_age_days, was.slope.mean_age_days, 1e-15);
  cr_assert_eq(now->slope.fills, was.slope.fills);
  cr_assert_float_eq(now->chart.centre, was.chart.centre, 1e-15);
  cr_assert_float_eq(now->chart.sigma, was.chart.sigma, 1e-15);

  ask.series = BT_SERIES_RAW;
  bt_unit_study *raw = made_study(&made, ask);
  now = bt_study_now(raw->studies[0]);
  cr_assert_not(raw->studies[0]->adjusted, "asked for raw, given raw");
  cr_assert_eq(now->baseline.version, 0, "the frozen limits are not those of the raw series");
  cr_assert_eq(now->baseline.from, was.baseline.from);
  cr_assert_gt(now->chart.sigma, was.chart.sigma);
  bt_unit_study_free(before);
  bt_unit_study_free(after);
  bt_unit_study_free(raw);
  made_end(&made);
}

static void x_days(made_ledger *made, int days) {
  made_begin(made);
  for (int day = 0; day < days; day++)
    made_check(made, made_time(day, 8, 0), BT_READING_OFFSET_X_UM, wobble(day, 5), BT_READING_COUNT,
               0);
  made_finish(made);
}

/* A later version that begins before takes the whole stretch over; one that begins inside leaves
 * the earlier days to the one before, even if too few points of that are left to fit it anew. */
Test(frozen, later_versions_take_over_from_their_first_day) {
  made_ledger made;
  x_days(&made, 80);
  bt_study_request ask = {.characteristic = BT_TRACKER_X};
  (void)made_freeze(&made, BT_TRACKER_X, 30, 49);
  (void)made_freeze(&made, BT_TRACKER_X, 34, 60);
  bt_unit_study *unit = made_study(&made, ask);
  const bt_study *study = unit->studies[0];
  cr_assert_eq(study->segments_n, 2);
  cr_assert_eq(study->segments[0].baseline.n, 20);
  cr_assert_eq(study->segments[0].state, BT_CHART_DRAWN);
  cr_assert_eq(study->judged[31], 2);
  bt_unit_study_free(unit);

  (void)made_freeze(&made, BT_TRACKER_X, 10, 70);
  unit = made_study(&made, ask);
  study = unit->studies[0];
  cr_assert_eq(study->segments_n, 1);
  cr_assert_eq(study->segments[0].baseline.version, 3);
  bt_unit_study_free(unit);

  /* As of a day within the last period, the baseline that had ended by then. */
  ask.until = made_time(65, 0, 0);
  unit = made_study(&made, ask);
  cr_assert_eq(bt_study_now(unit->studies[0])->baseline.version, 2);
  bt_unit_study_free(unit);
  made_end(&made);
}

/* 0.9 of centre stated, without 8 points to take sigma from: there is still no chart. */
Test(frozen, half_a_statement_needs_a_baseline) {
  made_ledger made;
  x_days(&made, 7);
  bt_study_request ask = {.characteristic = BT_TRACKER_X, .has_sigma = true, .sigma = 0.5};
  bt_unit_study *unit = made_study(&made, ask);
  cr_assert_eq(bt_study_now(unit->studies[0])->state, BT_CHART_TOO_FEW);
  cr_assert_eq(unit->studies[0]->judged[0], 0);
  bt_unit_study_free(unit);
  made_end(&made);
}

/* Sigma still comes from the baseline: it is as uncertain as without the stated centre. */
Test(frozen, a_stated_centre_leaves_sigma_its_degrees_of_freedom) {
  made_ledger made;
  x_days(&made, 60);
  bt_study_request ask = {.characteristic = BT_TRACKER_X};
  bt_unit_study *fitted = made_study(&made, ask);
  ask.has_centre = true;
  ask.centre = 0.25;
  bt_unit_study *centred = made_study(&made, ask);
  const bt_segment *plain = bt_study_now(fitted->studies[0]);
  const bt_segment *now = bt_study_now(centred->studies[0]);
  cr_assert_gt(plain->chart.df, 0);
  cr_expect_float_eq(now->chart.df, plain->chart.df, 0);
  cr_expect(now->uncertainty.given);
  cr_expect_float_eq(now->uncertainty.sigma_high, plain->uncertainty.sigma_high, 0);
  cr_expect_float_eq(now->uncertainty.ucl_high, 0.25 + 3 * plain->uncertainty.sigma_high, 1e-12);
  bt_unit_study_free(fitted);
  bt_unit_study_free(centred);
  ask.has_centre = false;
  ask.has_sigma = true;
  ask.sigma = 1;
  bt_unit_study *stated = made_study(&made, ask);
  cr_expect_eq(bt_study_now(stated->studies[0])->chart.df, 0);
  cr_expect_not(bt_study_now(stated->studies[0])->uncertainty.given);
  bt_unit_study_free(stated);
  made_end(&made);
}

Test(frozen, checks_outside_tolerance_stay_out) {
  made_ledger made;
  x_days(&made, 60);
  made_tolerance(&made, BT_TRACKER_X, -4.5, 4.5);
  bt_study_request ask = {.characteristic = BT_TRACKER_X};
  bt_unit_study *unit = made_study(&made, ask);
  const bt_segment *now = bt_study_now(unit->studies[0]);
  size_t outside = unit->studies[0]->tolerance.outside;
  cr_assert_gt(outside, 0);
  cr_assert_eq(now->exclusions_n, outside);
  cr_assert_eq(now->exclusions[0].pass, 0);
  cr_assert_eq((size_t)now->baseline.n, 60 - outside);
  bt_unit_study_free(unit);
  made_end(&made);
}

/* Limits of the logged fluence say nothing of one derived from the energy. */
Test(frozen, another_derivation_ends_the_baseline) {
  made_ledger made;
  made_begin(&made);
  for (int day = 0; day < 60; day++) {
    bt_check check = {.time = made_time(day, 8, 0), .has_clock = true};
    check.present =
        1U << BT_READING_FLUENCE_MJ_CM2 | 1U << BT_READING_ENERGY_MJ | 1U << BT_READING_SPOT_MM;
    check.reading[BT_READING_FLUENCE_MJ_CM2] = 180 + wobble(day, 5);
    check.reading[BT_READING_ENERGY_MJ] = 1.6 + 0.01 * wobble(day, 5);
    check.reading[BT_READING_SPOT_MM] = 0.7;
    made_full_check(&made, check);
  }
  made_finish(&made);
  (void)made_freeze(&made, BT_FLUENCE, 0, 39);
  bt_study_request ask = {.characteristic = BT_FLUENCE};
  bt_unit_study *unit = made_study(&made, ask);
  cr_assert_eq(bt_study_now(unit->studies[0])->baseline.version, 1);
  bt_unit_study_free(unit);

  char name[] = "Unit A";
  bt_unit_setting setting = {.name = name, .beam = BT_BEAM_GAUSSIAN, .fluence = BT_FLUENCE_ENERGY};
  bt_settings settings = {.units_n = 1, .units = &setting, .alarms_per_unit_year = 1};
  cr_assert_eq(
      bt_ledger_add_settings(made.ledger, &settings, "KL", "a test", made_time(0, 0, 0), &error),
      BT_OK);
  unit = made_study(&made, ask);
  const bt_segment *now = bt_study_now(unit->studies[0]);
  cr_assert_eq(now->baseline.version, 0);
  cr_assert(now->provisional);
  cr_assert_gt(now->chart.centre, 500);
  bt_unit_study_free(unit);
  made_end(&made);
}

/* A day that has only an as-left reading has no point; its failure is nobody else's. */
Test(frozen, an_as_left_failure_is_booked_on_no_other_day) {
  made_ledger made;
  made_begin(&made);
  for (int day = 0; day < 3; day++) {
    bt_check check = {.time = made_time(day, 8, 0),
                      .has_clock = true,
                      .present = 1U << BT_READING_OFFSET_X_UM,
                      .state = day == 1 ? BT_AS_LEFT : BT_AS_FOUND};
    check.reading[BT_READING_OFFSET_X_UM] = day == 1 ? 30 : 1;
    made_full_check(&made, check);
  }
  made_finish(&made);
  made_tolerance(&made, BT_TRACKER_X, -20, 20);
  bt_study_request ask = {.characteristic = BT_TRACKER_X};
  bt_unit_study *unit = made_study(&made, ask);
  const bt_study *study = unit->studies[0];
  cr_assert_eq(study->points.n, 2);
  cr_assert_eq(study->tolerance.outside, 1);
  for (int p = 0; p < 2; p++)
    cr_assert_eq(study->rules[BT_HIGH][p], 0);
  bt_unit_study_free(unit);
  made_end(&made);
}

/* A baseline from when the fills read a day older, or the slope was another: centre and sigma of
 * the period are the same then, but newer checks are moved otherwise than they would be today. */
Test(frozen, another_slope_or_mean_age_is_said) {
  for (int changed = 0; changed < 4; changed++) {
    made_ledger made;
    made_begin(&made);
    for (int day = 0; day < 90; day++) {
      if (day % 3 == 0)
        made_event(&made, made_time(day, 7, 0), BT_EVENT_GAS_REFILL);
      made_check(&made, made_time(day, 8, 0), BT_READING_TARGET_MJ, 1, BT_READING_ENERGY_MJ,
                 1.01 - 0.01 * (day % 3) + 0.0004 * wobble(day, 5));
    }
    made_finish(&made);
    bt_proposal proposal = {0};
    cr_assert_eq(bt_study_baseline(made.ledger, "Unit A", BT_ENERGY_RATIO, made_time(0, 0, 0),
                                   made_time(59, 0, 0), true, false, &proposal, &error),
                 BT_OK, "%s", error.text);
    bt_baseline baseline = proposal.baseline;
    cr_assert(baseline.adjusted);
    baseline.by = bt_copy("KL");
    baseline.why = bt_copy("a test");
    baseline.mean_age_days += changed == 1 ? 1 : 0;
    baseline.slope_per_day *= changed == 2 ? 1.1 : 1;
    baseline.oldest_age_days += changed == 3 ? 1 : 0;
    bt_new_baseline wanted = {.baseline = &baseline,
                              .exclusions = proposal.exclusions,
                              .exclusions_n = proposal.exclusions_n};
    cr_assert_eq(
        bt_ledger_add_baselines(made.ledger, "Unit A", &wanted, 1, made_time(900, 0, 0), &error),
        BT_OK, "%s", error.text);
    bt_unit_study *unit = made_study(&made, (bt_study_request){.characteristic = BT_ENERGY_RATIO});
    const bt_refit *refit = &bt_study_now(unit->studies[0])->refit;
    cr_expect_eq(refit->differs, changed != 0, "%d", changed);
    cr_expect(refit->given);
    bt_unit_study_free(unit);
    free(proposal.exclusions);
    bt_baseline_free(&baseline);
    made_end(&made);
  }
}
