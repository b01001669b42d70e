/* Likely causes by hand-made lasers: each cause with what it needs, what supports it and what
 * speaks against it; nothing without a change past its threshold. */
#include "beamtally/drift.h"

#include <criterion/criterion.h>
#include <gsl/gsl_errno.h>
#include <math.h>

static const bt_moved fell = {.looked_at = true,
                              .changed = true,
                              .kind = BT_CHANGE_HINGE,
                              .sign = -1,
                              .from = 100,
                              .to = 120};
static const bt_moved rose = {
    .looked_at = true, .changed = true, .kind = BT_CHANGE_HINGE, .sign = 1, .from = 100, .to = 120};
static const bt_moved stepped = {
    .looked_at = true, .changed = true, .kind = BT_CHANGE_STEP, .sign = -1, .from = 100, .to = 104};
static const bt_moved stayed = {.looked_at = true};

static const bt_slope slope = {.use = BT_AGE_USED, .df = 40, .per_day = -0.01, .se = 0.001};
static const bt_slope steep = {.use = BT_AGE_USED, .df = 40, .per_day = -0.02, .se = 0.001};
static const bt_trend falling = {
    .given = true, .has_interval = true, .slope = -0.002, .low = -0.003, .high = -0.001};
static const bt_trend level = {
    .given = true, .has_interval = true, .slope = 0, .low = -0.001, .high = 0.001};

/* Asserts the one cause named, and gives it. */
static bt_cause only(const bt_evidence *evidence, bt_cause_kind kind, bt_cause_strength strength) {
  gsl_set_error_handler_off();
  bt_cause causes[BT_CAUSE_COUNT];
  size_t n = bt_causes_find(evidence, causes);
  cr_assert_eq(n, 1, "%zu causes, the first %d", n, n > 0 ? (int)causes[0].kind : -1);
  cr_expect_eq(causes[0].kind, kind);
  cr_expect_eq(causes[0].strength, strength, "strength %d", (int)causes[0].strength);
  return causes[0];
}

static size_t count(const bt_evidence *evidence) {
  gsl_set_error_handler_off();
  bt_cause causes[BT_CAUSE_COUNT];
  return bt_causes_find(evidence, causes);
}

Test(causes, E1_nothing_known_nothing_moved) {
  bt_evidence evidence = {0};
  cr_expect_eq(count(&evidence), 0);
  evidence = (bt_evidence){.energy = stayed,
                           .own = stayed,
                           .loss = -1,
                           .baseline_slope = slope,
                           .window_slope = steep,
                           .levels = falling,
                           .voltage = stayed,
                           .plate = stayed,
                           .fluence = stayed,
                           .demand = stayed,
                           .spread = stayed,
                           .tracker = stayed,
                           .has_meter_event = true,
                           .meter_day = 110,
                           .has_move = true,
                           .move_day = 110,
                           .ceiling_ahead = true};
  cr_expect_eq(count(&evidence), 0, "slopes and levels speak only past the threshold");
}

Test(causes, moved_by_its_look) {
  bt_change change = {.kind = BT_CHANGE_STEP,
                      .likelihood_ratio = 30,
                      .step = {.given = true, .before = 5, .after = 4},
                      .hinge = {.given = true, .per_day = 1},
                      .from = 7,
                      .to = 9};
  bt_look look = {.given = true, .threshold = 22};
  bt_moved moved = bt_moved_of(&change, &look);
  cr_expect(moved.looked_at && moved.changed && moved.sign == -1 && moved.kind == BT_CHANGE_STEP);
  cr_expect(moved.from == 7 && moved.to == 9);
  change.kind = BT_CHANGE_HINGE;
  cr_expect_eq(bt_moved_of(&change, &look).sign, 1);
  change.likelihood_ratio = 22;
  moved = bt_moved_of(&change, &look);
  cr_expect(moved.looked_at && !moved.changed && moved.sign == 0);
  look.given = false;
  cr_expect(!bt_moved_of(&change, &look).looked_at);
}

Test(causes, a_change_in_per_cent_of_what_was) {
  bt_change change = {.kind = BT_CHANGE_STEP,
                      .step = {.given = true, .before = 0.4, .after = 0.39},
                      .hinge = {.given = true, .before = 2, .per_day = 0.01}};
  cr_expect_float_eq(bt_change_per_cent(&change), -2.5, 1e-12);
  change.kind = BT_CHANGE_HINGE;
  cr_expect_float_eq(bt_change_per_cent(&change), 100 * 0.01 * 365.25 / 12 / 2, 1e-12);
  change.hinge.before = 0;
  cr_expect_eq(bt_change_per_cent(&change), 0, "of nothing there is no share");
}

Test(causes, E2_levels_that_a_refill_does_not_restore) {
  bt_evidence evidence = {.own = fell,
                          .loss = -1,
                          .baseline_slope = slope,
                          .window_slope = slope,
                          .levels = falling,
                          .energy = fell};
  bt_cause cause = only(&evidence, BT_CAUSE_NOT_RESTORED_BY_REFILL, BT_CAUSE_STRONG);
  cr_expect_eq(cause.evidence, BT_FACT_LEVELS_FALL | BT_FACT_LOSS_UNCHANGED);
  cr_expect_eq(cause.against, 0);
  evidence.window_slope.df = 0;
  cause = only(&evidence, BT_CAUSE_NOT_RESTORED_BY_REFILL, BT_CAUSE_MODERATE);
  evidence.cleaning =
      (bt_comparison){.given = true, .has_interval = true, .difference = 0.01, .p = 0.0099};
  cause = only(&evidence, BT_CAUSE_NOT_RESTORED_BY_REFILL, BT_CAUSE_MODERATE);
  cr_expect_eq(cause.evidence, BT_FACT_LEVELS_FALL | BT_FACT_CLEANING_RESTORED);
  evidence.cleaning.difference = -0.01;
  cause = only(&evidence, BT_CAUSE_NOT_RESTORED_BY_REFILL, BT_CAUSE_MODERATE);
  cr_expect_eq(cause.evidence, BT_FACT_LEVELS_FALL, "a loss isn't restored by losing more");
  evidence.cleaning.difference = 0.01;
  evidence.cleaning.p = 0.01;
  cause = only(&evidence, BT_CAUSE_NOT_RESTORED_BY_REFILL, BT_CAUSE_MODERATE);
  cr_expect_eq(cause.evidence, BT_FACT_LEVELS_FALL, "E6: not beyond chance");
  evidence.own = rose;
  cr_expect_eq(count(&evidence), 0, "it moved to its gaining side");
}

Test(causes, E2_gas_ageing) {
  bt_evidence evidence = {.own = fell,
                          .loss = -1,
                          .baseline_slope = slope,
                          .window_slope = steep,
                          .levels = level,
                          .energy = fell};
  bt_cause cause = only(&evidence, BT_CAUSE_GAS_AGEING, BT_CAUSE_STRONG);
  cr_expect_eq(cause.evidence, BT_FACT_LOSS_STEEPER | BT_FACT_LEVELS_HOLD);
  evidence.levels =
      (bt_trend){.given = true, .has_interval = true, .slope = 0.002, .low = 0.001, .high = 0.003};
  cause = only(&evidence, BT_CAUSE_GAS_AGEING, BT_CAUSE_MODERATE);
  cr_expect_eq(cause.evidence, BT_FACT_LOSS_STEEPER, "levels that rise do not hold");
  evidence.levels = (bt_trend){0};
  only(&evidence, BT_CAUSE_GAS_AGEING, BT_CAUSE_MODERATE);
  /* One degree of freedom each, two by Welch: t of 0.975 is 4.303 (printed tables). */
  evidence.baseline_slope.df = evidence.window_slope.df = 1;
  only(&evidence, BT_CAUSE_GAS_AGEING, BT_CAUSE_MODERATE);
  evidence.baseline_slope.df = evidence.window_slope.df = 40;

  evidence.levels = falling; /* both: each speaks against the other */
  bt_cause causes[BT_CAUSE_COUNT];
  cr_assert_eq(bt_causes_find(&evidence, causes), 2);
  cr_expect(causes[0].strength == BT_CAUSE_WEAK && causes[1].strength == BT_CAUSE_WEAK);
  cr_expect_eq(causes[0].against, BT_FACT_LEVELS_FALL);

  evidence.window_slope.per_day = -0.0125; /* within the errors of both slopes */
  only(&evidence, BT_CAUSE_NOT_RESTORED_BY_REFILL, BT_CAUSE_STRONG);
}

/* A servo holds the energy: the voltage tells, and loses by climbing. */
Test(causes, E2_voltage) {
  bt_slope up = slope, steeper = steep;
  up.per_day = 0.01;
  steeper.per_day = 0.02;
  bt_trend climbing = {
      .given = true, .has_interval = true, .slope = 0.002, .low = 0.001, .high = 0.003};
  bt_evidence evidence = {.energy = stayed,
                          .voltage = rose,
                          .own = rose,
                          .loss = 1,
                          .baseline_slope = up,
                          .window_slope = up,
                          .levels = climbing};
  only(&evidence, BT_CAUSE_NOT_RESTORED_BY_REFILL, BT_CAUSE_STRONG);
  evidence.window_slope = steeper;
  evidence.levels = level;
  only(&evidence, BT_CAUSE_GAS_AGEING, BT_CAUSE_STRONG);
  evidence.loss = 0;
  evidence.ceiling_ahead = true;
  only(&evidence, BT_CAUSE_VOLTAGE_CEILING, BT_CAUSE_MODERATE);
  evidence.energy = fell;
  only(&evidence, BT_CAUSE_VOLTAGE_CEILING, BT_CAUSE_STRONG);
  evidence.ceiling_ahead = false;
  cr_expect_eq(count(&evidence), 0);
}

Test(causes, demand_creep) {
  bt_evidence evidence = {.demand = rose};
  only(&evidence, BT_CAUSE_DEMAND_CREEP, BT_CAUSE_MODERATE);
  evidence.energy = stayed;
  only(&evidence, BT_CAUSE_DEMAND_CREEP, BT_CAUSE_STRONG);
  evidence.demand = fell;
  cr_expect_eq(count(&evidence), 0);
}

Test(causes, delivery_optics_or_plate) {
  bt_evidence evidence = {.energy = stayed, .fluence = fell};
  only(&evidence, BT_CAUSE_DELIVERY_OPTICS, BT_CAUSE_MODERATE);
  evidence.plate = stayed;
  bt_cause cause = only(&evidence, BT_CAUSE_DELIVERY_OPTICS, BT_CAUSE_WEAK);
  cr_expect_eq(cause.against, BT_FACT_PLATE_UNCHANGED);
  evidence.plate = fell;
  bt_cause causes[BT_CAUSE_COUNT];
  cr_assert_eq(bt_causes_find(&evidence, causes), 2);
  cr_expect(causes[0].kind == BT_CAUSE_DELIVERY_OPTICS && causes[0].strength == BT_CAUSE_STRONG);
  cr_expect(causes[1].kind == BT_CAUSE_PLUME_OR_PLATE && causes[1].strength == BT_CAUSE_WEAK);
  evidence.fluence = stayed;
  only(&evidence, BT_CAUSE_PLUME_OR_PLATE, BT_CAUSE_STRONG);
  evidence.energy = fell;
  cr_expect_eq(count(&evidence), 0);
}

Test(causes, E4_meter) {
  bt_evidence evidence = {.energy = stepped, .has_meter_event = true, .meter_day = 98};
  bt_cause cause = only(&evidence, BT_CAUSE_METER, BT_CAUSE_MODERATE);
  cr_expect_eq(cause.evidence, BT_FACT_ENERGY_STEPS | BT_FACT_METER_THEN);
  evidence.voltage = stayed;
  only(&evidence, BT_CAUSE_METER, BT_CAUSE_STRONG);
  evidence.voltage = rose;
  only(&evidence, BT_CAUSE_METER, BT_CAUSE_WEAK);
  evidence.voltage = (bt_moved){0};
  evidence.meter_day = 96.9;
  cr_expect_eq(count(&evidence), 0, "over 3 days before");
  evidence.meter_day = 104.1;
  cr_expect_eq(count(&evidence), 0, "after the last date that is likely enough");
  evidence.meter_shared = true;
  only(&evidence, BT_CAUSE_METER, BT_CAUSE_MODERATE);
  evidence.meter = (bt_comparison){.given = true, .has_interval = true, .p = 0.4};
  only(&evidence, BT_CAUSE_METER, BT_CAUSE_MODERATE); /* that change was no part of this one */
  evidence.meter_day = 98;
  cause = only(&evidence, BT_CAUSE_METER, BT_CAUSE_WEAK);
  cr_expect_eq(cause.against, BT_FACT_METER_ALIKE, "E6");
  evidence.plate = stayed;
  only(&evidence, BT_CAUSE_METER, BT_CAUSE_MODERATE);
  evidence.energy = fell;
  cr_expect_eq(count(&evidence), 0, "a slow fall is no meter's step");
  evidence =
      (bt_evidence){.energy = stayed,
                    .plate = stayed,
                    .meter = {.given = true, .has_interval = true, .difference = 0.02, .p = 0.001}};
  cause = only(&evidence, BT_CAUSE_METER, BT_CAUSE_STRONG);
  cr_expect_eq(cause.evidence, BT_FACT_METER_DIFFERS | BT_FACT_PLATE_UNCHANGED, "E6");
  evidence.meter.p = 0.02;
  cr_expect_eq(count(&evidence), 0);
}

/* What a meter change did before the loss began is no evidence of what the loss is. */
Test(causes, E6_a_meter_that_reads_otherwise_is_a_cause_of_its_own) {
  gsl_set_error_handler_off();
  const bt_evidence evidence = {
      .own = fell,
      .loss = -1,
      .levels = falling,
      .energy = fell,
      .has_meter_event = true,
      .meter_day = 60,
      .meter = {.given = true, .has_interval = true, .difference = 0.02, .p = 0.001}};
  bt_cause causes[BT_CAUSE_COUNT];
  cr_assert_eq(bt_causes_find(&evidence, causes), 2);
  for (size_t c = 0; c < 2; c++)
    cr_expect_eq(causes[c].evidence,
                 causes[c].kind == BT_CAUSE_METER ? BT_FACT_METER_DIFFERS : BT_FACT_LEVELS_FALL);
}

Test(causes, alignment_and_spread) {
  bt_evidence evidence = {.tracker = stepped, .has_move = true, .move_day = 99};
  only(&evidence, BT_CAUSE_ALIGNMENT, BT_CAUSE_MODERATE);
  evidence.energy = stayed;
  only(&evidence, BT_CAUSE_ALIGNMENT, BT_CAUSE_STRONG);
  evidence.has_move = false;
  cr_expect_eq(count(&evidence), 0);

  evidence = (bt_evidence){.spread = rose, .energy = stayed};
  only(&evidence, BT_CAUSE_SPREAD, BT_CAUSE_MODERATE);
  evidence.energy = fell;
  cr_expect_eq(count(&evidence), 0, "not before the energy");
  evidence.energy.from = 101;
  only(&evidence, BT_CAUSE_SPREAD, BT_CAUSE_MODERATE);
  evidence.voltage = rose;
  only(&evidence, BT_CAUSE_SPREAD, BT_CAUSE_STRONG);
}
