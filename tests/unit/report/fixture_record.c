/* What a made-up study knows beside its chart: alarm limits, spread, capability, what the baseline
 * is worth; and what people decided. */
#include "fixture.h"

#include <stdio.h>
#include <stdlib.h>

static void limit_alarms(const fixture_plan *plan, bt_study *of, bt_segment *segment) {
  bool vector = of->characteristic == BT_TRACKER_VECTOR;
  bool axis = of->characteristic == BT_TRACKER_X || of->characteristic == BT_TRACKER_Y;
  if (!plan->alarms || segment->chart.n < 30 || of->characteristic == BT_TRACKER_RADIAL)
    return;
  segment->alarm = (bt_alarm_limits){.given = true,
                                     .budget_a_year = 1,
                                     .charts = 5,
                                     .checks_a_year = 250,
                                     .n = segment->chart.n,
                                     .screened = plan->screened,
                                     .limit = vector || axis ? 0 : FIXTURE_ALARM_LIMIT,
                                     .h = vector ? 0 : FIXTURE_ALARM_H,
                                     .t2_limit = vector ? FIXTURE_T2_ALARM : 0,
                                     .share_a_year = 0.2,
                                     .low = 0.05,
                                     .high = 0.7};
}

/* The limit of a mean of three is wide enough for most days, not for all. */
static void spread(bt_study *of, bt_segment *segment) {
  double sigma = segment->chart.sigma > 0 ? segment->chart.sigma : 1;
  segment->within = (bt_within){.days = segment->chart.n / 3, .sigma = sigma / 2};
  for (size_t i = segment->from; i < segment->to; i += 3) {
    of->points.checks[i] = 3;
    of->points.within_s[i] = sigma * (0.3 + 0.1 * (double)(i % 13));
    of->within_s_ucl[i] = sigma * 1.3;
  }
}

static void doubt(const fixture_plan *plan, bt_segment *segment) {
  double trend = plan->drifting ? 0.0004 : 0.41, step = plan->drifting ? 0.012 : 0.3;
  segment->stability = (bt_stability){.n = segment->chart.n,
                                      .tau = -0.2,
                                      .trend_p = trend,
                                      .step_p = step,
                                      .drifting = plan->drifting,
                                      .detectable = 0.9};
  segment->baseline.drift_accepted = plan->accepted;
  segment->baseline.trend_p = trend;
  segment->baseline.step_p = step;
  const bt_individuals *chart = &segment->chart;
  segment->refit = (bt_refit){.differs = plan->refit,
                              .given = true,
                              .n = segment->chart.n + 2,
                              .centre = chart->centre + 0.3 * chart->sigma,
                              .sigma = chart->sigma,
                              .lcl = chart->lcl + 0.3 * chart->sigma,
                              .ucl = chart->ucl + 0.3 * chart->sigma};
}

static bt_capability capability_of(const fixture_plan *plan, const bt_study *of) {
  bt_capability found = {.n = of->checks.n, .baseline_n = plan->baseline_n};
  bool one = of->characteristic == BT_TRACKER_RADIAL || of->characteristic == BT_TRACKER_VECTOR;
  if (one || plan->state == BT_CHART_COVARIATE)
    found.use = BT_CAPABILITY_NOT_NORMAL;
  else if (!plan->tolerance)
    found.use = BT_CAPABILITY_NO_TOLERANCE;
  else if (plan->baseline_n < 30)
    found.use = BT_CAPABILITY_NO_BASELINE;
  else if (!plan->capable)
    found.use = BT_CAPABILITY_OUT_OF_CONTROL;
  else {
    found.pp = found.cp = (bt_index){!plan->one_sided, 2.31, 2.05, 2.57};
    found.ppk = found.cpk = (bt_index){true, -0.12, -0.34, 0.1};
  }
  return found;
}

void fixture_trust(const fixture_plan *plan, bt_study *of) {
  if (plan->within)
    of->within_s_ucl = fixture_filled(of->points.n, sizeof *of->within_s_ucl);
  for (size_t s = 0; s < of->segments_n; s++) {
    limit_alarms(plan, of, &of->segments[s]);
    doubt(plan, &of->segments[s]);
    if (plan->within)
      spread(of, &of->segments[s]);
  }
  of->capability = capability_of(plan, of);
  if (plan->first && of->points.n > 0 && of->segments_n > 0)
    of->from_first = (bt_from_first){.given = true,
                                     .from = of->points.at[0] - 400 * BT_DAY,
                                     .to = of->points.at[0] - 300 * BT_DAY,
                                     .centre = plan->centre,
                                     .shift = -2.1 * plan->sigma};
}

static bt_disposition disposition(const bt_study *of, const bt_episode *episode) {
  bt_disposition made = {.characteristic = bt_copy(of->quantity.key),
                         .cause = bt_copy("old gas <b>&#"),
                         .action = bt_copy("gas bottle changed, refilled twice"),
                         .by = bt_copy("M. Reader"),
                         .at = of->points.at[of->points.n - 1]};
  if (episode != NULL) {
    made.high = episode->side == BT_HIGH;
    made.from = of->points.at[episode->first];
    made.to = of->points.at[episode->last];
    (void)snprintf(made.episode, sizeof made.episode, "%s", episode->id);
  } else {
    made.from = of->points.at[0];
    made.to = of->points.at[of->points.n / 2];
    made.restart = true;
    (void)snprintf(made.episode, sizeof made.episode, "0badcafe");
  }
  return made;
}

void fixture_decide(const fixture_plan *plan, bt_study *of) {
  if (of->points.n == 0)
    return;
  size_t most = plan->concluded + plan->alone;
  of->dispositions = fixture_filled(most, sizeof *of->dispositions);
  of->disposition_used = fixture_filled(most, sizeof *of->disposition_used);
  for (size_t i = 0; i < plan->concluded && i < of->episodes_n; i++) {
    of->episodes[i].disposition = of->dispositions_n;
    of->disposition_used[of->dispositions_n] = true;
    of->dispositions[of->dispositions_n++] = disposition(of, &of->episodes[i]);
  }
  for (size_t i = 0; i < plan->alone; i++)
    of->dispositions[of->dispositions_n++] = disposition(of, NULL);
}

static void correct(const fixture_plan *plan, bt_unit_study *unit) {
  unit->corrections = fixture_filled(plan->corrections, sizeof *unit->corrections);
  for (size_t i = 0; i < plan->corrections; i++)
    unit->corrections[unit->corrections_n++] =
        (bt_correction){.kind = (bt_correction_kind)(i % (BT_REDACTED + 1)),
                        .of_event = i % 7 == 6,
                        .unit = bt_copy(plan->unit),
                        .time = unit->last_check - (bt_time)i * BT_DAY,
                        .has_clock = true,
                        .changes = bt_copy("energy_mj 1.61 -> 1.59"),
                        .touched = {.readings = 1U << BT_READING_ENERGY_MJ},
                        .records = i % 5 == 2 ? 40 : 1,
                        .at = unit->until - (bt_time)(i + 1) * BT_HOUR,
                        .by = bt_copy("M. Reader"),
                        .why = bt_copy("a slip of the pen, seen on the printed sheet")};
  unit->provenance.corrections = (int64_t)plan->corrections;
  unit->provenance.conflicts = (int64_t)plan->held_back;
}

static void fail(const fixture_plan *plan, bt_unit_study *unit) {
  static const char *const names[] = {"gas pressure", "shutter", "cooling", "beam path", "door"};
  bt_rare *rare = &unit->selftest.rare;
  rare->failures = unit->selftest.failed = plan->failures;
  rare->trend_p = 1;
  if (plan->failures == 0)
    return;
  rare->failed_at = fixture_filled(plan->failures, sizeof *rare->failed_at);
  for (size_t i = 0; i < plan->failures; i++)
    rare->failed_at[i] = unit->last_check - (bt_time)(12 + 30 * (plan->failures - 1 - i)) * BT_DAY;
  rare->open_days = 12.4;
  rare->gaps_n = plan->failures - 1;
  rare->gap_days = fixture_filled(rare->gaps_n, sizeof *rare->gap_days);
  for (size_t i = 0; i < rare->gaps_n; i++)
    rare->gap_days[i] = 40.2 - 5 * (double)i;
  rare->mean_days = rare->gaps_n > 0 ? 31.5 : 0;
  if (rare->gaps_n >= 5) {
    rare->short_limit = 21.3;
    rare->last_is_short = rare->gap_days[rare->gaps_n - 1] < rare->short_limit;
    rare->laplace_u = 1.9;
    rare->trend_p = 0.02;
  }
  rare->items_n = plan->failures < 5 ? plan->failures : 5;
  rare->items = fixture_filled(rare->items_n, sizeof *rare->items);
  for (size_t i = 0; i < rare->items_n; i++)
    rare->items[i] =
        (bt_failed_item){bt_copy(names[i]), i == 0 ? plan->failures - rare->items_n + 1 : 1,
                         unit->last_check - (bt_time)(i + 12) * BT_DAY};
}

void fixture_keep_record(const fixture_plan *plan, bt_unit_study *unit) {
  correct(plan, unit);
  if (unit->selftest.logged && plan->failures > 0)
    fail(plan, unit);
  for (size_t i = 0; i < unit->studies_n; i++) {
    const bt_segment *now = bt_study_now(unit->studies[i]);
    unit->false_alarms_a_year += now != NULL && now->alarm.given ? now->alarm.share_a_year : 0;
  }
}
