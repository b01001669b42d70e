/* Baselines and limits in JSON: of each segment of a study, and of its last one. */
#include "emit_room.h"

/* The radius and T² have a limit of their own and no z. */
static json_t *exclusion(const bt_study *of, const bt_exclusion *excluded) {
  bool zones = emit_has_zones(of);
  const char *beyond = zones ? "beyond 3 sigma" : "beyond the limit";
  json_t *object = json_object();
  bool made =
      emit_put(object, "at", emit_point_at(of, excluded->point)) &&
      emit_put(object, "cause", json_string(excluded->pass == 0 ? "outside tolerance" : beyond)) &&
      emit_put(object, "pass", json_integer(excluded->pass)) &&
      emit_put(object, "z", emit_number_if(zones, excluded->z));
  return emit_whole(object, made);
}

static json_t *exclusions(const bt_study *of, const bt_segment *segment) {
  json_t *list = json_array();
  bool made = true;
  for (size_t i = 0; i < segment->exclusions_n && made; i++)
    made = json_array_append_new(list, exclusion(of, &segment->exclusions[i])) == 0;
  return emit_whole(list, made);
}

json_t *emit_baseline(const bt_study *of, const bt_segment *segment) {
  if (segment == NULL || !segment->baseline.has_centre)
    return json_null();
  const bt_baseline *b = &segment->baseline;
  bool vector = segment->vector.n > 0; /* has a mean of x and y, and a covariance: emit_vector */
  json_t *object = json_object();
  bool made =
      emit_put(object, "from", emit_day(b->from)) && emit_put(object, "to", emit_day(b->to)) &&
      emit_put(object, "n", json_integer(b->n)) &&
      emit_put(object, "centre", emit_number_if(!vector, b->centre)) &&
      emit_put(object, "sigma", emit_number_if(!vector, b->sigma)) &&
      emit_put(object, "fill_age_slope_per_day", emit_number_if(b->adjusted, b->slope_per_day)) &&
      emit_put(object, "fill_age_slope_se", emit_number_if(b->adjusted, b->slope_se)) &&
      emit_put(object, "mean_fill_age_days", emit_number_if(b->adjusted, b->mean_age_days)) &&
      emit_put(object, "fill_age_pulses_per_day",
               emit_number_if(of->pulses_per_day > 0, of->pulses_per_day)) &&
      emit_put(object, "target_mj", emit_number_if(segment->target_mj > 0, segment->target_mj)) &&
      emit_put(object, "excluded", exclusions(of, segment)) &&
      emit_put(object, "provisional", json_boolean(segment->provisional)) &&
      emit_put(object, "version", json_integer(b->version));
  return emit_whole(object, made);
}

/* Zones, ranges, sums and averages. */
bool emit_has_limits(const bt_segment *segment) {
  return segment != NULL && segment->state == BT_CHART_DRAWN && segment->radial.n == 0 &&
         segment->vector.n == 0;
}

/* Where the alarm limits stand, in the characteristic's unit. */
static json_t *alarm_at(const bt_segment *segment, int sign) {
  const bt_alarm_limits *alarm = &segment->alarm;
  if (!alarm->given)
    return json_null();
  if (segment->vector.n > 0)
    return sign > 0 ? json_real(alarm->t2_limit) : json_null();
  return alarm->limit > 0
             ? json_real(segment->chart.centre + sign * alarm->limit * segment->chart.sigma)
             : json_null();
}

/* 95 % intervals of sigma and of both limits. */
static json_t *uncertainty(const bt_uncertainty *of) {
  if (!of->given)
    return json_null();
  return json_pack("{s:f, s:f, s:f, s:f, s:f, s:f}", "sigma_low", of->sigma_low, "sigma_high",
                   of->sigma_high, "lcl_low", of->lcl_low, "lcl_high", of->lcl_high, "ucl_low",
                   of->ucl_low, "ucl_high", of->ucl_high);
}

/* The radius and T² have one limit, T² no centre either. */
json_t *emit_individuals(const bt_segment *segment) {
  if (segment == NULL || segment->state != BT_CHART_DRAWN)
    return json_null();
  bool radial = segment->radial.n > 0, vector = segment->vector.n > 0;
  const bt_individuals *chart = &segment->chart;
  json_t *object = json_object();
  bool made = emit_put(object, "centre", emit_number_if(!vector, chart->centre)) &&
              emit_put(object, "lcl", emit_number_if(!radial && !vector, chart->lcl)) &&
              emit_put_number(object, "ucl", radial ? segment->radial.limit : chart->ucl) &&
              emit_put(object, "alarm_lcl", alarm_at(segment, -1)) &&
              emit_put(object, "alarm_ucl", alarm_at(segment, 1)) &&
              emit_put(object, "uncertainty", uncertainty(&segment->uncertainty));
  return emit_whole(object, made);
}

json_t *emit_moving_range(const bt_segment *segment) {
  if (!emit_has_limits(segment))
    return json_null();
  return json_pack("{s:f, s:f}", "centre", segment->chart.mr_centre, "ucl", segment->chart.mr_ucl);
}

static json_t *one_segment(const bt_study *of, const bt_segment *segment) {
  json_t *object = json_object();
  bool made = emit_put(object, "baseline", emit_baseline(of, segment)) &&
              emit_put(object, "individuals", emit_individuals(segment)) &&
              emit_put(object, "moving_range", emit_moving_range(segment)) &&
              emit_put(object, "alarm", emit_alarm(segment)) &&
              emit_put(object, "vector", emit_vector(segment)) &&
              emit_put(object, "within_day", emit_within(segment)) &&
              emit_put(object, "stability", emit_stability(segment)) &&
              emit_put(object, "refit", emit_refit(segment));
  return emit_whole(object, made);
}

json_t *emit_segments(const bt_study *of) {
  json_t *list = json_array();
  bool made = true;
  for (size_t s = 0; s < of->segments_n && made; s++)
    made = json_array_append_new(list, one_segment(of, &of->segments[s])) == 0;
  return emit_whole(list, made);
}
