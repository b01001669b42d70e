/* The charts of 2,000 random series (10,000 where BEAMTALLY_LONG_TESTS is set) against plain loops
 * over the definitions, which share nothing with the charts' own code: everything is found anew at
 * each point by looking back over all points before it. */
#include "beamtally/spc.h"
#include "shapes.h"

#include <criterion/criterion.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { SERIES = 2000, LONG_SERIES = 10000, MOST = 400, FORMS = 8 };

#define ON_LINE 1e-9

/* One random series: values, points that take part, one or two segments, restarts. */
typedef struct series {
  uint64_t seed; /* as it was when this one was made */
  size_t n, cut; /* segments [0, cut) and [cut, n) */
  double value[MOST], z[MOST];
  uint8_t use[MOST];
  size_t restarts_n;
  bt_restart restarts[3];
  bt_individuals chart;
} series;

static series at;
static double range[MOST], high_sum[MOST], low_sum[MOST], average[MOST], lower[MOST], upper[MOST];
static uint8_t has_range[MOST], strength[MOST];
static bt_rules high[MOST], low[MOST];
static uint32_t high_run[MOST], low_run[MOST];

static size_t below(uint64_t *seed, size_t n) {
  return (size_t)(shape_uniform(seed) * (double)n);
}

static double one_value(size_t form, size_t i, double level, uint64_t *seed) {
  switch (form) {
  case 0:
    return shape_normal(seed);
  case 1:
    return (double)below(seed, 9) - 4; /* on the lines of a stated centre and sigma */
  case 2:
    return below(seed, 30) == 0 ? 40 * shape_normal(seed) : 0.3 * shape_normal(seed); /* spikes */
  case 3:
    return level; /* a plateau */
  case 4:
    return (i / 12 % 2 == 0 ? 1.25 : -1.25) + 0.5 * shape_normal(seed);
  case 5:
    return 0.03 * (double)i + shape_normal(seed); /* a drift */
  case 6:
    return floor(4 * shape_normal(seed)) / 4; /* few digits: ties */
  default:
    return level + 1.5 * shape_normal(seed);
  }
}

static void make_series(uint64_t *seed) {
  at.seed = *seed;
  size_t form = below(seed, FORMS);
  double level = 3 * shape_normal(seed), missing = below(seed, 3) == 0 ? 0.3 : 0.02;
  at.n = below(seed, 8) == 0 ? below(seed, 4) : below(seed, MOST + 1);
  at.cut = below(seed, 2) == 0 ? at.n : below(seed, at.n + 1);
  size_t gap_from = below(seed, MOST), gap_to = gap_from + below(seed, 20);
  for (size_t i = 0; i < at.n; i++) {
    at.value[i] = one_value(form, i, level, seed);
    at.use[i] = shape_uniform(seed) >= missing && !(i >= gap_from && i < gap_to);
  }
  at.restarts_n = below(seed, 4);
  for (size_t r = 0; r < at.restarts_n; r++)
    at.restarts[r] = (bt_restart){.point = below(seed, at.n + 1)};
}

#define EXPECT(condition, what, i)                                                                 \
  cr_assert(condition, "%s at point %zu of %zu, seed %#llx", what, (size_t)(i), at.n,              \
            (unsigned long long)at.seed)

static bool near(double a, double b) {
  return fabs(a - b) <= 1e-9 * (1 + fabs(a) + fabs(b));
}

/* Points that take part, as a list of indices. */
static size_t used[MOST], used_n;

static void list_used(size_t from, size_t to) {
  used_n = 0;
  for (size_t i = from; i < to; i++)
    if (at.use[i] != 0)
      used[used_n++] = i;
}

/* Centre: mean. sigma = MRbar / (2/sqrt(pi)). Limits 3 sigma. MR UCL: 3.2665 MRbar. */
static void check_individuals(void) {
  bt_error error;
  bt_status status = bt_individuals_fit(at.value, at.use, at.n, &at.chart, &error);
  list_used(0, at.n);
  if (used_n < 2) {
    EXPECT(status == BT_INPUT, "a chart of too few", 0);
    at.chart = bt_individuals_stated(0, 1);
    return;
  }
  EXPECT(status == BT_OK && at.chart.n == used_n, "the fit", 0);
  double sum = 0, ranges = 0;
  for (size_t u = 0; u < used_n; u++) {
    sum += at.value[used[u]];
    if (u > 0)
      ranges += fabs(at.value[used[u]] - at.value[used[u - 1]]);
  }
  double mean = sum / (double)used_n, mr = ranges / (double)(used_n - 1);
  double sigma = mr * sqrt(3.141592653589793) / 2;
  EXPECT(near(at.chart.centre, mean), "centre", 0);
  EXPECT(near(at.chart.sigma, sigma), "sigma", 0);
  EXPECT(near(at.chart.lcl, mean - 3 * sigma) && near(at.chart.ucl, mean + 3 * sigma), "limits", 0);
  EXPECT(near(at.chart.mr_centre, mr) && near(at.chart.mr_ucl, 3.266531919 * mr), "MR limits", 0);
  /* Every other series is judged on whole numbers of sigma, where ties are on the lines. */
  if (at.seed % 2 == 0)
    at.chart = bt_individuals_stated(0, 1);
}

static void check_ranges(void) {
  bt_moving_ranges(at.value, at.use, at.n, range, has_range);
  for (size_t i = 0; i < at.n; i++) {
    size_t before = BT_NONE;
    for (size_t j = 0; j < i; j++)
      if (at.use[j] != 0)
        before = j;
    bool has = at.use[i] != 0 && before != BT_NONE;
    EXPECT((has_range[i] != 0) == has, "a moving range", i);
    EXPECT(range[i] == (has ? fabs(at.value[i] - at.value[before]) : 0), "moving range", i);
  }
}

static void check_standardised(void) {
  bt_standardise(at.value, at.n, &at.chart, at.z);
  for (size_t i = 0; i < at.n; i++) {
    double z = at.chart.sigma > 0 ? (at.value[i] - at.chart.centre) / at.chart.sigma : 0;
    EXPECT(near(at.z[i], z), "z", i);
  }
}

/* At least `needed` of the last `of` used points up to the u-th lie beyond the line, itself too. */
static bool pattern(size_t u, double side, double line, size_t needed, size_t of) {
  size_t beyond = 0;
  for (size_t back = 0; back < of && back <= u; back++)
    beyond += side * at.z[used[u - back]] > line + ON_LINE;
  return side * at.z[used[u]] > line + ON_LINE && beyond >= needed;
}

static void check_rules(size_t from, size_t to) {
  bt_zone_rules(at.z + from, at.use + from, to - from, high + from, low + from);
  list_used(from, to);
  for (size_t i = from, u = 0; i < to; i++) {
    for (int s = 0; s < 2; s++) {
      double side = s == 0 ? 1 : -1;
      unsigned wanted = 0;
      if (at.use[i] != 0)
        wanted = (pattern(u, side, 3, 1, 1) ? 1U : 0) | (pattern(u, side, 2, 2, 3) ? 2U : 0) |
                 (pattern(u, side, 1, 4, 5) ? 4U : 0) | (pattern(u, side, 0, 8, 8) ? 8U : 0);
      EXPECT((s == 0 ? high : low)[i] == wanted, "zone rules", i);
    }
    u += at.use[i] != 0;
  }
}

/* The last restart in [from, i], or BT_NONE. */
static size_t restart_before(size_t from, size_t i) {
  size_t last = BT_NONE;
  for (size_t r = 0; r < at.restarts_n; r++)
    if (at.restarts[r].point >= from && at.restarts[r].point <= i &&
        (last == BT_NONE || at.restarts[r].point > last))
      last = at.restarts[r].point;
  return last;
}

/* One side's state at a point, from the last restart (or the segment's start) on. */
typedef struct stand {
  double sum, carried;
  uint32_t run;
  size_t began;
} stand;

static stand stand_at(size_t from, size_t i, double side, const bt_cusum *cusum) {
  size_t restart = restart_before(from, i);
  stand s = {.began = BT_NONE};
  if (restart != BT_NONE)
    s.sum = s.carried = cusum->headstart * cusum->h;
  for (size_t j = restart == BT_NONE ? from : restart; j <= i; j++) {
    if (at.use[j] == 0)
      continue;
    s.sum = fmax(0, s.sum + side * at.z[j] - cusum->k);
    if (s.sum <= ON_LINE) {
      s = (stand){.began = BT_NONE};
      continue;
    }
    s.began = s.run == 0 ? j : s.began;
    s.run++;
  }
  return s;
}

/* Excursions of both sides over one segment; entries from *entry on. */
static void check_cusum(size_t from, size_t to, bt_cusum *cusum) {
  bt_error error;
  size_t entry = cusum->excursions_n, open[2] = {BT_NONE, BT_NONE};
  cr_assert_eq(bt_cusum_run(at.z, at.use, from, to, at.chart.sigma, cusum, &error), BT_OK);
  for (size_t i = from; i < to; i++) {
    for (int s = 0; s < 2; s++)
      for (size_t r = 0; r < at.restarts_n; r++)
        open[s] = at.restarts[r].point == i ? BT_NONE : open[s];
    for (int s = 0; s < 2; s++) {
      double found = (s == 0 ? high_sum : low_sum)[i];
      uint32_t run = (s == 0 ? high_run : low_run)[i];
      if (at.use[i] == 0) {
        EXPECT(found == 0 && run == 0, "a sum where none is judged", i);
        continue;
      }
      stand wanted = stand_at(from, i, s == 0 ? 1 : -1, cusum);
      EXPECT(near(found, wanted.sum) && run == wanted.run, "CUSUM", i);
      if (wanted.sum <= cusum->h + ON_LINE) {
        open[s] = BT_NONE;
        continue;
      }
      if (open[s] == BT_NONE) {
        EXPECT(entry < cusum->excursions_n, "an excursion", i);
        const bt_excursion *made = &cusum->excursions[entry];
        double mean = cusum->k + (wanted.sum - wanted.carried) / wanted.run;
        EXPECT(made->signal == i && made->side == (s == 0 ? BT_HIGH : BT_LOW), "excursion", i);
        EXPECT(made->run_began == wanted.began, "signal run began", i);
        EXPECT(near(made->size, (s == 0 ? 1 : -1) * at.chart.sigma * mean), "size", i);
        open[s] = entry++;
      }
      EXPECT(cusum->excursions[open[s]].last >= i, "the end of an excursion", i);
    }
    for (size_t e = 0; e < entry; e++) /* one that is not open has ended before this point */
      EXPECT(e == open[0] || e == open[1] || cusum->excursions[e].last < i || at.use[i] == 0,
             "an excursion's last point", i);
  }
  EXPECT(entry == cusum->excursions_n, "no more excursions", to);
}

/* The average as its sum of weights: lambda (1 - lambda)^j, j points back, the rest the centre. */
static void check_ewma(size_t from, size_t to) {
  bt_ewma ewma = {.lambda = 0.2, .limit = 2.962, .value = average, .lcl = lower, .ucl = upper};
  bt_ewma_run(at.value, at.use, from, to, &at.chart, at.restarts, at.restarts_n, &ewma);
  for (size_t i = from; i < to; i++) {
    if (at.use[i] == 0) {
      EXPECT(average[i] == 0 && lower[i] == 0 && upper[i] == 0, "an average", i);
      continue;
    }
    size_t restart = restart_before(from, i), start = restart == BT_NONE ? from : restart;
    double weight = 0.2, sum = 0;
    int count = 0;
    for (size_t j = i + 1; j-- > start;)
      if (at.use[j] != 0) {
        sum += weight * (at.value[j] - at.chart.centre);
        weight *= 0.8;
        count++;
      }
    double half = 2.962 * at.chart.sigma * sqrt(0.2 / 1.8 * (1 - pow(0.8, 2.0 * count)));
    EXPECT(near(average[i], at.chart.centre + sum), "EWMA", i);
    EXPECT(near(lower[i], at.chart.centre - half) && near(upper[i], at.chart.centre + half),
           "EWMA limits", i);
  }
}

/* Signals of one side belong to the episode of the one before unless 8 quiet points lie between. */
static void check_episodes(void) {
  bt_rules *const rules[BT_SIDES] = {[BT_LOW] = low, [BT_HIGH] = high};
  bt_episode *episodes = NULL;
  size_t episodes_n = 0, expected = 0;
  bt_error error;
  for (size_t i = 0; i < at.n; i++)
    strength[i] = (high[i] | low[i]) == 0 ? BT_QUIET : i % 7 == 0 ? BT_ALARM : BT_NOTICE;
  cr_assert_eq(
      bt_episodes_find(NULL, at.use, rules, strength, at.n, &episodes, &episodes_n, &error), BT_OK);
  for (int side = 0; side < BT_SIDES; side++)
    for (size_t i = 0; i < at.n; i++) {
      if (rules[side][i] == 0)
        continue;
      size_t quiet = 0, before = i;
      while (before > 0 && rules[side][before - 1] == 0)
        quiet += at.use[--before] != 0;
      bool first = before == 0 || quiet >= 8;
      expected += first;
      size_t holding = 0;
      for (size_t e = 0; e < episodes_n; e++) {
        const bt_episode *of = &episodes[e];
        if (of->side != (bt_side)side || i < of->first || i > of->last)
          continue;
        holding++;
        EXPECT((of->first == i) == first, "an episode's start", i);
        EXPECT((of->rules & rules[side][i]) == rules[side][i], "an episode's rules", i);
        EXPECT((int)of->strength >= strength[i], "an episode's strength", i);
      }
      EXPECT(holding == 1, "an episode", i);
    }
  EXPECT(episodes_n == expected, "the number of episodes", at.n);
  for (size_t e = 1; e < episodes_n; e++)
    EXPECT(episodes[e].first >= episodes[e - 1].first, "the order of episodes", e);
  free(episodes);
}

static void check_series(void) {
  check_individuals();
  check_ranges();
  check_standardised();
  bt_cusum cusum = {.k = 0.5,
                    .h = at.seed % 3 == 0 ? 4 : 5,
                    .headstart = 0.5,
                    .high = high_sum,
                    .low = low_sum,
                    .run_high = high_run,
                    .run_low = low_run,
                    .restarts = at.restarts,
                    .restarts_n = at.restarts_n};
  const size_t ends[] = {0, at.cut, at.n};
  for (int s = 0; s < 2; s++) {
    check_rules(ends[s], ends[s + 1]);
    check_cusum(ends[s], ends[s + 1], &cusum);
    check_ewma(ends[s], ends[s + 1]);
  }
  free(cusum.excursions);
  check_episodes();
}

Test(oracle, random_series) {
  const size_t series_n = getenv("BEAMTALLY_LONG_TESTS") != NULL ? LONG_SERIES : SERIES;
  uint64_t seed = 20260817;
  for (size_t s = 0; s < series_n; s++) {
    make_series(&seed);
    check_series();
  }
}
