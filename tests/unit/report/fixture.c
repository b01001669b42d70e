#include "fixture.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static uint64_t seed;

/* Sum of twelve uniform numbers, less six: near enough to a normal one. */
static double noise(void) {
  double sum = -6;
  for (int i = 0; i < 12; i++) {
    seed = seed * 6364136223846793005ULL + 1442695040888963407ULL;
    sum += (double)(seed >> 33) / 2147483648.0;
  }
  return sum;
}

void *fixture_filled(size_t n, size_t size) {
  void *made = bt_new(n, size);
  if (made == NULL)
    abort();
  return made;
}

static bt_time at(int year, int month, int day, int hour) {
  bt_civil civil = {.year = year, .month = month, .day = day, .hour = hour};
  return bt_time_of(&civil);
}

fixture_plan fixture_usual(void) {
  return (fixture_plan){.unit = "Suite North",
                        .clinic = "Eye Clinic Example",
                        .source = "instructions for use",
                        .frozen_by = "M. Reader",
                        .characteristic = BT_ENERGY_RATIO,
                        .points = 228,
                        .days = 1.15,
                        .centre = 1.0,
                        .sigma = 0.0042,
                        .drift = 0,
                        .baseline_n = 78,
                        .adjusted = true,
                        .tolerance = true,
                        .tolerance_half = 7,
                        .fills = true,
                        .events = 2};
}

static void make_values(const fixture_plan *plan, bt_study *of) {
  size_t n = plan->points;
  bt_series *points = &of->points;
  bt_time end = at(2026, 9, 27, 8);
  for (size_t i = 0; i < n; i++) {
    points->at[i] = end - (bt_time)(plan->days * (double)BT_DAY * (double)(n - 1 - i));
    double later = (double)i - (double)n * 2 / 3;
    double drift = later > 0 ? plan->drift * later : 0;
    double value = plan->centre + (plan->flat ? 0 : plan->sigma * (noise() + drift));
    double age = (double)(i % 4) * 0.9;
    points->value[i] = value;
    points->raw[i] = plan->adjusted ? value - plan->sigma * 0.35 * (age - 1.4) : value;
    points->fill_age_days[i] = age;
    points->fill[i] = (int32_t)(i / 4);
    points->checks[i] = 1;
    points->flags[i] = BT_POINT_HAS_AGE;
    if (i < plan->unknown_age)
      points->flags[i] = BT_POINT_UNKNOWN_AGE;
  }
  for (size_t k = 0; k < plan->wild && 3 * k < n; k++)
    points->value[n - 1 - k * 3] = points->raw[n - 1 - k * 3] = k % 2 == 0 ? 0 : plan->centre * 3;
}

static void copy_checks(bt_study *of) {
  size_t n = of->points.n;
  for (size_t i = 0; i < of->checks.n; i++) {
    size_t from = i < n ? i : n - 1;
    of->checks.at[i] = of->points.at[from] + (i < n ? 0 : 20 * BT_MINUTE * (bt_time)(i - n + 1));
    of->checks.raw[i] = of->points.raw[from];
    of->checks.value[i] = of->points.value[from];
    of->checks.flags[i] = i < n ? of->points.flags[from] : BT_POINT_RETEST;
    of->checks.checks[i] = 1;
  }
}

/* T² has one limit for each phase, and nothing else of an individuals chart. */
static void make_vector(const fixture_plan *plan, bt_segment *segment) {
  segment->vector = (bt_vector){.n = segment->chart.n,
                                .df = (double)segment->chart.n - 1,
                                .mean_x = 1.5,
                                .mean_y = -2,
                                .var_x = 4,
                                .var_y = 2.25,
                                .cov_xy = 1.2,
                                .phase1_limit = plan->centre + 2.2 * plan->sigma,
                                .phase2_limit = plan->centre + 2.4 * plan->sigma};
  segment->chart =
      (bt_individuals){.n = segment->chart.n,
                       .ucl = segment->phase2 < segment->to ? segment->vector.phase2_limit
                                                            : segment->vector.phase1_limit};
}

static void make_segments(const fixture_plan *plan, bt_study *of) {
  if (plan->baseline_n == 0 || plan->points == 0)
    return;
  of->segments_n = plan->two_segments && plan->points >= 4 ? 2 : 1;
  of->segments = fixture_filled(of->segments_n, sizeof *of->segments);
  for (size_t s = 0; s < of->segments_n; s++) {
    bt_segment *segment = &of->segments[s];
    size_t half = plan->points * 3 / 5;
    segment->from = s == 0 ? 0 : half;
    segment->to = of->segments_n == 2 && s == 0 ? half : plan->points;
    size_t last = segment->from + plan->baseline_n;
    last = last > segment->to ? segment->to : last;
    segment->phase2 = last;
    segment->state = plan->state;
    segment->provisional = plan->provisional;
    double sigma = plan->flat ? 0 : plan->sigma;
    double centre = plan->centre + (double)s * plan->sigma;
    segment->chart = (bt_individuals){.n = last - segment->from,
                                      .centre = centre,
                                      .sigma = sigma,
                                      .lcl = centre - 3 * sigma,
                                      .ucl = centre + 3 * sigma,
                                      .mr_centre = 1.128 * sigma,
                                      .mr_ucl = 3.2665 * 1.128 * sigma,
                                      .df = 40};
    segment->baseline = (bt_baseline){.version = plan->provisional ? 0 : 1,
                                      .characteristic = plan->characteristic,
                                      .from = of->points.at[segment->from],
                                      .to = of->points.at[last - 1],
                                      .n = (int64_t)segment->chart.n};
    if (!plan->provisional)
      segment->baseline.by = bt_copy(plan->frozen_by);
    segment->slope = (bt_slope){.use = plan->adjusted ? BT_AGE_USED : BT_AGE_NO_FILLS,
                                .fills = 20,
                                .n = 78,
                                .df = 57,
                                .per_day = -0.26 * plan->sigma,
                                .low = -0.33 * plan->sigma,
                                .high = -0.19 * plan->sigma,
                                .mean_age_days = 1.4,
                                .oldest_age_days = 4};
    segment->autocorrelation = (bt_autocorrelation){.n = 78,
                                                    .lag1 = plan->autocorrelated ? 0.41 : 0.08,
                                                    .bound = 0.22,
                                                    .exceeded = plan->autocorrelated};
    segment->resolution =
        (bt_resolution){.step = plan->flat ? 0 : plan->sigma * (plan->coarse ? 1.5 : 0.1),
                        .coarse = plan->coarse,
                        .useless = plan->state == BT_CHART_RESOLUTION};
    /* What judges the radius is neither of the chart's limits. */
    if (plan->characteristic == BT_TRACKER_RADIAL)
      segment->radial = (bt_radial_limit){.n = segment->chart.n, .limit = centre + 2.4 * sigma};
    if (plan->characteristic == BT_TRACKER_VECTOR)
      make_vector(plan, segment);
    for (size_t i = segment->from; i < segment->to; i++)
      of->points.segment[i] = (int32_t)s;
  }
}

static bt_study *make_study(const fixture_plan *plan, bt_unit_study *unit) {
  bt_study *of = fixture_filled(1, sizeof *of);
  size_t n = plan->points;
  of->characteristic = plan->characteristic;
  of->quantity = bt_settings_quantity(&unit->settings, plan->characteristic);
  of->adjusted = plan->adjusted && plan->baseline_n > 0;
  if (!bt_series_new(&of->points, n) || !bt_series_new(&of->checks, n > 0 ? n + plan->retests : 0))
    abort();
  of->z = fixture_filled(n, sizeof *of->z);
  of->moving_range = fixture_filled(n, sizeof *of->moving_range);
  of->has_range = fixture_filled(n, 1);
  of->judged = fixture_filled(n, 1);
  of->rules[BT_LOW] = fixture_filled(n, sizeof(bt_rules));
  of->rules[BT_HIGH] = fixture_filled(n, sizeof(bt_rules));
  of->strength = fixture_filled(n, 1);
  make_values(plan, of);
  copy_checks(of);
  for (size_t i = 0; i < n; i++)
    of->points.segment[i] = -1;
  make_segments(plan, of);
  fixture_trust(plan, of);
  fixture_judge(plan, unit, of);
  fixture_decide(plan, of);
  of->restarted = BT_NONE;
  if (plan->restarted) {
    of->cusum.restarts = fixture_filled(1, sizeof *of->cusum.restarts);
    of->cusum.restarts_n = 1;
    of->cusum.restarts[0] = (bt_restart){.point = n > 3 ? n - 3 : 0,
                                         .at = at(2026, 9, 24, 12),
                                         .kind = BT_EVENT_SERVICE,
                                         .resolved = plan->resolved};
    of->restarted = 0;
  }
  of->verdict = fixture_verdict(plan, of);
  return of;
}

static void make_settings(const fixture_plan *plan, bt_unit_study *unit) {
  bt_settings *settings = &unit->settings;
  settings->clinic = bt_copy(plan->clinic);
  settings->tell = bt_copy(plan->tell);
  if (plan->own.key != NULL) {
    settings->own_n = 1;
    settings->own = fixture_filled(1, sizeof *settings->own);
    settings->own[0] = (bt_own_characteristic){.key = bt_copy(plan->own.key),
                                               .title = bt_copy(plan->own.title),
                                               .unit = bt_copy(plan->own.unit),
                                               .decimals = plan->own.decimals};
  }
  if (!plan->tolerance)
    return;
  settings->tolerances_n = 1;
  settings->tolerances = fixture_filled(1, sizeof *settings->tolerances);
  double half = plan->tolerance_half * plan->sigma;
  settings->tolerances[0] = (bt_tolerance){.unit = bt_copy(plan->unit),
                                           .characteristic = plan->characteristic,
                                           .has_low = !plan->one_sided,
                                           .has_high = true,
                                           .low = plan->centre - half,
                                           .high = plan->centre + half,
                                           .source = bt_copy(plan->source),
                                           .from = at(1990, 1, 1, 0)};
}

static void make_events(const fixture_plan *plan, bt_unit_study *unit, bt_time from, bt_time to) {
  bt_history *history = &unit->history;
  bt_time first = plan->points > 0 ? unit->first_check : from;
  size_t fills = plan->fills ? (size_t)((to - first) / (3 * BT_DAY)) + 1 : 0;
  history->events = fixture_filled(fills + plan->events, sizeof *history->events);
  unit->fills.fill = fixture_filled(fills, sizeof *unit->fills.fill);
  for (size_t i = 0; i < fills; i++) {
    bt_time begun = first + (bt_time)i * 3 * BT_DAY;
    unit->fills.fill[unit->fills.n++] = (bt_fill){begun, begun + 3 * BT_DAY, true};
    history->events[history->events_n++] =
        (bt_event){.unit = bt_copy(plan->unit), .time = begun, .kind = BT_EVENT_GAS_REFILL};
  }
  for (size_t i = 0; i < plan->events; i++) {
    bt_time when = from + (to - from) * (bt_time)(i + 1) / (bt_time)(plan->events + 1);
    history->events[history->events_n++] =
        (bt_event){.unit = bt_copy(plan->unit),
                   .time = when,
                   .kind = (bt_event_kind)(1 + (i + 1) % (BT_EVENT_COUNT - 1)),
                   .note = bt_copy(plan->note)};
  }
}

static void make_history(const fixture_plan *plan, bt_unit_study *unit, const bt_study *of) {
  bt_history *history = &unit->history;
  history->unit = bt_copy(plan->unit);
  history->n = of->checks.n;
  history->at = fixture_filled(history->n, sizeof *history->at);
  history->has_clock = fixture_filled(history->n, sizeof *history->has_clock);
  history->line = fixture_filled(history->n, sizeof *history->line);
  history->present = fixture_filled(history->n, sizeof *history->present);
  history->state = fixture_filled(history->n, sizeof *history->state);
  for (size_t i = 0; i < history->n; i++) {
    history->line[i] = (int64_t)i + 2; /* under the header */
    history->at[i] = of->checks.at[i];
    history->has_clock[i] = 1;
  }
  unit->has_check = history->n > 0;
  unit->current = unit->has_check;
  unit->first_check = unit->has_check ? history->at[0] : 0;
  unit->last_check = unit->has_check ? history->at[history->n - 1] : 0;
}

static bt_study *make_room(const fixture_plan *plan, bt_unit_study *unit) {
  fixture_plan room = *plan;
  room.characteristic = BT_TEMPERATURE;
  room.centre = 21.5;
  room.sigma = 0.6;
  room.tolerance = room.adjusted = room.alarms = false;
  room.drift = 0;
  room.concluded = room.alone = 0;
  room.state = BT_CHART_COVARIATE;
  return make_study(&room, unit);
}

static void add_axes(const fixture_plan *plan, bt_unit_study *unit) {
  for (int c = BT_TRACKER_X; c <= BT_TRACKER_Y; c++) {
    fixture_plan axis = *plan;
    axis.characteristic = (bt_characteristic)c;
    axis.centre = c == BT_TRACKER_X ? 1.5 : -2;
    axis.sigma = c == BT_TRACKER_X ? 2 : 1.5;
    axis.wild = 0;
    axis.tolerance = false;
    unit->studies[unit->studies_n++] = make_study(&axis, unit);
  }
}

bt_unit_study *fixture_make(const fixture_plan *plan, bt_report_request *request) {
  seed = 20260927;
  bt_unit_study *unit = fixture_filled(1, sizeof *unit);
  bt_time to = at(2026, 9, 28, 0);
  bt_time from = to - (bt_time)(plan->shown_days > 0 ? plan->shown_days : 150) * BT_DAY;
  *request = (bt_report_request){
      .month = at(2026, 9, 1, 0), .from = from, .to = to, .created = at(2026, 9, 27, 9)};
  unit->until = to;
  make_settings(plan, unit);
  unit->studies = fixture_filled(4 + plan->copies, sizeof(bt_study *));
  unit->studies[unit->studies_n++] = make_study(plan, unit);
  if (plan->axes)
    add_axes(plan, unit);
  if (plan->covariates)
    unit->studies[unit->studies_n++] = make_room(plan, unit);
  for (size_t i = 0; i < plan->copies; i++)
    unit->studies[unit->studies_n++] = make_study(plan, unit);
  make_history(plan, unit, unit->studies[0]);
  make_events(plan, unit, from, to);
  unit->provenance = (bt_provenance){.sources = 3,
                                     .checks = (int64_t)unit->history.n,
                                     .refused = 1,
                                     .state = "7c1e44ab90d2a0b1c2d3"};
  unit->selftest = (bt_selftest){.logged = unit->has_check,
                                 .n = unit->history.n,
                                 .failed = plan->selftest_failed,
                                 .last_at = unit->last_check,
                                 .passed = plan->selftest_failed ? 11 : 12,
                                 .total = 12,
                                 .items = plan->selftest_failed ? "gas pressure" : NULL,
                                 .last_failed = plan->selftest_failed};
  fixture_keep_record(plan, unit);
  unit->verdict = unit->studies[0]->verdict;
  if (plan->selftest_failed && unit->verdict > BT_VERDICT_SELFTEST_FAILED)
    unit->verdict = BT_VERDICT_SELFTEST_FAILED;
  return unit;
}
