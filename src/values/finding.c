/* Verdict words, look-ups in a study, and the free functions of findings. */
#include "beamtally/finding.h"

#include <math.h>
#include <stdlib.h>

const char *bt_verdict_words(bt_verdict verdict) {
  static const char *const words[] = {
      [BT_VERDICT_OUT_OF_TOLERANCE] = "OUT OF TOLERANCE",
      [BT_VERDICT_SELFTEST_FAILED] = "SELF-TEST FAILED",
      [BT_VERDICT_NO_CURRENT_CHECK] = "NO CURRENT CHECK",
      [BT_VERDICT_NO_TOLERANCE] = "NO TOLERANCE ENTERED",
      [BT_VERDICT_ALARM] = "ALARM",
      [BT_VERDICT_NOTICE] = "NOTICE",
      [BT_VERDICT_NO_BASELINE] = "NO BASELINE",
      [BT_VERDICT_NO_SIGNAL] = "NO SIGNAL IN THE LOG",
  };
  return words[verdict];
}

void bt_cusum_free(bt_cusum *cusum) {
  if (cusum == NULL)
    return;
  free(cusum->high);
  free(cusum->low);
  free(cusum->run_high);
  free(cusum->run_low);
  free(cusum->excursions);
  free(cusum->restarts);
  *cusum = (bt_cusum){0};
}

void bt_ewma_free(bt_ewma *ewma) {
  if (ewma == NULL)
    return;
  free(ewma->value);
  free(ewma->lcl);
  free(ewma->ucl);
  *ewma = (bt_ewma){0};
}

void bt_fills_free(bt_fills *fills) {
  if (fills == NULL)
    return;
  free(fills->fill);
  *fills = (bt_fills){0};
}

void bt_study_free(bt_study *study) {
  if (study == NULL)
    return;
  for (size_t i = 0; i < study->segments_n; i++) {
    bt_baseline_free(&study->segments[i].baseline);
    free(study->segments[i].exclusions);
  }
  free(study->segments);
  bt_series_free(&study->checks);
  bt_series_free(&study->points);
  free(study->z);
  free(study->moving_range);
  free(study->has_range);
  free(study->judged);
  free(study->rules[BT_LOW]);
  free(study->rules[BT_HIGH]);
  free(study->strength);
  bt_cusum_free(&study->cusum);
  bt_ewma_free(&study->ewma);
  free(study->episodes);
  free(study->jumps);
  bt_dispositions_free(study->dispositions, study->dispositions_n);
  free(study->disposition_used);
  free(study->within_s_ucl);
  free(study);
}

bt_verdict bt_study_shown_verdict(const bt_study *study) {
  if (study->verdict != BT_VERDICT_NO_TOLERANCE)
    return study->verdict;
  bt_strength open = bt_study_open_strength(study);
  const bt_segment *now = bt_study_now(study);
  if (open != BT_QUIET)
    return open == BT_ALARM ? BT_VERDICT_ALARM : BT_VERDICT_NOTICE;
  bool without =
      now == NULL || now->state == BT_CHART_TOO_FEW || bt_study_other_target_from(study) != BT_NONE;
  return without ? BT_VERDICT_NO_BASELINE : BT_VERDICT_NO_SIGNAL;
}

const char *bt_study_verdict_words(const bt_study *study) {
  bt_verdict shown = bt_study_shown_verdict(study);
  const bt_segment *now = bt_study_now(study);
  bool no_chart = now != NULL && now->state == BT_CHART_RESOLUTION;
  if (bt_characteristic_is_covariate(study->characteristic) ||
      (no_chart && (shown == BT_VERDICT_NO_BASELINE || shown == BT_VERDICT_NO_SIGNAL)))
    return "NOT JUDGED";
  bool past = shown == BT_VERDICT_NO_SIGNAL && study->episodes_n > 0;
  return past ? "NO OPEN SIGNAL" : bt_verdict_words(shown);
}

const bt_segment *bt_study_now(const bt_study *study) {
  return study->segments_n == 0 ? NULL : &study->segments[study->segments_n - 1];
}

/* The first of the last 8 judged points; of the last 8 points where fewer are judged, as in a
 * series that has no control chart. */
static size_t recent_from(const bt_study *study) {
  size_t seen = 0, n = study->points.n;
  for (size_t i = n; i > 0; i--)
    if (study->judged[i - 1] != 0 && ++seen == 8)
      return i - 1;
  return n > 8 ? n - 8 : 0;
}

bool bt_study_is_open(const bt_study *study, const bt_episode *episode) {
  return episode->last >= recent_from(study);
}

bool bt_study_concludes(const bt_study *study, const bt_episode *episode, size_t d) {
  const bt_disposition *disposition = &study->dispositions[d];
  return disposition->high == (episode->side == BT_HIGH) &&
         disposition->to >= study->points.at[episode->first] &&
         disposition->from <= study->points.at[episode->last];
}

size_t bt_study_revised(const bt_study *study, const bt_episode *episode) {
  size_t n = 0;
  for (size_t d = 0; d < study->dispositions_n && d < episode->disposition; d++)
    n += bt_study_concludes(study, episode, d);
  return episode->disposition < study->dispositions_n ? n : 0;
}

const bt_episode *bt_study_open_episode(const bt_study *study) {
  const bt_episode *worst = NULL;
  for (size_t i = 0; i < study->episodes_n; i++) {
    const bt_episode *episode = &study->episodes[i];
    if (bt_study_is_open(study, episode) && (worst == NULL || episode->strength >= worst->strength))
      worst = episode;
  }
  return worst;
}

bt_strength bt_study_open_strength(const bt_study *study) {
  bt_strength worst = BT_QUIET;
  for (size_t i = recent_from(study); i < study->points.n; i++)
    if (study->strength[i] > (uint8_t)worst)
      worst = (bt_strength)study->strength[i];
  return worst;
}

bt_strength bt_study_open_strength_on(const bt_study *study, bt_side side) {
  bt_strength worst = BT_QUIET;
  for (size_t i = recent_from(study); i < study->points.n && worst != BT_ALARM; i++) {
    bt_rules bits = study->rules[side][i];
    worst = (bits & BT_ALARM_RULES) != 0 ? BT_ALARM : bits != 0 ? BT_NOTICE : worst;
  }
  return worst;
}

void bt_rare_free(bt_rare *rare) {
  if (rare == NULL)
    return;
  for (size_t i = 0; i < rare->items_n; i++)
    free(rare->items[i].name);
  free(rare->items);
  free(rare->gap_days);
  free(rare->failed_at);
  *rare = (bt_rare){0};
}

void bt_unit_study_free(bt_unit_study *study) {
  if (study == NULL)
    return;
  for (size_t i = 0; i < study->studies_n; i++)
    bt_study_free(study->studies[i]);
  free(study->studies);
  bt_fills_free(&study->fills);
  bt_history_free(&study->history);
  bt_settings_free(&study->settings);
  bt_rare_free(&study->selftest.rare);
  bt_corrections_free(study->corrections, study->corrections_n);
  bt_unit_drift_free(study->drift);
  free(study);
}

/* What a last check outside tolerance is measured by. */
static double tolerance_scale(const bt_study *study) {
  const bt_tolerance *tolerance = study->tolerance.now;
  const bt_segment *now = bt_study_now(study);
  double limit = tolerance->has_low ? tolerance->low : tolerance->high, scale = 0;
  if (tolerance->has_low && tolerance->has_high)
    scale = (tolerance->high - tolerance->low) / 2;
  else if (now != NULL && now->state == BT_CHART_DRAWN)
    scale = fabs(limit - now->chart.centre);
  scale = scale > 0 ? scale : fabs(limit);
  return scale > 0 ? scale : 1;
}

bt_deviation bt_unit_deviation(const bt_unit_study *unit) {
  bt_deviation worst = {0};
  for (size_t i = 0; i < unit->studies_n; i++) {
    const bt_study *study = unit->studies[i];
    const bt_segment *now = bt_study_now(study);
    if (bt_characteristic_is_covariate(study->characteristic))
      continue;
    if (study->tolerance.last_is_outside && study->tolerance.now != NULL)
      worst.beyond = fmax(worst.beyond, -study->tolerance.margin / tolerance_scale(study));
    if (study->recent_n > 0 && now != NULL && now->chart.sigma > 0)
      worst.sigmas = fmax(worst.sigmas, fabs(study->recent_shift) / now->chart.sigma);
  }
  return worst;
}

int bt_deviation_order(bt_deviation a, bt_deviation b) {
  if (a.beyond < b.beyond || a.beyond > b.beyond)
    return a.beyond > b.beyond ? -1 : 1;
  return a.sigmas > b.sigmas ? -1 : a.sigmas < b.sigmas;
}

const bt_study *bt_unit_study_of(const bt_unit_study *study, bt_characteristic characteristic) {
  for (size_t i = 0; i < study->studies_n; i++)
    if (study->studies[i]->characteristic == characteristic)
      return study->studies[i];
  return NULL;
}

static bool is_within(bt_time at, bt_time from, bt_time to) {
  return at >= from && at < to;
}

bt_left_out bt_study_left_out(const bt_study *study, bt_time from, bt_time to) {
  const bt_series *checks = &study->checks, *points = &study->points;
  bt_left_out out = {0};
  for (size_t i = 0; i < checks->n; i++) {
    if (!is_within(checks->at[i], from, to))
      continue;
    if ((checks->flags[i] & BT_POINT_RETEST) != 0)
      out.retests++;
    else if ((checks->flags[i] & BT_POINT_AS_LEFT) != 0)
      out.as_left++;
  }
  for (size_t s = 0; s < study->segments_n; s++)
    for (size_t e = 0; e < study->segments[s].exclusions_n; e++) {
      const bt_exclusion *exclusion = &study->segments[s].exclusions[e];
      if (!is_within(points->at[exclusion->point], from, to))
        continue;
      out.failed += exclusion->pass == 0;
      out.beyond += exclusion->pass > 0;
    }
  for (size_t p = 0; p < points->n; p++) {
    if (!is_within(points->at[p], from, to) || study->judged[p] != 0)
      continue;
    int32_t s = points->segment[p];
    if (s < 0 || study->segments[s].state != BT_CHART_DRAWN)
      out.no_baseline++;
    else if ((points->flags[p] & BT_POINT_OTHER_TARGET) != 0)
      out.other_target++;
    else if ((points->flags[p] & BT_POINT_TOO_OLD) != 0)
      out.too_old++;
    else
      out.unknown_age++;
  }
  return out;
}

size_t bt_study_other_target_from(const bt_study *study) {
  const bt_series *points = &study->points;
  size_t from = points->n;
  while (from > 0 && (points->flags[from - 1] & BT_POINT_OTHER_TARGET) != 0)
    from--;
  return from < points->n ? from : BT_NONE;
}
