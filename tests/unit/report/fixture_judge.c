/* Rules, sums, episodes and verdicts of a made-up study, by plain loops. */
#include "fixture.h"

#include <math.h>
#include <stdio.h>

/* Points of the last `span` whose z lies beyond `line` on that side, i included. */
static size_t beyond(const bt_study *of, size_t i, size_t from, size_t span, bt_side side,
                     double line) {
  size_t n = 0;
  for (size_t k = 0; k < span && i >= from + k; k++)
    n += (side == BT_HIGH ? of->z[i - k] : -of->z[i - k]) > line;
  return n;
}

static bt_rules judged_t2(const bt_study *of, const bt_segment *segment, size_t i) {
  double t2 = of->points.value[i];
  double limit = i < segment->phase2 ? segment->vector.phase1_limit : segment->vector.phase2_limit;
  bool alarm = i >= segment->phase2 && segment->alarm.given && t2 > segment->alarm.t2_limit;
  return (bt_rules)((t2 > limit ? BT_WE1 : 0) | (alarm ? BT_ALARM_LIMIT : 0));
}

static void judge_point(bt_study *of, const bt_segment *segment, size_t i) {
  for (bt_side side = BT_LOW; side <= BT_HIGH; side++) {
    double z = side == BT_HIGH ? of->z[i] : -of->z[i];
    bt_rules bits = 0;
    bits |= z > 3 ? BT_WE1 : 0;
    if (of->judged[i] == 1) {
      size_t from = segment->phase2;
      for (const bt_rule *rule = bt_rule_table; rule->kind == BT_RULE_ZONE; rule++)
        if (z > rule->line &&
            beyond(of, i, from, (size_t)rule->of, side, rule->line) >= (size_t)rule->needed)
          bits |= rule->bit;
      double *sum = side == BT_HIGH ? of->cusum.high : of->cusum.low;
      double before = i > from ? sum[i - 1] : 0;
      sum[i] = fmax(0, before + z - 0.5);
      bits |= sum[i] > 5 ? BT_CUSUM_SIGNAL : 0;
      bits |= segment->alarm.given && sum[i] > segment->alarm.h ? BT_ALARM_CUSUM : 0;
      bits |= segment->alarm.given && z > segment->alarm.limit ? BT_ALARM_LIMIT : 0;
    }
    if (of->characteristic == BT_TRACKER_RADIAL)
      bits = side == BT_HIGH && of->points.value[i] > segment->radial.limit ? BT_WE1 : 0;
    if (of->characteristic == BT_TRACKER_VECTOR)
      bits = side == BT_HIGH ? judged_t2(of, segment, i) : 0;
    of->rules[side][i] |= bits;
  }
}

/* Weight 0.2, from the centre at the first point of Phase II. */
static void average(bt_study *of) {
  of->ewma = (bt_ewma){
      .lambda = 0.2, .limit = 2.962, .value = fixture_filled(of->points.n, sizeof(double))};
  for (size_t s = 0; s < of->segments_n; s++) {
    double mean = of->segments[s].chart.centre;
    for (size_t i = of->segments[s].phase2; i < of->segments[s].to; i++)
      if (of->judged[i] == 1) {
        mean += 0.2 * (of->points.value[i] - mean);
        of->ewma.value[i] = mean;
      }
  }
}

static void judge(bt_study *of) {
  size_t n = of->points.n;
  of->cusum.k = 0.5;
  of->cusum.h = 5;
  of->cusum.high = fixture_filled(n, sizeof *of->cusum.high);
  of->cusum.low = fixture_filled(n, sizeof *of->cusum.low);
  for (size_t s = 0; s < of->segments_n; s++) {
    const bt_segment *segment = &of->segments[s];
    for (size_t i = segment->from; i < segment->to; i++) {
      double sigma = segment->chart.sigma;
      of->z[i] = sigma > 0 ? (of->points.value[i] - segment->chart.centre) / sigma : 0;
      of->has_range[i] = i > segment->from;
      of->moving_range[i] =
          i > segment->from ? fabs(of->points.value[i] - of->points.value[i - 1]) : 0;
      bool aside = (of->points.flags[i] & BT_POINT_UNKNOWN_AGE) != 0;
      of->judged[i] = aside ? 0 : i < segment->phase2 ? 2 : 1;
      if (segment->state == BT_CHART_DRAWN && !aside)
        judge_point(of, segment, i);
    }
  }
}

static void judge_tolerance(const fixture_plan *plan, bt_unit_study *unit, bt_study *of) {
  bt_tolerance_finding *finding = &of->tolerance;
  finding->last_outside = BT_NONE;
  if (!plan->tolerance)
    return;
  const bt_tolerance *tolerance =
      bt_settings_tolerance(&unit->settings, plan->unit, plan->characteristic, unit->until);
  finding->now = tolerance;
  for (size_t i = 0; i < of->checks.n; i++) {
    double raw = of->checks.raw[i];
    bool low = tolerance->has_low && raw < tolerance->low;
    bool high = tolerance->has_high && raw > tolerance->high;
    finding->judged++;
    if (!low && !high)
      continue;
    finding->outside++;
    finding->last_outside = i;
    if (i < of->points.n)
      of->rules[high ? BT_HIGH : BT_LOW][i] |= BT_TOLERANCE_FAILED;
  }
  finding->last_is_outside = finding->outside > 0 && finding->last_outside + 1 == of->checks.n;
}

static void find_episodes(bt_study *of) {
  static const bt_rules alarms = BT_TOLERANCE_FAILED | BT_ALARM_LIMIT | BT_ALARM_CUSUM;
  of->episodes = fixture_filled(of->points.n + 1, 2 * sizeof *of->episodes);
  for (bt_side side = BT_LOW; side <= BT_HIGH; side++) {
    size_t quiet = 8;
    for (size_t i = 0; i < of->points.n; i++) {
      bt_rules bits = of->rules[side][i];
      if (bits == 0) {
        quiet += of->judged[i] != 0;
        continue;
      }
      bt_strength strength = (bits & alarms) != 0 ? BT_ALARM : BT_NOTICE;
      if (quiet >= 8)
        of->episodes[of->episodes_n++] =
            (bt_episode){.side = side, .first = i, .disposition = BT_NONE};
      bt_episode *episode = &of->episodes[of->episodes_n - 1];
      episode->last = i;
      episode->signals++;
      episode->rules |= bits;
      episode->strength = strength > episode->strength ? strength : episode->strength;
      if (of->strength[i] < (uint8_t)strength)
        of->strength[i] = (uint8_t)strength;
      quiet = 0;
    }
  }
}

/* In order of their first point, each with an id. */
static void sort_episodes(bt_study *of) {
  for (size_t i = 1; i < of->episodes_n; i++)
    for (size_t j = i; j > 0 && of->episodes[j].first < of->episodes[j - 1].first; j--) {
      bt_episode kept = of->episodes[j];
      of->episodes[j] = of->episodes[j - 1];
      of->episodes[j - 1] = kept;
    }
  for (size_t i = 0; i < of->episodes_n; i++)
    (void)snprintf(of->episodes[i].id, sizeof of->episodes[i].id, "%08x",
                   (unsigned)(0x1a2b3c00U + 16U * (unsigned)of->characteristic + (unsigned)i));
}

static void find_excursions(bt_study *of) {
  of->cusum.excursions = fixture_filled(of->points.n + 1, 2 * sizeof *of->cusum.excursions);
  for (bt_side side = BT_LOW; side <= BT_HIGH; side++) {
    const double *sum = side == BT_LOW ? of->cusum.low : of->cusum.high;
    bool inside = true;
    for (size_t i = 0; i < of->points.n; i++) {
      if (sum[i] > 5 && inside) {
        size_t began = i;
        while (began > 0 && sum[began - 1] > 0)
          began--;
        size_t entry = of->cusum.excursions_n++, first = entry;
        const bt_excursion *before = entry > 0 ? &of->cusum.excursions[entry - 1] : NULL;
        if (before != NULL && before->side == side && before->run_began == began)
          first = before->run_first;
        of->cusum.excursions[entry] = (bt_excursion){
            .side = side, .signal = i, .run_began = began, .run_first = first, .size = -0.0051};
      }
      if (sum[i] > 5)
        of->cusum.excursions[of->cusum.excursions_n - 1].last = i;
      inside = sum[i] <= 5;
    }
  }
}

bt_verdict fixture_verdict(const fixture_plan *plan, const bt_study *of) {
  const bt_episode *episode = bt_study_open_episode(of);
  if (of->tolerance.last_is_outside)
    return BT_VERDICT_OUT_OF_TOLERANCE;
  if (!plan->tolerance && !bt_characteristic_is_covariate(of->characteristic))
    return BT_VERDICT_NO_TOLERANCE;
  if (episode != NULL)
    return episode->strength == BT_ALARM ? BT_VERDICT_ALARM : BT_VERDICT_NOTICE;
  if (of->segments_n == 0 || of->segments[0].state == BT_CHART_TOO_FEW)
    return BT_VERDICT_NO_BASELINE;
  return BT_VERDICT_NO_SIGNAL;
}

void fixture_judge(const fixture_plan *plan, bt_unit_study *unit, bt_study *of) {
  judge(of);
  average(of);
  judge_tolerance(plan, unit, of);
  find_episodes(of);
  sort_episodes(of);
  find_excursions(of);
}
