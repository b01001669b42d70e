/* `analyse --format json`: the head as one jansson tree, then the points one by one, so that a long
 * history never stands in memory twice. Keys are never removed or renamed within a format; what is
 * not there is null. */
#include "emit_room.h"

#include <stdlib.h>
#include <string.h>

enum { FORMAT_VERSION = 1, NUMBER_FLAGS = JSON_REAL_PRECISION(15) | JSON_COMPACT };

/* The radius and T² have a limit of their own and no z. */
static json_t *exclusion(const bt_study *of, const bt_exclusion *excluded) {
  bool zones = emit_has_zones(of);
  const char *beyond = zones ? "beyond 3 sigma" : "beyond the limit";
  json_t *object = json_object();
  bool made =
      emit_put(object, "at", emit_point_at(of, excluded->point)) &&
      emit_put(object, "cause", json_string(excluded->pass == 0 ? "outside tolerance" : beyond)) &&
      emit_put(object, "pass", json_integer(excluded->pass)) &&
      emit_put(object, "z", zones ? json_real(excluded->z) : json_null());
  return emit_whole(object, made);
}

static json_t *exclusions(const bt_study *of, const bt_segment *segment) {
  json_t *list = json_array();
  bool made = true;
  for (size_t i = 0; i < segment->exclusions_n && made; i++)
    made = json_array_append_new(list, exclusion(of, &segment->exclusions[i])) == 0;
  return emit_whole(list, made);
}

static json_t *baseline(const bt_study *of, const bt_segment *segment) {
  if (segment == NULL || !segment->baseline.has_centre)
    return json_null();
  const bt_baseline *b = &segment->baseline;
  bool vector = segment->vector.n > 0; /* has a mean of x and y, and a covariance: emit_vector */
  json_t *object = json_object();
  bool made =
      emit_put(object, "from", emit_day(b->from)) && emit_put(object, "to", emit_day(b->to)) &&
      emit_put(object, "n", json_integer(b->n)) &&
      emit_put(object, "centre", vector ? json_null() : json_real(b->centre)) &&
      emit_put(object, "sigma", vector ? json_null() : json_real(b->sigma)) &&
      emit_put(object, "fill_age_slope_per_day",
               b->adjusted ? json_real(b->slope_per_day) : json_null()) &&
      emit_put(object, "fill_age_slope_se", b->adjusted ? json_real(b->slope_se) : json_null()) &&
      emit_put(object, "mean_fill_age_days",
               b->adjusted ? json_real(b->mean_age_days) : json_null()) &&
      emit_put(object, "fill_age_pulses_per_day",
               emit_number_if(of->pulses_per_day > 0, of->pulses_per_day)) &&
      emit_put(object, "target_mj", emit_number_if(segment->target_mj > 0, segment->target_mj)) &&
      emit_put(object, "excluded", exclusions(of, segment)) &&
      emit_put(object, "provisional", json_boolean(segment->provisional)) &&
      emit_put(object, "version", json_integer(b->version));
  return emit_whole(object, made);
}

/* Zones, ranges, sums and averages. */
static bool has_limits(const bt_segment *segment) {
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
static json_t *individuals(const bt_segment *segment) {
  if (segment == NULL || segment->state != BT_CHART_DRAWN)
    return json_null();
  bool radial = segment->radial.n > 0, vector = segment->vector.n > 0;
  const bt_individuals *chart = &segment->chart;
  json_t *object = json_object();
  bool made = emit_put(object, "centre", vector ? json_null() : json_real(chart->centre)) &&
              emit_put(object, "lcl", radial || vector ? json_null() : json_real(chart->lcl)) &&
              emit_put_number(object, "ucl", radial ? segment->radial.limit : chart->ucl) &&
              emit_put(object, "alarm_lcl", alarm_at(segment, -1)) &&
              emit_put(object, "alarm_ucl", alarm_at(segment, 1)) &&
              emit_put(object, "uncertainty", uncertainty(&segment->uncertainty));
  return emit_whole(object, made);
}

static json_t *moving_range(const bt_segment *segment) {
  if (!has_limits(segment))
    return json_null();
  return json_pack("{s:f, s:f}", "centre", segment->chart.mr_centre, "ucl", segment->chart.mr_ucl);
}

/* The first point of the excursion at which its sum was above the budgeted h; BT_NONE. */
static size_t alarm_of(const bt_study *of, const bt_excursion *excursion) {
  for (size_t i = excursion->signal; i <= excursion->last && i < of->points.n; i++)
    if ((of->rules[excursion->side][i] & BT_ALARM_CUSUM) != 0)
      return i;
  return BT_NONE;
}

static json_t *signal(const bt_study *of, const bt_excursion *excursion) {
  size_t alarm = alarm_of(of, excursion);
  json_t *object = json_object();
  bool made =
      emit_put(object, "at", emit_point_at(of, excursion->signal)) &&
      emit_put(object, "strength",
               json_string(emit_strength(alarm == BT_NONE ? BT_NOTICE : BT_ALARM))) &&
      emit_put(object, "side", json_string(emit_side(excursion->side))) &&
      emit_put(object, "run_began", emit_point_at(of, excursion->run_began)) &&
      emit_put(object, "run_signalled",
               emit_point_at(of, of->cusum.excursions[excursion->run_first].signal)) &&
      emit_put(object, "last", emit_point_at(of, excursion->last)) &&
      emit_put_number(object, "size", excursion->size) &&
      emit_put(object, "alarm_at", alarm == BT_NONE ? json_null() : emit_point_at(of, alarm));
  return emit_whole(object, made);
}

static json_t *signals(const bt_study *of) {
  json_t *list = json_array();
  bool made = true;
  for (size_t i = 0; i < of->cusum.excursions_n && made; i++)
    made = json_array_append_new(list, signal(of, &of->cusum.excursions[i])) == 0;
  return emit_whole(list, made);
}

/* An event asked for it, or a person with a disposition: event_at is then when the action was done,
 * or, where nobody said, the last point of the episode. */
static json_t *restart(const bt_study *of, const bt_restart *restarted) {
  json_t *object = json_object();
  bool made =
      emit_put(object, "at", emit_point_at(of, restarted->point)) &&
      emit_put(object, "event",
               restarted->resolved ? json_null() : json_string(bt_event_key(restarted->kind))) &&
      emit_put(object, "event_at", emit_moment(restarted->at)) &&
      emit_put(object, "asked_by", json_string(restarted->resolved ? "disposition" : "event"));
  return emit_whole(object, made);
}

static json_t *restarts(const bt_study *of) {
  json_t *list = json_array();
  bool made = true;
  for (size_t i = 0; i < of->cusum.restarts_n && made; i++)
    made = json_array_append_new(list, restart(of, &of->cusum.restarts[i])) == 0;
  return emit_whole(list, made);
}

static json_t *cusum(const bt_study *of) {
  const bt_segment *now = bt_study_now(of);
  if (!has_limits(now))
    return json_null();
  bool alarms = now->alarm.given && now->alarm.h > 0;
  json_t *object = json_object();
  bool made =
      emit_put_number(object, "k", of->cusum.k) && emit_put_number(object, "h", of->cusum.h) &&
      emit_put(object, "alarm_h", alarms ? json_real(now->alarm.h) : json_null()) &&
      emit_put_number(object, "headstart", of->cusum.headstart) &&
      emit_put(object, "restarts", restarts(of)) && emit_put(object, "signals", signals(of));
  return emit_whole(object, made);
}

static json_t *ewma(const bt_study *of) {
  if (!has_limits(bt_study_now(of)))
    return json_null();
  return json_pack("{s:f, s:f}", "lambda", of->ewma.lambda, "limit", of->ewma.limit);
}

static json_t *autocorrelation(const bt_segment *segment) {
  if (!has_limits(segment) || segment->autocorrelation.n == 0)
    return json_null();
  const bt_autocorrelation *found = &segment->autocorrelation;
  return json_pack("{s:f, s:f, s:f, s:b}", "lag1", found->lag1, "bound", found->bound, "high",
                   found->high, "exceeded", found->exceeded);
}

static json_t *one_segment(const bt_study *of, const bt_segment *segment) {
  json_t *object = json_object();
  bool made = emit_put(object, "baseline", baseline(of, segment)) &&
              emit_put(object, "individuals", individuals(segment)) &&
              emit_put(object, "moving_range", moving_range(segment)) &&
              emit_put(object, "alarm", emit_alarm(segment)) &&
              emit_put(object, "vector", emit_vector(segment)) &&
              emit_put(object, "within_day", emit_within(segment)) &&
              emit_put(object, "stability", emit_stability(segment)) &&
              emit_put(object, "refit", emit_refit(segment));
  return emit_whole(object, made);
}

static json_t *segments(const bt_study *of) {
  json_t *list = json_array();
  bool made = true;
  for (size_t s = 0; s < of->segments_n && made; s++)
    made = json_array_append_new(list, one_segment(of, &of->segments[s])) == 0;
  return emit_whole(list, made);
}

static json_t *tolerance(const bt_study *of) {
  const bt_tolerance *now = of->tolerance.now;
  if (now == NULL)
    return json_null();
  return json_pack(
      "{s:o, s:o, s:s, s:I, s:I}", "low", now->has_low ? json_real(now->low) : json_null(), "high",
      now->has_high ? json_real(now->high) : json_null(), "source", now->source, "judged",
      (json_int_t)of->tolerance.judged, "outside", (json_int_t)of->tolerance.outside);
}

static bool put_head(json_t *object, const bt_unit_study *study, const bt_study *of, size_t n) {
  return emit_put(object, "format", json_integer(FORMAT_VERSION)) &&
         emit_put(object, "unit", json_string(study->history.unit)) &&
         emit_put(object, "characteristic", json_string(of->quantity.key)) &&
         emit_put(object, "series", json_string(of->adjusted ? "adjusted" : "raw")) &&
         emit_put(object, "session", json_string(of->every ? "every" : "day")) &&
         emit_put(object, "n", json_integer((json_int_t)n)) &&
         emit_put(object, "verdict", json_string(bt_study_verdict_words(of))) &&
         emit_put(object, "tolerance", tolerance(of));
}

static bool put_chart(json_t *object, const bt_study *of) {
  const bt_segment *now = bt_study_now(of);
  return emit_put(object, "baseline", baseline(of, now)) &&
         emit_put(object, "individuals", individuals(now)) &&
         emit_put(object, "moving_range", moving_range(now)) &&
         emit_put(object, "cusum", cusum(of)) && emit_put(object, "ewma", ewma(of)) &&
         emit_put(object, "alarm", emit_alarm(now)) &&
         emit_put(object, "vector", emit_vector(now)) &&
         emit_put(object, "within_day", emit_within(now)) &&
         emit_put(object, "capability", emit_capability(of)) &&
         emit_put(object, "capability_reason", emit_capability_reason(of)) &&
         emit_put(object, "autocorrelation", autocorrelation(now)) &&
         emit_put(object, "stability", emit_stability(now)) &&
         emit_put(object, "from_first", emit_from_first(of)) &&
         emit_put(object, "refit", emit_refit(now)) && emit_put(object, "segments", segments(of)) &&
         emit_put(object, "episodes", emit_episodes(of)) &&
         emit_put(object, "dispositions_without_episode", emit_dispositions_left(of));
}

static json_t *head(const bt_unit_study *study, const bt_study *of, bt_time from, bt_time to,
                    size_t n) {
  json_t *object = json_object();
  bt_left_out left_out = bt_study_left_out(of, from, to);
  return emit_whole(object, put_head(object, study, of, n) && put_chart(object, of) &&
                                emit_put(object, "left_out", emit_left_out(&left_out)) &&
                                emit_put(object, "other_target", emit_other_target(of)));
}

/* The day's spread and its limit: of points that are the mean of several checks. */
static bool put_spread(json_t *object, const bt_study *of, size_t i) {
  bool several = emit_has_spread(of, i);
  bool limited = several && of->within_s_ucl != NULL && of->within_s_ucl[i] > 0;
  return emit_put(object, "within_s", several ? json_real(of->points.within_s[i]) : json_null()) &&
         emit_put(object, "within_s_ucl", limited ? json_real(of->within_s_ucl[i]) : json_null());
}

static json_t *point(const bt_study *of, size_t i) {
  const bt_series *points = &of->points;
  bool has_z = of->judged[i] != 0 && has_limits(&of->segments[points->segment[i]]);
  bool by_rules = has_z && of->judged[i] == 1;
  json_t *object = json_object();
  bool made =
      emit_put(object, "at", emit_point_at(of, i)) &&
      emit_put(object, "seq", json_integer(points->sequence[i])) &&
      emit_put(object, "source", json_integer(points->source[i])) &&
      emit_put(object, "line", json_integer(points->line[i])) &&
      emit_put(object, "segment",
               points->segment[i] < 0 ? json_null() : json_integer(points->segment[i])) &&
      emit_put(object, "checks", json_integer(points->checks[i])) &&
      emit_put_number(object, "raw", points->raw[i]) &&
      emit_put_number(object, "value", points->value[i]) &&
      emit_put(object, "z", has_z ? json_real(of->z[i]) : json_null()) &&
      emit_put(object, "moving_range",
               of->has_range[i] ? json_real(of->moving_range[i]) : json_null()) &&
      emit_put(object, "cusum_high", by_rules ? json_real(of->cusum.high[i]) : json_null()) &&
      emit_put(object, "cusum_low", by_rules ? json_real(of->cusum.low[i]) : json_null()) &&
      emit_put(object, "ewma", by_rules ? json_real(of->ewma.value[i]) : json_null()) &&
      emit_put(object, "fill_age_days",
               (points->flags[i] & BT_POINT_HAS_AGE) ? json_real(points->fill_age_days[i])
                                                     : json_null()) &&
      emit_put(object, "target_mj",
               emit_number_if(points->target_mj[i] > 0, points->target_mj[i])) &&
      emit_put(object, "rules", emit_rules(of->rules[BT_LOW][i] | of->rules[BT_HIGH][i])) &&
      emit_put(object, "alarm", json_boolean(of->strength[i] == BT_ALARM)) &&
      put_spread(object, of, i);
  return emit_whole(object, made);
}

static bool write_point(const bt_study *of, size_t i, bool first, FILE *stream) {
  json_t *object = point(of, i);
  if (object == NULL)
    return false;
  bool written =
      (first || fputs(",\n ", stream) >= 0) && json_dumpf(object, stream, NUMBER_FLAGS) == 0;
  json_decref(object);
  return written;
}

bt_status bt_emit_analysis_json(const bt_unit_study *study, const bt_study *of, bt_time from,
                                bt_time to, FILE *stream, bt_error *error) {
  size_t first, end;
  emit_span(of, from, to, &first, &end);
  json_t *object = head(study, of, from, to, end - first);
  char *text = object == NULL ? NULL : json_dumps(object, NUMBER_FLAGS);
  json_decref(object);
  if (text == NULL)
    return bt_fail_memory(error);

  text[strlen(text) - 1] = '\0'; /* the closing brace comes after the points */
  bool written = fprintf(stream, "%s,\n \"points\":[", text) >= 0;
  free(text);
  for (size_t i = first; i < end && written; i++)
    written = write_point(of, i, i == first, stream);
  written = written && fputs("]}\n", stream) >= 0;
  return written ? BT_OK
                 : bt_fail(error, BT_SYSTEM,
                           "the output could not be written; is the disk full, or memory short?");
}
