/* Random histories through the ledger against a second reading of the design, in plain loops: gaps,
 * refills, services, several checks a day, retests, as-left readings, failed tolerances, a shift,
 * and corrections. The readings are the energy ratio, which is moved to the mean fill age. Where
 * BEAMTALLY_LONG_TESTS is set there are 100 of them, else 20. */
#include "made_ledger.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <unistd.h>

enum { HISTORIES = 20, LONG_HISTORIES = 100, MOST = 1000, EVENTS = 100, CORRECTED = 10 };

static bt_error error;

/* What a history holds, and what the plain reading makes of it. */
typedef struct plain {
  size_t n, refills_n, services_n, points_n, phase2;
  bt_time at[MOST], refill[EVENTS], service[EVENTS];
  double raw[MOST], age[MOST];
  bool as_left[MOST], failed[MOST], known[MOST], outside[MOST], retest[MOST];
  int fill[MOST], stretch[MOST], point[MOST];

  bt_time first_at[MOST];
  double point_raw[MOST], point_age[MOST], value[MOST], z[MOST], high[MOST], low[MOST];
  bool has_age[MOST], used[MOST];
  int checks[MOST], judged[MOST];
  bt_rules rules[BT_SIDES][MOST];
  double b, mean_age, oldest, centre, sigma;
  bool adjusted;
  size_t screened, excluded[MOST];
} plain;

static double uniform(uint64_t *state) {
  *state = *state * 6364136223846793005U + 1442695040888963407U;
  return (double)(*state >> 11) / 9007199254740992.0;
}

static void add(plain *of, bt_time at, double raw, bool as_left) {
  of->at[of->n] = at;
  of->raw[of->n] = raw;
  of->as_left[of->n++] = as_left;
}

static void generate(plain *of, uint64_t *state) {
  int days = 75 + (int)(60 * uniform(state)), next_refill = 2;
  double shift_from = 60 + 60 * uniform(state), slope = uniform(state) < 0.3 ? 0 : -0.004;
  bt_time filled = made_time(0, 0, 0) - 2 * BT_DAY;
  for (int day = 0; day < days; day++) {
    if (day == next_refill) {
      filled = of->refill[of->refills_n++] = made_time(day, 6, (int)(59 * uniform(state)));
      next_refill += 2 + (int)(4 * uniform(state));
    }
    if (uniform(state) < 0.02)
      of->service[of->services_n++] = made_time(day, 9 + (int)(8 * uniform(state)), 17);
    if (uniform(state) < 0.15)
      continue;
    int checks = 1 + (int)(2.5 * uniform(state));
    for (int k = 0; k < checks; k++) {
      bt_time at = made_time(day, 8, (int)(30 * uniform(state))) + k * 150 * BT_MINUTE;
      double level =
          1.005 + slope * (double)(at - filled) / BT_DAY - (day > shift_from ? 0.008 : 0);
      double wild = uniform(state) < 0.03 ? (uniform(state) < 0.5 ? -0.06 : 0.018) : 0;
      add(of, at, level + 0.004 * made_normal(state) + wild, false);
      if (wild != 0)
        add(of, at + 25 * BT_MINUTE, level + 0.004 * made_normal(state), false);
      else if (uniform(state) < 0.02)
        add(of, at + 70 * BT_MINUTE, level + 0.004 * made_normal(state), true);
    }
  }
}

/* ---- The plain reading ------------------------------------------------------------------------
 */

static void place(plain *of) {
  int stretch = 0;
  for (size_t i = 0; i < of->n; i++) {
    of->fill[i] = 0;
    for (size_t r = 0; r < of->refills_n; r++)
      of->fill[i] += of->refill[r] <= of->at[i];
    bool split = i > 0 && of->fill[i] != of->fill[i - 1];
    for (size_t s = 0; i > 0 && s < of->services_n; s++)
      split = split || (of->service[s] > of->at[i - 1] && of->service[s] <= of->at[i]);
    stretch += split;
    of->stretch[i] = stretch;
    of->known[i] = of->fill[i] > 0;
    bt_time from = of->known[i] ? of->refill[of->fill[i] - 1] : of->at[0];
    of->age[i] = (double)(of->at[i] - from) / BT_DAY;
    of->outside[i] = of->failed[i] = of->raw[i] < 0.97 || of->raw[i] > 1.03;
  }
}

static void make_points(plain *of) {
  bt_time last_outside = 0;
  of->points_n = 0;
  for (size_t i = 0; i < of->n; i++) {
    of->retest[i] = last_outside != 0 && of->at[i] - last_outside <= BT_HOUR;
    if (of->outside[i])
      last_outside = of->at[i];
    of->point[i] = -1;
    if (of->retest[i] || of->as_left[i])
      continue;
    size_t p = of->points_n;
    if (p == 0 || bt_day_of(of->first_at[p - 1]) != bt_day_of(of->at[i])) {
      of->points_n++;
      of->first_at[p] = of->at[i];
      of->point_raw[p] = of->point_age[p] = 0;
      of->checks[p] = 0;
      of->has_age[p] = true;
    } else
      p--;
    of->point[i] = (int)p;
    of->checks[p]++;
    of->point_raw[p] += of->raw[i];
    of->point_age[p] += of->age[i];
    of->has_age[p] = of->has_age[p] && of->known[i];
  }
  for (size_t p = 0; p < of->points_n; p++) {
    of->point_raw[p] /= of->checks[p];
    of->point_age[p] /= of->checks[p];
  }
  of->phase2 = of->points_n < 60 ? of->points_n : 60;
}

/* P(|T| > t) by Simpson's rule on the density. */
static double t_p(double t, double df) {
  enum { STEPS = 20000 };
  double scale = exp(lgamma((df + 1) / 2) - lgamma(df / 2)) / sqrt(df * 3.14159265358979), sum = 0;
  double width = fabs(t) / STEPS;
  for (int k = 0; k <= STEPS; k++) {
    double x = k * width, weight = k == 0 || k == STEPS ? 1 : k % 2 == 1 ? 4 : 2;
    sum += weight * pow(1 + x * x / df, -(df + 1) / 2);
  }
  return 1 - 2 * scale * sum * width / 3;
}

/* Slope of the means of one day and stretch, each stretch about its own mean. */
static void fit_slope(plain *of) {
  static double value[MOST], age[MOST];
  static int stretch[MOST], fill[MOST], count[MOST], point[MOST];
  static bool known[MOST];
  size_t cells = 0, fills = 0, stretches = 0, aged = 0;
  for (size_t i = 0; i < of->n; i++) {
    int p = of->point[i];
    if (p < 0 || (size_t)p >= of->phase2 || !of->used[p])
      continue;
    if (cells == 0 || point[cells - 1] != p || stretch[cells - 1] != of->stretch[i]) {
      value[cells] = age[cells] = count[cells] = 0;
      point[cells] = p;
      stretch[cells] = of->stretch[i];
      fill[cells] = of->fill[i];
      known[cells++] = of->known[i];
    }
    size_t c = cells - 1;
    value[c] += of->raw[i];
    age[c] += of->age[i];
    count[c]++;
  }
  of->mean_age = of->oldest = 0;
  for (size_t c = 0; c < cells; c++) {
    value[c] /= count[c];
    age[c] /= count[c];
    fills += c == 0 || fill[c] != fill[c - 1];
    stretches += c == 0 || stretch[c] != stretch[c - 1];
    aged += known[c];
    of->mean_age += known[c] ? age[c] : 0;
    of->oldest = known[c] && age[c] > of->oldest ? age[c] : of->oldest;
  }
  of->mean_age /= aged > 0 ? (double)aged : 1;
  double sxx = 0, sxy = 0, rss = 0, df = (double)cells - (double)stretches - 1;
  for (int pass = 0; pass < 2; pass++)
    for (size_t from = 0, to; from < cells; from = to) {
      double mean_value = 0, mean_age = 0;
      for (to = from; to < cells && stretch[to] == stretch[from]; to++) {
        mean_value += value[to];
        mean_age += age[to];
      }
      for (size_t c = from; c < to; c++) {
        double x = age[c] - mean_age / (double)(to - from);
        double y = value[c] - mean_value / (double)(to - from);
        sxx += pass == 0 ? x * x : 0;
        sxy += pass == 0 ? x * y : 0;
        rss += pass == 1 ? (y - sxy / sxx * x) * (y - sxy / sxx * x) : 0;
      }
    }
  of->b = sxy / sxx;
  of->adjusted = fills >= 3 && aged > 0 && df >= 10 && t_p(of->b / sqrt(rss / df / sxx), df) < 0.05;
}

static bool moved(const plain *of, double raw, double age, bool known, double *value) {
  *value = raw - (of->adjusted && known ? of->b * (age - of->mean_age) : 0);
  return known || !of->adjusted;
}

/* Centre and sigma of the points that are used and have a value; gives how many they are. */
static size_t fit_limits(plain *of) {
  double sum = 0, ranges = 0, before = 0;
  size_t n = 0;
  for (size_t p = 0; p < of->phase2; p++) {
    if (!moved(of, of->point_raw[p], of->point_age[p], of->has_age[p], &of->value[p]) ||
        !of->used[p])
      continue;
    ranges += n > 0 ? fabs(of->value[p] - before) : 0;
    before = of->value[p];
    sum += before;
    n++;
  }
  of->centre = sum / (double)n;
  of->sigma = ranges / (double)(n - 1) / 1.1283791670955126;
  return n;
}

static size_t fit_baseline(plain *of) {
  of->screened = 0;
  size_t by_rule = 0, n;
  for (size_t p = 0; p < of->points_n; p++)
    of->used[p] = true;
  for (size_t i = 0; i < of->n; i++)
    if (of->failed[i] && of->point[i] >= 0)
      of->used[of->point[i]] = false;
  for (size_t p = 0; p < of->phase2; p++)
    if (!of->used[p])
      of->excluded[of->screened++] = p;
  for (;;) {
    size_t beyond[MOST], beyond_n = 0;
    fit_slope(of);
    n = fit_limits(of);
    for (size_t p = 0; p < of->phase2; p++)
      if (of->used[p] && (of->has_age[p] || !of->adjusted) &&
          fabs(of->value[p] - of->centre) > 3 * of->sigma)
        beyond[beyond_n++] = p;
    if (beyond_n == 0 || 10 * (by_rule + beyond_n) > of->phase2)
      return n;
    by_rule += beyond_n;
    for (size_t k = 0; k < beyond_n; k++) {
      of->used[beyond[k]] = false;
      of->excluded[of->screened++] = beyond[k];
    }
  }
}

/* Sigma of a single check: that of the points, and where most of them are means of several, the
 * part of the within-day variance that the means don't have. */
static double single_sigma(const plain *of) {
  double sum_s = 0, several = 0, points = 0, checks = 0;
  for (size_t p = 0; p < of->phase2; p++) {
    double n = of->checks[p], sum = 0, squares = 0, value;
    if (!of->used[p] || !moved(of, of->point_raw[p], of->point_age[p], of->has_age[p], &value))
      continue; /* in no baseline */
    points++;
    checks += n;
    if (n < 2)
      continue;
    for (int pass = 0; pass < 2; pass++)
      for (size_t i = 0; i < of->n; i++)
        if (of->point[i] == (int)p) {
          (void)moved(of, of->raw[i], of->age[i], of->known[i], &value);
          sum += pass == 0 ? value / n : 0;
          squares += pass == 1 ? (value - sum) * (value - sum) : 0;
        }
    double c4 = sqrt(2 / (n - 1)) * exp(lgamma(n / 2) - lgamma((n - 1) / 2));
    sum_s += sqrt(squares / (n - 1)) / c4;
    several++;
  }
  if (several <= points / 2)
    return of->sigma;
  double within = sum_s / several;
  return sqrt(of->sigma * of->sigma + within * within * (1 - points / checks));
}

static void mark_outside(plain *of) {
  double sigma = single_sigma(of);
  for (size_t i = 0; i < of->n; i++) {
    double value;
    if (moved(of, of->raw[i], of->age[i], of->known[i], &value) &&
        fabs(value - of->centre) > 3 * sigma)
      of->outside[i] = true;
  }
}

/* What was left out of the baseline is judged by its limit as well, but only at a known age. */
static void decide_judged(plain *of) {
  bool left_out[MOST] = {false};
  for (size_t e = 0; e < of->screened; e++)
    left_out[of->excluded[e]] = true;
  for (size_t p = 0; p < of->points_n; p++) {
    bool has = moved(of, of->point_raw[p], of->point_age[p], of->has_age[p], &of->value[p]);
    bool old = of->adjusted && of->point_age[p] > of->oldest + 1;
    of->z[p] = (of->value[p] - of->centre) / of->sigma;
    int in_phase = p < of->phase2 ? (of->used[p] || left_out[p] ? 2 : 0) : 1;
    of->judged[p] = has && !old ? in_phase : 0;
    of->rules[BT_HIGH][p] = of->rules[BT_LOW][p] = 0;
  }
}

/* How many of the last `of_last` judged points of Phase II up to p lie beyond the line. */
static int count_beyond(const plain *of, size_t p, int of_last, double side, double line) {
  int beyond = 0;
  for (size_t k = p + 1; k > of->phase2 && of_last > 0; k--)
    if (of->judged[k - 1] == 1) {
      beyond += side * of->z[k - 1] > line + 1e-9;
      of_last--;
    }
  return beyond;
}

static void mark_rules(plain *of) {
  for (size_t p = 0; p < of->points_n; p++)
    for (int side = 0; side < BT_SIDES; side++) {
      double sign = side == BT_HIGH ? 1 : -1, z = sign * of->z[p];
      bt_rules *rules = &of->rules[side][p];
      if (of->judged[p] != 0 && z > 3 + 1e-9)
        *rules |= BT_WE1;
      if (of->judged[p] != 1)
        continue;
      if (z > 2 + 1e-9 && count_beyond(of, p, 3, sign, 2) >= 2)
        *rules |= BT_WE2;
      if (z > 1 + 1e-9 && count_beyond(of, p, 5, sign, 1) >= 4)
        *rules |= BT_WE3;
      if (count_beyond(of, p, 8, sign, 0) == 8)
        *rules |= BT_WE4;
    }
  for (size_t i = 0; i < of->n; i++)
    for (size_t p = 0; of->failed[i] && p < of->points_n; p++)
      if (bt_day_of(of->first_at[p]) == bt_day_of(of->at[i]))
        of->rules[of->raw[i] < 0.97 ? BT_LOW : BT_HIGH][p] |= BT_TOLERANCE_FAILED;
}

static void run_cusum(plain *of) {
  double high = 0, low = 0;
  bt_time ends = of->first_at[of->phase2 - 1] + 1, before = ends;
  for (size_t p = of->phase2; p < of->points_n; p++) {
    of->high[p] = of->low[p] = 0;
    if (of->judged[p] != 1)
      continue;
    for (size_t s = 0; s < of->services_n; s++)
      if (of->service[s] >= before && of->service[s] <= of->first_at[p] && of->service[s] >= ends)
        high = low = 2.5;
    before = of->first_at[p] + 1;
    high = fmax(0, high + of->z[p] - 0.5);
    low = fmax(0, low - of->z[p] - 0.5);
    of->high[p] = high;
    of->low[p] = low;
    if (high > 5 + 1e-9)
      of->rules[BT_HIGH][p] |= BT_CUSUM_SIGNAL;
    if (low > 5 + 1e-9)
      of->rules[BT_LOW][p] |= BT_CUSUM_SIGNAL;
  }
}

static void mark_alarms(plain *of, const bt_alarm_limits *alarm) {
  for (size_t p = of->phase2; alarm->given && p < of->points_n; p++)
    for (int side = 0; side < BT_SIDES && of->judged[p] == 1; side++) {
      if ((side == BT_HIGH ? of->z[p] : -of->z[p]) > alarm->limit)
        of->rules[side][p] |= BT_ALARM_LIMIT;
      if (alarm->h > 0 && (side == BT_HIGH ? of->high[p] : of->low[p]) > alarm->h)
        of->rules[side][p] |= BT_ALARM_CUSUM;
    }
}

/* Signals of a side with fewer than 8 quiet judged points between them are one episode. */
static size_t count_episodes(const plain *of) {
  size_t n = 0;
  for (int side = 0; side < BT_SIDES; side++) {
    int quiet = 8;
    for (size_t p = 0; p < of->points_n; p++) {
      bool signal = of->rules[side][p] != 0;
      n += signal && quiet >= 8;
      quiet = signal ? 0 : quiet + (of->judged[p] != 0);
    }
  }
  return n;
}

/* ---- Both side by side ------------------------------------------------------------------------
 */

static void compare(plain *of, const bt_study *study, int history) {
  const bt_segment *now = bt_study_now(study);
  place(of);
  make_points(of);
  (void)fit_baseline(of);
  mark_outside(of);
  make_points(of);
  size_t n = fit_baseline(of);
  decide_judged(of);
  mark_rules(of);
  run_cusum(of);
  mark_alarms(of, &now->alarm);

  cr_assert_eq(study->checks.n, of->n, "history %d", history);
  for (size_t i = 0; i < of->n; i++)
    cr_expect_eq((study->checks.flags[i] & BT_POINT_RETEST) != 0, of->retest[i],
                 "history %d check %zu", history, i);
  cr_assert_eq(study->points.n, of->points_n, "history %d", history);
  cr_assert_eq(now->baseline.adjusted, of->adjusted, "history %d", history);
  cr_assert_eq(now->chart.n, n, "history %d", history);
  cr_assert_eq(now->exclusions_n, of->screened, "history %d", history);
  cr_assert_float_eq(now->chart.centre, of->centre, 1e-10, "history %d", history);
  cr_assert_float_eq(now->chart.sigma, of->sigma, 1e-10, "history %d", history);
  cr_assert_eq(study->episodes_n, count_episodes(of), "history %d", history);
  for (size_t p = 0; p < of->points_n; p++) {
    cr_expect_float_eq(study->points.value[p], of->value[p], 1e-10, "history %d point %zu", history,
                       p);
    cr_expect_eq(study->judged[p], of->judged[p], "history %d point %zu", history, p);
    for (int side = 0; side < BT_SIDES; side++)
      cr_expect_eq(study->rules[side][p], of->rules[side][p], "history %d point %zu: %x, not %x",
                   history, p, study->rules[side][p], of->rules[side][p]);
    if (of->judged[p] == 1) {
      cr_expect_float_eq(study->cusum.high[p], of->high[p], 1e-8);
      cr_expect_float_eq(study->cusum.low[p], of->low[p], 1e-8);
    }
  }
}

static void import(made_ledger *made, plain *of, const char *unit) {
  for (size_t i = 0; i < of->n; i++) {
    bt_check check = {.unit = unit,
                      .time = of->at[i],
                      .has_clock = true,
                      .present = 1U << BT_READING_TARGET_MJ | 1U << BT_READING_ENERGY_MJ,
                      .state = of->as_left[i] ? BT_AS_LEFT : BT_STATE_NONE,
                      .line = ++made->line,
                      .last_line = made->line};
    check.reading[BT_READING_TARGET_MJ] = 1;
    check.reading[BT_READING_ENERGY_MJ] = of->raw[i];
    cr_assert_eq(bt_import_check(made->import, &check, &error), BT_OK, "%s", error.text);
  }
  for (size_t e = 0; e < of->refills_n + of->services_n; e++) {
    bool refill = e < of->refills_n;
    bt_event event = {.unit = unit,
                      .time = refill ? of->refill[e] : of->service[e - of->refills_n],
                      .has_clock = true,
                      .kind = refill ? BT_EVENT_GAS_REFILL : BT_EVENT_SERVICE,
                      .line = ++made->line,
                      .last_line = made->line};
    cr_assert_eq(bt_import_event(made->import, &event, &error), BT_OK, "%s", error.text);
  }
}

/* Another reading in the place of one, in the ledger and in the plain history. */
static void correct(made_ledger *made, plain *of, const char *unit, uint64_t *state) {
  size_t i = (size_t)((double)of->n * uniform(state));
  bt_check check;
  cr_assert_eq(bt_ledger_find_check(made->ledger, unit, of->at[i], false, 0, &check, &error), BT_OK,
               "%s", error.text);
  bt_check replacement = check;
  of->raw[i] = replacement.reading[BT_READING_ENERGY_MJ] = 0.99 + 0.02 * uniform(state);
  cr_assert_eq(bt_ledger_correct_check(made->ledger, unit, of->at[i], check.sequence, &replacement,
                                       "KL", "a test", made_time(900, 0, 0), &error),
               BT_OK, "%s", error.text);
  bt_check_free(&check);
}

Test(agreement, random_histories_with_a_plain_reading_of_the_design) {
  static plain histories[LONG_HISTORIES];
  static char names[LONG_HISTORIES][24];
  static bt_tolerance tolerances[LONG_HISTORIES];
  static char source[] = "a policy";
  const int histories_n = getenv("BEAMTALLY_LONG_TESTS") != NULL ? LONG_HISTORIES : HISTORIES;
  made_ledger made;
  uint64_t state = 2026;
  made_begin(&made);
  for (int h = 0; h < histories_n; h++) {
    (void)snprintf(names[h], sizeof names[h], "Unit %d", h);
    tolerances[h] = (bt_tolerance){.unit = names[h],
                                   .characteristic = BT_ENERGY_RATIO,
                                   .has_low = true,
                                   .has_high = true,
                                   .low = 0.97,
                                   .high = 1.03,
                                   .source = source};
    generate(&histories[h], &state);
    import(&made, &histories[h], names[h]);
  }
  made_finish(&made);
  bt_settings settings = {
      .tolerances_n = (size_t)histories_n, .tolerances = tolerances, .alarms_per_unit_year = 1};
  cr_assert_eq(
      bt_ledger_add_settings(made.ledger, &settings, "KL", "a test", made_time(0, 0, 0), &error),
      BT_OK, "%s", error.text);
  for (int h = 0; h < CORRECTED; h++)
    correct(&made, &histories[h], names[h], &state);

  size_t adjusted = 0, alarms = 0;
  for (int h = 0; h < histories_n; h++) {
    bt_study_request request = {.unit = names[h],
                                .until = made_time(1000, 0, 0),
                                .only_one = true,
                                .characteristic = BT_ENERGY_RATIO};
    bt_unit_study *unit;
    cr_assert_eq(bt_study_unit(made.ledger, &request, &unit, &error), BT_OK, "%s", error.text);
    compare(&histories[h], unit->studies[0], h);
    adjusted += unit->studies[0]->adjusted;
    for (size_t e = 0; e < unit->studies[0]->episodes_n; e++)
      alarms += (unit->studies[0]->episodes[e].rules & (BT_ALARM_LIMIT | BT_ALARM_CUSUM)) != 0;
    bt_unit_study_free(unit);
  }
  double moved = (double)adjusted / histories_n;
  cr_assert(moved > 0.4 && moved < 0.95, "histories of both kinds: %zu moved", adjusted);
  cr_assert_gt(alarms, (size_t)histories_n / 20);
  made_end(&made);
}
