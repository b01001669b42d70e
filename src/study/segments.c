/* Which baseline judges which points.
 *
 * R1 A frozen baseline judges from its first day to the day before the next one's first; what comes
 *    before the first baseline is judged by tolerance only.
 * R2 Without a frozen baseline one is suggested from the first 60 points, screened, and marked
 *    provisional; an event never starts one.
 * R3 A frozen baseline holds for the derivation it was frozen for (fluence as logged, from energy
 *    or from the plate): after a change of the settings it judges nothing.
 * R4 A period, centre or sigma given with the request takes the place of all baselines.
 * R5 Limits of moved values don't hold for raw ones, nor limits of day means for single checks:
 *    asked for the raw series, or for each check of days with several, a frozen baseline's period
 *    is fitted anew. */
#include "study_room.h"

#include <stdlib.h>

static bt_time day_start(bt_time moment) {
  return bt_day_of(moment) * BT_DAY;
}

/* R2, R4: the one baseline that isn't stored. */
static void unstored(const bt_study_request *request, const bt_study *study, bt_segment *segment) {
  const bt_series *points = &study->points;
  bt_baseline *baseline = &segment->baseline;
  baseline->characteristic = study->characteristic;
  if (request->has_baseline) {
    baseline->from = day_start(request->baseline_from);
    baseline->to = day_start(request->baseline_to);
    baseline->screen = request->screen;
  } else {
    size_t last = points->n < STUDY_SUGGESTED_POINTS ? points->n : STUDY_SUGGESTED_POINTS;
    baseline->from = day_start(points->at[0]);
    baseline->to = day_start(points->at[last - 1]);
    baseline->screen = true;
    segment->provisional = true;
  }
}

/* R4. A centre without a sigma, or the reverse, needs a baseline for the other. */
static void use_stated(bt_segment *segment, const bt_study_request *request) {
  bool both = request->has_centre && request->has_sigma;
  if (!both && segment->state != BT_CHART_DRAWN)
    return;
  double centre = request->has_centre ? request->centre : segment->chart.centre;
  double sigma = request->has_sigma ? request->sigma : segment->chart.sigma;
  const bt_individuals fitted = segment->chart;
  segment->chart = bt_individuals_stated(centre, sigma);
  segment->chart.n = both ? 0 : fitted.n;
  segment->chart.df = request->has_sigma ? 0 : fitted.df;
  segment->baseline.centre = centre;
  segment->baseline.sigma = sigma;
  segment->baseline.has_centre = segment->baseline.has_sigma = true;
  segment->stated = true;
  segment->provisional = segment->provisional && !both;
  segment->state = BT_CHART_DRAWN;
}

/* R5: two points of one day. */
static bool has_alike_points(const bt_study *study) {
  for (size_t p = 1; p < study->points.n; p++)
    if (bt_day_of(study->points.at[p]) == bt_day_of(study->points.at[p - 1]))
      return true;
  return false;
}

static bt_status fit_segment(const bt_study_request *request, bt_study *study,
                             const study_rows *rows, const study_place *place, bt_segment *segment,
                             uint8_t *used, bt_error *error) {
  if (bt_characteristic_is_covariate(study->characteristic)) {
    segment->state = BT_CHART_COVARIATE;
    return BT_OK;
  }
  bool raw = request->series == BT_SERIES_RAW,
       is_vector = study->characteristic == BT_TRACKER_VECTOR;
  bool other = (raw && segment->baseline.adjusted) || has_alike_points(study);
  if (segment->baseline.version > 0 && !other)
    return is_vector ? study_take_vector(study, rows, place, segment, used, error)
                     : study_take_baseline(study, rows, segment, used, error);
  if (segment->baseline.version > 0) { /* R5 */
    bt_baseline_free(&segment->baseline);
    segment->baseline.version = 0;
  }
  if (is_vector)
    return study_fit_vector(study, rows, place, segment, used, error);
  bool may_adjust = !raw && study_may_adjust(study->characteristic);
  bt_status status = study_fit_baseline(study, rows, place, may_adjust, segment, used, error);
  if (status == BT_OK && (request->has_centre || request->has_sigma))
    use_stated(segment, request);
  return status;
}

/* What is left of a frozen baseline is the period that it was of. */
static void forget_limits(bt_baseline *baseline) {
  bt_baseline period = {.characteristic = baseline->characteristic,
                        .from = baseline->from,
                        .to = baseline->to,
                        .screen = baseline->screen};
  bt_baseline_free(baseline);
  *baseline = period;
}

/* R3: keeps the baselines of today's derivation, in their order. */
static void drop_other_derivations(bt_baseline *stored, size_t *n, int64_t derivation) {
  size_t kept = 0;
  for (size_t s = 0; s < *n; s++) {
    if (stored[s].derivation == derivation)
      stored[kept++] = stored[s];
    else
      bt_baseline_free(&stored[s]);
  }
  *n = kept;
}

bt_status study_segments(bt_ledger *ledger, const bt_study_request *request, bool anew,
                         bt_study *study, const study_rows *rows, const study_place *place,
                         uint8_t *used, bt_error *error) {
  const bt_series *points = &study->points;
  bt_baseline *stored = NULL;
  size_t n = 0;
  bt_status status = BT_OK;
  if (points->n == 0)
    return BT_OK;

  bool stated = request->has_centre || request->has_sigma;
  bool all_stated = request->has_centre && request->has_sigma && !request->has_baseline;
  bool has_own_limit =
      study->characteristic == BT_TRACKER_RADIAL || study->characteristic == BT_TRACKER_VECTOR;
  if (stated && has_own_limit)
    return bt_fail(error, BT_USAGE,
                   "%s is judged by the limit of its own distribution, not by a stated centre and "
                   "sigma; state them for tracker_x or tracker_y",
                   study->quantity.key);
  if (ledger != NULL && !request->has_baseline && !stated)
    status = bt_ledger_baselines(ledger, place->history->unit, study->characteristic,
                                 request->until, &stored, &n, error);
  if (status != BT_OK)
    return status;
  drop_other_derivations(stored, &n, study_derivation(place, study->characteristic));
  size_t count = n == 0 ? 1 : n;
  study->segments = bt_new(count, sizeof *study->segments);
  if (study->segments == NULL) {
    status = bt_fail_memory(error);
    goto done;
  }
  study->segments_n = count;
  for (size_t s = 0; s < count; s++) {
    bt_segment *segment = &study->segments[s];
    if (n == 0)
      unstored(request, study, segment);
    else {
      segment->baseline = stored[s];
      stored[s] = (bt_baseline){0}; /* moved into the segment */
      if (anew)
        forget_limits(&segment->baseline);
    }
    segment->from = bt_series_from(points, segment->baseline.from);
    segment->to = points->n;
    segment->phase2 =
        all_stated ? segment->from : bt_series_from(points, segment->baseline.to + BT_DAY);
    if (s > 0) /* R1 */
      study->segments[s - 1].to = segment->from;
  }
  for (size_t s = 0; s < count && status == BT_OK; s++) {
    bt_segment *segment = &study->segments[s];
    if (segment->phase2 > segment->to)
      segment->phase2 = segment->to;
    if (!all_stated)
      status = study_baseline_target(study, &segment->baseline, &segment->target_mj, error);
    if (status == BT_OK)
      status = fit_segment(request, study, rows, place, segment, used, error);
    if (!has_own_limit && segment->state == BT_CHART_DRAWN)
      segment->uncertainty = bt_limits_uncertainty(&segment->chart);
  }
done:
  for (size_t s = 0; s < n; s++)
    bt_baseline_free(&stored[s]);
  free(stored);
  return status;
}
