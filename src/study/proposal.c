/* A baseline that could be frozen, or why it can't be. */
#include "study_room.h"

#include <math.h>
#include <stdlib.h>

void bt_proposal_free(bt_proposal *proposal) {
  if (proposal == NULL)
    return;
  bt_baseline_free(&proposal->baseline);
  free(proposal->exclusions);
  *proposal = (bt_proposal){0};
}

static bt_status refuse_drift(const bt_study *study, const bt_segment *segment, bt_error *error) {
  const bt_stability *stability = &segment->stability;
  char first[BT_TIME_TEXT], last[BT_TIME_TEXT], at[BT_TIME_TEXT];
  bt_text said = {0};
  bt_text_format(&said, "%s drifts from %s to %s: its %zu %s ", study->quantity.key,
                 bt_time_day_iso(segment->baseline.from, first),
                 bt_time_day_iso(segment->baseline.to, last), stability->n,
                 segment->baseline.adjusted ? "levels of gas fills" : "points");
  if (stability->trend_p <= stability->step_p)
    bt_text_format(&said, "%s (Kendall's tau %.2f, p %.2g)", stability->tau < 0 ? "fall" : "rise",
                   stability->tau, stability->trend_p);
  else
    bt_text_format(&said, "step at %s (p %.2g)",
                   bt_time_day_iso(study->points.at[stability->step_at], at), stability->step_p);
  if (stability->detectable > 0)
    bt_text_format(&said,
                   ". In a period of so many, the test for a step finds one of %.2g sigma between "
                   "the halves 8 times in 10",
                   stability->detectable);
  bt_text_add(&said,
              ". Choose another period, or accept the drift with --accept-drift and say why");
  bt_status status = bt_text_ok(&said) ? bt_fail(error, BT_REFUSED, "%s", bt_text_get(&said))
                                       : bt_fail_memory(error);
  bt_text_free(&said);
  return status;
}

/* The sentence for a period that has no chart. */
static bt_status refuse_state(const bt_study *study, const bt_segment *segment, bt_error *error) {
  size_t n = segment->phase2 - segment->from;
  char first[BT_TIME_TEXT], last[BT_TIME_TEXT];
  switch (segment->state) {
  case BT_CHART_DRAWN:
    break;
  case BT_CHART_TOO_FEW:
    return bt_fail(
        error, BT_REFUSED,
        "there are %zu points with %s from %s to %s that a baseline can stand on, and it "
        "needs at least %d; choose a longer period",
        segment->chart.n < n ? segment->chart.n : n, study->quantity.key,
        bt_time_day_iso(segment->baseline.from, first), bt_time_day_iso(segment->baseline.to, last),
        BT_BASELINE_LEAST_POINTS);
  case BT_CHART_RESOLUTION:
    if (segment->resolution.step <= 0)
      return bt_fail(
          error, BT_REFUSED,
          "the readings of %s in that period are all alike, so they have no scatter that "
          "limits could come from; choose another period, or log more digits",
          study->quantity.key);
    return bt_fail(error, BT_REFUSED,
                   "the readings of %s in that period are too coarse for control limits (smallest "
                   "step %g); log more digits",
                   study->quantity.key, segment->resolution.step);
  case BT_CHART_COVARIATE:
    return bt_fail(error, BT_REFUSED,
                   "%s is a room condition: it is shown, not judged, and has no baseline",
                   study->quantity.key);
  }
  return BT_OK;
}

/* Readings there are, but none in a point. */
static bt_status refuse_no_points(const bt_study *study, bt_error *error) {
  return bt_fail(
      error, BT_REFUSED,
      "every reading of %s is marked as_left or is a retest, so there is no point that a "
      "baseline can stand on; it needs %d days with a reading as found",
      study->quantity.key, BT_BASELINE_LEAST_POINTS);
}

static bt_status propose(const bt_study *study, bt_segment *segment, bool accept_drift,
                         bt_proposal *proposal, bt_error *error) {
  bt_status status = refuse_state(study, segment, error);
  if (status == BT_OK && segment->stability.drifting && !accept_drift)
    status = refuse_drift(study, segment, error);
  if (status != BT_OK)
    return status;
  proposal->exclusions = bt_new(segment->exclusions_n, sizeof *proposal->exclusions);
  if (proposal->exclusions == NULL)
    return bt_fail_memory(error);
  for (size_t e = 0; e < segment->exclusions_n; e++) {
    const bt_exclusion *exclusion = &segment->exclusions[e];
    proposal->exclusions[proposal->exclusions_n++] =
        (bt_baseline_exclusion){.at = study->points.at[exclusion->point],
                                .sequence = study->points.sequence[exclusion->point],
                                .pass = exclusion->pass,
                                .z = exclusion->z};
  }
  proposal->screen_stopped = segment->screen_stopped;
  proposal->stability = segment->stability;
  proposal->baseline = segment->baseline;
  segment->baseline.by = segment->baseline.why = NULL;
  proposal->baseline.drift_accepted = segment->stability.drifting;
  proposal->baseline.trend_p = segment->stability.trend_p;
  proposal->baseline.step_p = segment->stability.step_p;
  return BT_OK;
}

bt_status bt_study_baseline(bt_ledger *ledger, const char *unit, bt_characteristic characteristic,
                            bt_time from, bt_time to, bool screen, bool accept_drift,
                            bt_proposal *proposal, bt_error *error) {
  *proposal = (bt_proposal){0};
  bt_study_request request = {.unit = unit,
                              .until = INT64_MAX,
                              .only_one = true,
                              .characteristic = characteristic,
                              .has_baseline = true,
                              .baseline_from = from,
                              .baseline_to = to,
                              .screen = screen};
  bt_unit_study *unit_study;
  bt_status status = bt_study_unit(ledger, &request, &unit_study, error);
  if (status != BT_OK)
    return status;
  bt_study *study = unit_study->studies[0];
  status = study->segments_n > 0
               ? propose(study, &study->segments[0], accept_drift, proposal, error)
               : refuse_no_points(study, error);
  bt_unit_study_free(unit_study);
  return status;
}
