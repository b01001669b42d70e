/* `analyse --format json`: what is said of the study as a whole beside its chart: alarm limits,
 * capability, T², within-day spread, and how far the baseline itself can be trusted. */
#include "emit_room.h"

/* 0 stands for a limit that the chart doesn't have. */
static json_t *limit(double value) {
  return emit_number_if(value > 0, value);
}

json_t *emit_alarm(const bt_segment *segment) {
  if (segment == NULL || !segment->alarm.given)
    return json_null();
  const bt_alarm_limits *alarm = &segment->alarm;
  json_t *object = json_object();
  bool made =
      emit_put_number(object, "budget", alarm->budget_a_year) &&
      emit_put(object, "charts", json_integer((json_int_t)alarm->charts)) &&
      emit_put_number(object, "checks_a_year", alarm->checks_a_year) &&
      emit_put(object, "n", json_integer((json_int_t)alarm->n)) &&
      emit_put(object, "limit", limit(alarm->limit)) && emit_put(object, "h", limit(alarm->h)) &&
      emit_put(object, "t2_limit", limit(alarm->t2_limit)) &&
      emit_put_number(object, "share", alarm->share_a_year) &&
      emit_put_number(object, "low", alarm->low) && emit_put_number(object, "high", alarm->high);
  return emit_whole(object, made);
}

static json_t *capability_index(const bt_index *index) {
  if (!index->given)
    return json_null();
  return json_pack("{s:f, s:f, s:f}", "value", index->value, "low", index->low, "high",
                   index->high);
}

json_t *emit_capability(const bt_study *of) {
  const bt_capability *found = &of->capability;
  if (found->use != BT_CAPABILITY_GIVEN || found->n == 0)
    return json_null();
  json_t *object = json_object();
  bool made = emit_put(object, "cp", capability_index(&found->cp)) &&
              emit_put(object, "cpk", capability_index(&found->cpk)) &&
              emit_put(object, "pp", capability_index(&found->pp)) &&
              emit_put(object, "ppk", capability_index(&found->ppk)) &&
              emit_put(object, "n", json_integer((json_int_t)found->n)) &&
              emit_put_number(object, "mean", found->mean) &&
              emit_put_number(object, "overall_sigma", found->overall_s) &&
              emit_put(object, "baseline_n", json_integer((json_int_t)found->baseline_n)) &&
              emit_put_number(object, "within_sigma", found->within_sigma) &&
              emit_put_number(object, "within_df", found->within_df);
  return emit_whole(object, made);
}

/* A baseline may have 30 points and no chart, or a chart whose centre and sigma were stated. */
static const char *why_no_baseline(const bt_segment *now) {
  if (now == NULL || now->state == BT_CHART_TOO_FEW)
    return "no baseline";
  if (now->state == BT_CHART_RESOLUTION)
    return "no control chart: readings too coarse";
  return now->chart.n == 0 ? "centre and sigma were stated" : "baseline of under 30 points";
}

json_t *emit_capability_reason(const bt_study *of) {
  switch (of->capability.use) {
  case BT_CAPABILITY_GIVEN:
    break;
  case BT_CAPABILITY_NO_TOLERANCE:
    return json_string("no tolerance");
  case BT_CAPABILITY_NO_BASELINE:
    return json_string(why_no_baseline(bt_study_now(of)));
  case BT_CAPABILITY_OUT_OF_CONTROL:
    return json_string("out of control");
  case BT_CAPABILITY_OTHER_TARGET:
    return json_string("newest points at another target");
  case BT_CAPABILITY_NOT_NORMAL:
    return json_string("not normal");
  }
  return json_null();
}

json_t *emit_vector(const bt_segment *segment) {
  if (segment == NULL || segment->vector.n == 0 || segment->state != BT_CHART_DRAWN)
    return json_null();
  const bt_vector *vector = &segment->vector;
  json_t *object = json_object();
  bool made =
      emit_put(object, "n", json_integer((json_int_t)vector->n)) &&
      emit_put(object, "covariance",
               json_string(vector->from_differences ? "successive differences" : "pooled")) &&
      emit_put_number(object, "df", vector->df) &&
      emit_put_number(object, "mean_x", vector->mean_x) &&
      emit_put_number(object, "mean_y", vector->mean_y) &&
      emit_put_number(object, "var_x", vector->var_x) &&
      emit_put_number(object, "var_y", vector->var_y) &&
      emit_put_number(object, "cov_xy", vector->cov_xy) &&
      emit_put_number(object, "phase1_limit", vector->phase1_limit) &&
      emit_put_number(object, "phase2_limit", vector->phase2_limit);
  return emit_whole(object, made);
}

json_t *emit_within(const bt_segment *segment) {
  if (segment == NULL || segment->within.days == 0)
    return json_null();
  return json_pack("{s:I, s:f}", "days", (json_int_t)segment->within.days, "sigma",
                   segment->within.sigma);
}

json_t *emit_stability(const bt_segment *segment) {
  if (segment == NULL || segment->stability.n == 0)
    return json_null();
  const bt_stability *found = &segment->stability;
  json_t *object = json_object();
  bool made = emit_put(object, "n", json_integer((json_int_t)found->n)) &&
              emit_put_number(object, "tau", found->tau) &&
              emit_put_number(object, "trend_p", found->trend_p) &&
              emit_put_number(object, "step_f", found->step_f) &&
              emit_put(object, "step_at", json_integer((json_int_t)found->step_at)) &&
              emit_put_number(object, "step_p", found->step_p) &&
              emit_put(object, "drifting", json_boolean(found->drifting)) &&
              emit_put_number(object, "detectable", found->detectable);
  return emit_whole(object, made);
}

json_t *emit_from_first(const bt_study *of) {
  const bt_from_first *first = &of->from_first;
  if (!first->given)
    return json_null();
  json_t *object = json_object();
  bool made = emit_put(object, "from", emit_day(first->from)) &&
              emit_put(object, "to", emit_day(first->to)) &&
              emit_put_number(object, "centre", first->centre) &&
              emit_put_number(object, "shift", first->shift);
  return emit_whole(object, made);
}

json_t *emit_left_out(const bt_left_out *of) {
  return json_pack("{s:I, s:I, s:I, s:I, s:I, s:I, s:I, s:I}", "retests", (json_int_t)of->retests,
                   "as_left", (json_int_t)of->as_left, "baseline_out_of_tolerance",
                   (json_int_t)of->failed, "baseline_beyond_limits", (json_int_t)of->beyond,
                   "unknown_fill_age", (json_int_t)of->unknown_age, "fill_too_old",
                   (json_int_t)of->too_old, "other_target", (json_int_t)of->other_target,
                   "no_baseline", (json_int_t)of->no_baseline);
}

/* Null where the newest point is of its baseline's target. */
json_t *emit_other_target(const bt_study *of) {
  size_t from = bt_study_other_target_from(of);
  if (from == BT_NONE)
    return json_null();
  json_t *object = json_object();
  bool made = emit_put(object, "from", emit_point_at(of, from)) &&
              emit_put(object, "points", emit_count(of->points.n - from)) &&
              emit_put_number(object, "target_mj", of->points.target_mj[of->points.n - 1]) &&
              emit_put_number(object, "baseline_target_mj",
                              of->segments[of->points.segment[of->points.n - 1]].target_mj);
  return emit_whole(object, made);
}

/* Limits are null where none could be taken from the period today; the radius and T² have one. */
json_t *emit_refit(const bt_segment *segment) {
  if (segment == NULL || !segment->refit.differs)
    return json_null();
  const bt_refit *refit = &segment->refit;
  bool vector = segment->vector.n > 0, moved = refit->given && refit->adjusted;
  bool centred = refit->given && !vector, zones = centred && segment->radial.n == 0;
  json_t *object = json_object();
  bool made =
      emit_put(object, "n", json_integer((json_int_t)refit->n)) &&
      emit_put(object, "centre", emit_number_if(centred, refit->centre)) &&
      emit_put(object, "sigma", emit_number_if(centred, refit->sigma)) &&
      emit_put(object, "lcl", emit_number_if(zones, refit->lcl)) &&
      emit_put(object, "ucl", emit_number_if(refit->given, refit->ucl)) &&
      emit_put(object, "fill_age_slope_per_day", emit_number_if(moved, refit->slope_per_day)) &&
      emit_put(object, "mean_fill_age_days", emit_number_if(moved, refit->mean_age_days));
  return emit_whole(object, made);
}
