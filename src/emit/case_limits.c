/* limits.json of an evidence folder: every baseline that judges rows of checks.csv, with its
 * numbers in 17 digits, so that they read back as they were. What a chart doesn't have is null. */
#include "case_room.h"

#include <stdlib.h>

enum { NUMBER_FLAGS = JSON_COMPACT | JSON_REAL_PRECISION(17) };

static json_t *alarm(const bt_alarm_limits *limits) {
  if (!limits->given)
    return json_null();
  json_t *object = json_object();
  bool made =
      emit_put(object, "limit", emit_number_if(limits->limit > 0, limits->limit)) &&
      emit_put(object, "h", emit_number_if(limits->h > 0, limits->h)) &&
      emit_put(object, "t2_limit", emit_number_if(limits->t2_limit > 0, limits->t2_limit)) &&
      emit_put_number(object, "false_alarms_a_year", limits->share_a_year);
  return emit_whole(object, made);
}

static json_t *vector(const bt_vector *of) {
  if (of->n == 0)
    return json_null();
  json_t *object = json_object();
  bool made = emit_put_number(object, "mean_x", of->mean_x) &&
              emit_put_number(object, "mean_y", of->mean_y) &&
              emit_put_number(object, "var_x", of->var_x) &&
              emit_put_number(object, "var_y", of->var_y) &&
              emit_put_number(object, "cov_xy", of->cov_xy) &&
              emit_put(object, "from_differences", json_boolean(of->from_differences)) &&
              emit_put_number(object, "phase1_limit", of->phase1_limit) &&
              emit_put_number(object, "phase2_limit", of->phase2_limit);
  return emit_whole(object, made);
}

/* What a frozen baseline's period gives on today's record, where that is something else. */
static json_t *read_today(const bt_study *of, const bt_refit *refit) {
  bool is_vector = of->characteristic == BT_TRACKER_VECTOR, moved = refit->adjusted;
  bool fitted = refit->centre != 0 || refit->lcl != 0 || refit->ucl != 0; /* else too few points */
  bool centred = fitted && !is_vector, zones = centred && of->characteristic != BT_TRACKER_RADIAL;
  if (!refit->differs)
    return json_null();
  json_t *object = json_object();
  bool made = emit_put(object, "n", json_integer((json_int_t)refit->n)) &&
              emit_put(object, "centre", emit_number_if(centred, refit->centre)) &&
              emit_put(object, "sigma", emit_number_if(centred, refit->sigma)) &&
              emit_put(object, "lcl", emit_number_if(zones, refit->lcl)) &&
              emit_put(object, "ucl", emit_number_if(fitted, refit->ucl)) &&
              emit_put(object, "adjusted", json_boolean(moved)) &&
              emit_put(object, "slope_per_day", emit_number_if(moved, refit->slope_per_day)) &&
              emit_put(object, "mean_age_days", emit_number_if(moved, refit->mean_age_days)) &&
              emit_put(object, "from_differences",
                       is_vector ? json_boolean(refit->from_differences) : json_null());
  return emit_whole(object, made);
}

static bool put_fit(json_t *object, const bt_study *of, const bt_segment *segment) {
  const bt_baseline *baseline = &segment->baseline;
  const bt_individuals *chart = &segment->chart;
  bool drawn = segment->state == BT_CHART_DRAWN, zones = drawn && emit_has_zones(of);
  bool centred = drawn && of->characteristic != BT_TRACKER_VECTOR;
  bool adjusted = baseline->adjusted;
  return emit_put(object, "n", json_integer((json_int_t)chart->n)) &&
         emit_put(object, "centre", emit_number_if(centred, chart->centre)) &&
         emit_put(object, "sigma", emit_number_if(centred, chart->sigma)) &&
         emit_put(object, "lcl", emit_number_if(zones, chart->lcl)) &&
         emit_put(object, "ucl", emit_number_if(zones, chart->ucl)) &&
         emit_put(object, "mr_centre", emit_number_if(zones, chart->mr_centre)) &&
         emit_put(object, "mr_ucl", emit_number_if(zones, chart->mr_ucl)) &&
         emit_put(object, "adjusted", json_boolean(adjusted)) &&
         emit_put(object, "slope_per_day", emit_number_if(adjusted, baseline->slope_per_day)) &&
         emit_put(object, "mean_age_days", emit_number_if(adjusted, baseline->mean_age_days)) &&
         emit_put(object, "oldest_age_days", emit_number_if(adjusted, baseline->oldest_age_days)) &&
         emit_put(object, "radial_limit",
                  emit_number_if(drawn && of->characteristic == BT_TRACKER_RADIAL,
                                 segment->radial.limit)) &&
         emit_put(object, "target_mj",
                  emit_number_if(segment->target_mj > 0, segment->target_mj)) &&
         emit_put(object, "vector", vector(&segment->vector)) &&
         emit_put(object, "alarm", alarm(&segment->alarm)) &&
         emit_put(object, "read_today", read_today(of, &segment->refit));
}

static json_t *segment_of(const bt_study *of, size_t s) {
  const bt_segment *segment = &of->segments[s];
  json_t *object = json_object();
  bool made = emit_put(object, "number", json_integer((json_int_t)s + 1)) &&
              emit_put(object, "state", json_string(emit_case_state(segment->state))) &&
              emit_put(object, "from", emit_day(segment->baseline.from)) &&
              emit_put(object, "to", emit_day(segment->baseline.to)) &&
              emit_put(object, "version", json_integer(segment->baseline.version)) &&
              emit_put(object, "frozen", json_boolean(segment->baseline.version > 0)) &&
              emit_put(object, "screen", json_boolean(segment->baseline.screen)) &&
              put_fit(object, of, segment);
  return emit_whole(object, made);
}

static json_t *segments(const bt_case *one, const bt_study *of) {
  json_t *list = json_array();
  bool made = true;
  for (size_t s = emit_case_first_segment(one, of); s < of->segments_n && made; s++)
    made = json_array_append_new(list, segment_of(of, s)) == 0;
  return emit_whole(list, made);
}

static json_t *restarts(const bt_case *one, const bt_study *of) {
  json_t *list = json_array();
  bool made = true;
  for (size_t r = 0; r < of->cusum.restarts_n && made; r++) {
    const bt_restart *restart = &of->cusum.restarts[r];
    if (of->points.at[restart->point] < one->begins)
      continue;
    json_t *object = json_object();
    bool put = emit_put(object, "first_point", emit_point_at(of, restart->point)) &&
               emit_put(object, "sequence", json_integer(of->points.sequence[restart->point])) &&
               emit_put(object, "cause_at", emit_moment(restart->at)) &&
               emit_put(object, "cause",
                        json_string(restart->resolved ? "resolved" : bt_event_key(restart->kind)));
    made = json_array_append_new(list, emit_whole(object, put)) == 0;
  }
  return emit_whole(list, made);
}

/* A tolerance without a day is in force from the beginning. */
static json_t *first_day(const bt_case *one, const bt_tolerance *tolerance) {
  return tolerance->from != 0 || one->format == 1 ? emit_day(tolerance->from) : json_null();
}

static json_t *tolerances(const bt_case *one, const bt_study *of) {
  const bt_settings *settings = &one->unit->settings;
  json_t *list = json_array();
  bool made = true;
  for (size_t t = 0; t < settings->tolerances_n && made; t++) {
    const bt_tolerance *tolerance = &settings->tolerances[t];
    if (tolerance->characteristic != of->characteristic ||
        !bt_same_name(tolerance->unit, one->unit->history.unit))
      continue;
    json_t *object = json_object();
    bool put = emit_put(object, "from", first_day(one, tolerance)) &&
               emit_put(object, "low", emit_number_if(tolerance->has_low, tolerance->low)) &&
               emit_put(object, "high", emit_number_if(tolerance->has_high, tolerance->high)) &&
               emit_put(object, "source", json_string(tolerance->source));
    made = json_array_append_new(list, emit_whole(object, put)) == 0;
  }
  return emit_whole(list, made);
}

static json_t *characteristic(const bt_case *one, const bt_study *of) {
  json_t *object = json_object();
  size_t first, end;
  emit_case_rows(one, of, &first, &end);
  json_t *cusum = json_pack("{s:f, s:f, s:f}", "k", of->cusum.k, "h", of->cusum.h, "headstart",
                            of->cusum.headstart);
  bt_characteristic built_in;
  bool hides = of->characteristic >= BT_CHARACTERISTIC_COUNT &&
               bt_characteristic_of(of->quantity.key, &built_in) &&
               bt_case_knows_characteristic(one->format, built_in);
  bool made = emit_put(object, "characteristic", json_string(of->quantity.key)) &&
              (!hides || emit_put(object, "own", json_true())) &&
              emit_put(object, "title", json_string(of->quantity.title)) &&
              emit_put(object, "measured_in", json_string(of->quantity.unit)) &&
              emit_put(object, "rows", json_integer((json_int_t)(end - first))) &&
              emit_put(object, "earlier_checks", json_integer((json_int_t)first)) &&
              emit_put(object, "tolerances", tolerances(one, of)) &&
              emit_put(object, "cusum", cusum) && emit_put(object, "restarts", restarts(one, of)) &&
              emit_put(object, "segments", segments(one, of));
  return emit_whole(object, made);
}

/* What was asked for, so that the folder can be made again. */
static json_t *asked_for(const bt_case *one) {
  json_t *object = json_object();
  bool made = emit_put(object, "event",
                       one->event == NULL ? json_null() : json_integer(one->event->number)) &&
              emit_put(object, "remarks", json_boolean(one->with_remarks)) &&
              emit_put(object, "operator", json_boolean(one->with_operator)) &&
              emit_put(object, "look_back", json_boolean(one->with_look_back)) &&
              emit_put(object, "paper", json_string(one->letter ? "letter" : "a4")) &&
              emit_put(object, "log_files", json_integer((json_int_t)one->logs));
  return emit_whole(object, made);
}

bt_status bt_emit_case_limits(const bt_case *one, FILE *stream, bt_error *error) {
  json_t *object = json_object(), *list = json_array();
  bool made = list != NULL;
  for (size_t s = 0; s < one->unit->studies_n && made; s++)
    made = json_array_append_new(list, characteristic(one, one->unit->studies[s])) == 0;
  made = made && emit_put(object, "format", json_integer(one->format)) &&
         emit_put(object, "made_by", json_string(one->made_by)) &&
         emit_put(object, "unit", json_string(one->unit->history.unit)) &&
         emit_put(object, "from", emit_day(one->from)) &&
         emit_put(object, "to", emit_day(one->to - 1)) &&
         emit_put(object, "rows_from", emit_day(one->begins)) &&
         emit_put(object, "asked_for", asked_for(one)) &&
         emit_put(object, "state", json_string(one->unit->provenance.state)) &&
         emit_put(object, "characteristics", json_incref(list));
  json_decref(list);
  object = emit_whole(object, made);
  if (object == NULL)
    return bt_fail_memory(error);
  bool written =
      json_dumpf(object, stream, NUMBER_FLAGS | JSON_INDENT(1)) == 0 && fputc('\n', stream) != EOF;
  json_decref(object);
  return written ? BT_OK
                 : bt_fail(error, BT_SYSTEM,
                           "the output could not be written; is the disk full, or memory short?");
}
