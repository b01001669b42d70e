/* The whole chart core together: limits, z, zone rules, CUSUM, EWMA and episodes of one series. A
 * hand-written table of every mark, also after the first signal; then what must not matter: unit
 * and zero of the readings, which side is up, the order of the rules' bits, and what stands on the
 * other side of a baseline's boundary. */
#include "beamtally/spc.h"
#include "shapes.h"

#include <criterion/criterion.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Everything that the charts say of one series. */
typedef struct core {
  size_t n;
  bt_individuals chart;
  double z[SHAPE_MOST], average[SHAPE_MOST], lcl[SHAPE_MOST], ucl[SHAPE_MOST];
  double sum[BT_SIDES][SHAPE_MOST];
  uint32_t run[BT_SIDES][SHAPE_MOST];
  bt_rules rules[BT_SIDES][SHAPE_MOST];
  uint8_t strength[SHAPE_MOST];
  bt_cusum cusum;
  bt_ewma ewma;
  bt_episode *episodes;
  size_t episodes_n;
} core;

static void free_core(core *made) {
  free(made->cusum.excursions);
  free(made->episodes);
}

static void begin(core *made, size_t n, const bt_individuals *chart, double h) {
  memset(made, 0, sizeof *made);
  made->n = n;
  made->chart = *chart;
  made->cusum = (bt_cusum){.k = 0.5,
                           .h = h,
                           .high = made->sum[BT_HIGH],
                           .low = made->sum[BT_LOW],
                           .run_high = made->run[BT_HIGH],
                           .run_low = made->run[BT_LOW]};
  made->ewma = (bt_ewma){
      .lambda = 0.2, .limit = 2.962, .value = made->average, .lcl = made->lcl, .ucl = made->ucl};
}

/* Rules, CUSUM and EWMA of points [from, to), which one baseline judges. */
static void run_part(core *made, const double *value, const uint8_t *use, size_t from, size_t to) {
  bt_error error;
  bt_standardise(value + from, to - from, &made->chart, made->z + from);
  bt_zone_rules(made->z + from, use + from, to - from, made->rules[BT_HIGH] + from,
                made->rules[BT_LOW] + from);
  cr_assert_eq(bt_cusum_run(made->z, use, from, to, made->chart.sigma, &made->cusum, &error),
               BT_OK);
  bt_ewma_run(value, use, from, to, &made->chart, NULL, 0, &made->ewma);
}

static void find_episodes(core *made, const uint8_t *use) {
  bt_error error;
  bt_rules *const rules[BT_SIDES] = {made->rules[BT_LOW], made->rules[BT_HIGH]};
  for (int side = 0; side < BT_SIDES; side++)
    for (size_t i = 0; i < made->n; i++) {
      if (made->sum[side][i] > made->cusum.h + 1e-9)
        rules[side][i] |= BT_CUSUM_SIGNAL;
      if (rules[side][i] != 0)
        made->strength[i] = BT_NOTICE;
    }
  cr_assert_eq(bt_episodes_find(NULL, use, rules, made->strength, made->n, &made->episodes,
                                &made->episodes_n, &error),
               BT_OK);
}

/* The core of a shape, with limits from the shape itself; false where it has none. */
static bool run_core(const double *value, const uint8_t *use, size_t n, core *made) {
  bt_individuals chart;
  bt_error error;
  if (bt_individuals_fit(value, use, n, &chart, &error) != BT_OK)
    return false;
  begin(made, n, &chart, 5);
  run_part(made, value, use, 0, n);
  find_episodes(made, use);
  return true;
}

/* ---- Every mark by hand ---------------------------------------------------------------------- */

enum { PATTERN_MOST = 18 };

/* Marks of zone rules: a hexadecimal digit a point, the sum of the rules it completes (1 WE1, 2
 * WE2, 4 WE3, 8 WE4), - for none. Sums with k 0.5. Excursions above h 4. */
typedef struct pattern {
  const char *name;
  size_t n;
  double z[PATTERN_MOST];
  const char *high, *low;
  double sum_high[PATTERN_MOST], sum_low[PATTERN_MOST];
  size_t excursions_n;
  struct {
    bt_side side;
    size_t signal, run_began, last;
    double size;
  } excursion[3];
} pattern;

static const pattern patterns[] = {
    {"a shift that signals again and again",
     12,
     {0, 3.5, 2.5, 1.5, 1.5, 1.5, 0.5, 0.5, 0, -0.5, 2.5, 2.5},
     "-12-44-----2",
     "------------",
     {0, 3, 5, 6, 7, 8, 8, 8, 7.5, 6.5, 8.5, 10.5},
     {0},
     1,
     {{BT_HIGH, 2, 1, 11, 0.5 + 5.0 / 2}}},
    {"one side, then the other",
     10,
     {3, 2.5, -1.5, -1.5, 0.5, 3, -3.5, -3.5, -2.5, 0},
     "-2--------",
     "------132-",
     {2.5, 4.5, 2.5, 0.5, 0.5, 3, 0, 0, 0, 0},
     {0, 0, 1, 2, 1, 0, 3, 6, 8, 7.5},
     2,
     {{BT_HIGH, 1, 0, 1, 0.5 + 4.5 / 2}, {BT_LOW, 7, 6, 9, -(0.5 + 6.0 / 2)}}},
    {"a sum that comes back to h and leaves it again",
     6,
     {5, 0, 1, 0, 0, 1.5},
     "1-----",
     "------",
     {4.5, 4, 4.5, 4, 3.5, 4.5},
     {0},
     3,
     {{BT_HIGH, 0, 0, 0, 0.5 + 4.5},
      {BT_HIGH, 2, 0, 2, 0.5 + 4.5 / 3},
      {BT_HIGH, 5, 0, 5, 0.5 + 4.5 / 6}}},
    {"ten on one side, the centre, then seven",
     18,
     {-0.25, -0.25, -0.25, -0.25, -0.25, -0.25, -0.25, -0.25, -0.25, -0.25, 0, -0.25, -0.25, -0.25,
      -0.25, -0.25, -0.25, -0.25},
     "------------------",
     "-------888--------",
     {0},
     {0},
     0,
     {{0}}},
    {"a run that goes on beyond one sigma: all rules at once",
     10,
     {1.25, 1.25, 1.25, 1.25, 0.75, 1.25, 1.25, 1.25, 2.25, 3.25},
     "---4-44CCF",
     "----------",
     {0.75, 1.5, 2.25, 3, 3.25, 4, 4.75, 5.5, 7.25, 10},
     {0},
     1,
     {{BT_HIGH, 6, 0, 9, 0.5 + 4.75 / 7}}}};

static void expect_pattern(const pattern *p, bool mirrored) {
  static core made;
  double z[PATTERN_MOST];
  uint8_t use[PATTERN_MOST];
  bt_individuals unit = bt_individuals_stated(0, 1);
  bt_side up = mirrored ? BT_LOW : BT_HIGH, down = mirrored ? BT_HIGH : BT_LOW;
  for (size_t i = 0; i < p->n; i++) {
    z[i] = mirrored ? -p->z[i] : p->z[i];
    use[i] = 1;
  }
  begin(&made, p->n, &unit, 4);
  run_part(&made, z, use, 0, p->n);
  for (size_t i = 0; i < p->n; i++) {
    char high = "-123456789ABCDEF"[made.rules[up][i]],
         low = "-123456789ABCDEF"[made.rules[down][i]];
    cr_expect(high == p->high[i] && low == p->low[i], "%s, point %zu: %c and %c, not %c and %c",
              p->name, i, high, low, p->high[i], p->low[i]);
    cr_expect_float_eq(made.sum[up][i], p->sum_high[i], 1e-12, "%s, point %zu: C+ %.6f", p->name, i,
                       made.sum[up][i]);
    cr_expect_float_eq(made.sum[down][i], p->sum_low[i], 1e-12, "%s, point %zu: C- %.6f", p->name,
                       i, made.sum[down][i]);
  }
  cr_assert_eq(made.cusum.excursions_n, p->excursions_n, "%s", p->name);
  for (size_t e = 0; e < p->excursions_n; e++) {
    const bt_excursion *found = &made.cusum.excursions[e];
    cr_expect_eq(found->side == BT_HIGH, (p->excursion[e].side == BT_HIGH) != mirrored);
    cr_expect_eq(found->signal, p->excursion[e].signal, "%s %zu", p->name, e);
    cr_expect_eq(found->run_began, p->excursion[e].run_began, "%s %zu", p->name, e);
    cr_expect_eq(found->last, p->excursion[e].last, "%s %zu", p->name, e);
    cr_expect_float_eq(found->size, mirrored ? -p->excursion[e].size : p->excursion[e].size, 1e-12);
  }
  free_core(&made);
}

Test(properties, every_mark_by_hand) {
  for (size_t i = 0; i < sizeof patterns / sizeof *patterns; i++) {
    cr_assert_eq(strlen(patterns[i].high), patterns[i].n);
    cr_assert_eq(strlen(patterns[i].low), patterns[i].n);
    expect_pattern(&patterns[i], false);
    expect_pattern(&patterns[i], true);
  }
}

/* ---- What must not matter -------------------------------------------------------------------- */

/* The same signals: on side s of `one` what is on side s of `other`, or on the opposite one. */
static void expect_same_signals(const core *one, const core *other, bool opposite, const char *name,
                                size_t index) {
  for (int side = 0; side < BT_SIDES; side++) {
    int of = opposite ? 1 - side : side;
    cr_expect_arr_eq(one->rules[side], other->rules[of], one->n, "%s %zu", name, index);
    cr_expect_arr_eq(one->run[side], other->run[of], one->n * sizeof(uint32_t), "%s %zu", name,
                     index);
    for (size_t i = 0; i < one->n; i++)
      cr_expect_float_eq(one->sum[side][i], other->sum[of][i], 1e-9 * (1 + one->sum[side][i]));
  }
  cr_assert_eq(one->cusum.excursions_n, other->cusum.excursions_n);
  cr_assert_eq(one->episodes_n, other->episodes_n);
}

static void expect_same_episodes(const core *one, const core *other) {
  for (size_t e = 0; e < one->episodes_n; e++) {
    const bt_episode *a = &one->episodes[e], *b = &other->episodes[e];
    cr_expect(a->side == b->side && a->first == b->first && a->last == b->last &&
              a->signals == b->signals && a->rules == b->rules && a->strength == b->strength);
  }
}

/* In another unit and from another zero every mark stays, and every length scales. */
Test(properties, shift_and_scale) {
  static shape at;
  static core one, other;
  size_t signals = 0;
  for (size_t s = 0; shape_make(s, &at); s++) {
    double moved[SHAPE_MOST];
    for (size_t i = 0; i < at.n; i++)
      moved[i] = 8 * at.value[i] + 512;
    if (!run_core(at.value, at.use, at.n, &one))
      continue;
    cr_assert(run_core(moved, at.use, at.n, &other));
    expect_same_signals(&one, &other, false, at.name, s);
    expect_same_episodes(&one, &other);
    for (size_t e = 0; e < one.cusum.excursions_n; e++) {
      const bt_excursion *a = &one.cusum.excursions[e], *b = &other.cusum.excursions[e];
      cr_expect(a->signal == b->signal && a->last == b->last && a->run_began == b->run_began);
      cr_expect_float_eq(b->size, 8 * a->size, 1e-9 * (1 + fabs(b->size)));
    }
    for (size_t i = 0; i < at.n; i++) {
      if (at.use[i] == 0)
        continue;
      cr_expect_float_eq(other.average[i], 8 * one.average[i] + 512, 1e-9);
      cr_expect_float_eq(other.ucl[i], 8 * one.ucl[i] + 512, 1e-9);
      cr_expect_float_eq(other.lcl[i], 8 * one.lcl[i] + 512, 1e-9);
    }
    signals += one.episodes_n;
    free_core(&one);
    free_core(&other);
  }
  cr_expect_gt(signals, 50, "%zu", signals);
}

/* Turned upside down the sides change places and nothing else. */
Test(properties, mirrored_readings_swap_the_sides) {
  static shape at;
  static core one, other;
  for (size_t s = 0; shape_make(s, &at); s++) {
    double mirrored[SHAPE_MOST];
    for (size_t i = 0; i < at.n; i++)
      mirrored[i] = -at.value[i];
    if (!run_core(at.value, at.use, at.n, &one))
      continue;
    cr_assert(run_core(mirrored, at.use, at.n, &other));
    expect_same_signals(&one, &other, true, at.name, s);
    size_t high = 0, high_mirrored = 0;
    for (size_t e = 0; e < one.episodes_n; e++) {
      high += one.episodes[e].side == BT_HIGH;
      high_mirrored += other.episodes[e].side == BT_HIGH;
    }
    cr_expect_eq(high + high_mirrored, one.episodes_n);
    for (size_t i = 0; i < at.n; i++)
      cr_expect_float_eq(other.average[i], -one.average[i], 1e-12);
    free_core(&one);
    free_core(&other);
  }
}

static bt_rules turn_bits(bt_rules rules) {
  return (bt_rules)((rules << 3 | rules >> 5) & 0xFF);
}

/* Which bit a rule has, and so in which order rules are looked at, makes no other episodes. */
Test(properties, the_order_of_rules_does_not_matter) {
  static shape at;
  static core one, other;
  for (size_t s = 0; shape_make(s, &at); s++) {
    if (!run_core(at.value, at.use, at.n, &one))
      continue;
    begin(&other, at.n, &one.chart, 1e9);
    for (int side = 0; side < BT_SIDES; side++)
      for (size_t i = 0; i < at.n; i++)
        other.rules[side][i] = turn_bits(one.rules[side][i]);
    find_episodes(&other, at.use);
    cr_assert_eq(one.episodes_n, other.episodes_n);
    for (size_t e = 0; e < one.episodes_n; e++)
      other.episodes[e].rules =
          (bt_rules)((other.episodes[e].rules >> 3 | other.episodes[e].rules << 5) & 0xFF);
    expect_same_episodes(&one, &other);
    free_core(&one);
    free_core(&other);
  }
}

/* A series whose baseline changes at a point says on each side what that part says by itself: no
 * pattern, sum or average crosses. */
Test(properties, cut_at_a_baseline) {
  static shape at;
  static core whole, before, after;
  for (size_t s = 0; shape_make(s, &at); s++) {
    bt_individuals first = bt_individuals_stated(0, 1), second = bt_individuals_stated(0.5, 1.25);
    size_t cut = at.n * 2 / 5, rest = at.n - cut;
    begin(&whole, at.n, &first, 5);
    run_part(&whole, at.value, at.use, 0, cut);
    whole.chart = second;
    run_part(&whole, at.value, at.use, cut, at.n);
    begin(&before, cut, &first, 5);
    run_part(&before, at.value, at.use, 0, cut);
    begin(&after, rest, &second, 5);
    run_part(&after, at.value + cut, at.use + cut, 0, rest);

    for (int side = 0; side < BT_SIDES; side++) {
      cr_expect_arr_eq(whole.rules[side], before.rules[side], cut);
      cr_expect_arr_eq(whole.rules[side] + cut, after.rules[side], rest);
      cr_expect_arr_eq(whole.sum[side], before.sum[side], cut * sizeof(double));
      cr_expect_arr_eq(whole.sum[side] + cut, after.sum[side], rest * sizeof(double));
      cr_expect_arr_eq(whole.run[side] + cut, after.run[side], rest * sizeof(uint32_t));
    }
    cr_expect_arr_eq(whole.average, before.average, cut * sizeof(double));
    cr_expect_arr_eq(whole.average + cut, after.average, rest * sizeof(double));
    cr_expect_arr_eq(whole.ucl + cut, after.ucl, rest * sizeof(double));
    size_t n = before.cusum.excursions_n;
    cr_assert_eq(whole.cusum.excursions_n, n + after.cusum.excursions_n);
    for (size_t e = 0; e < whole.cusum.excursions_n; e++) {
      const bt_excursion *part =
          e < n ? &before.cusum.excursions[e] : &after.cusum.excursions[e - n];
      cr_expect_eq(whole.cusum.excursions[e].signal, part->signal + (e < n ? 0 : cut));
      cr_expect_eq(whole.cusum.excursions[e].last, part->last + (e < n ? 0 : cut));
      cr_expect_eq(whole.cusum.excursions[e].size, part->size);
    }
    free_core(&whole);
    free_core(&before);
    free_core(&after);
  }
}
