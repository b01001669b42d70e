/* `analyse --format json`: the head as one jansson tree, then the points one by one, so that a long
 * history never stands in memory twice. Keys are never removed or renamed within a format; what is
 * not there is null. */
#include "emit_room.h"

#include <jansson.h>
#include <stdlib.h>
#include <string.h>

enum { FORMAT_VERSION = 1, NUMBER_FLAGS = JSON_REAL_PRECISION(15) | JSON_COMPACT };

/* Steals value. False without memory; jansson's setters accept a NULL value and fail on it. */
static bool put(json_t *object, const char *key, json_t *value) {
  return json_object_set_new(object, key, value) == 0;
}

static bool put_number(json_t *object, const char *key, double value) {
  return put(object, key, json_real(value));
}

/* The value, or NULL (freed) when it could not be made whole. */
static json_t *whole(json_t *value, bool made) {
  if (made)
    return value;
  json_decref(value);
  return NULL;
}

static json_t *day(bt_time time) {
  char buffer[BT_TIME_TEXT];
  return json_string(bt_time_day_iso(time, buffer));
}

static json_t *at(const bt_study *of, size_t i) {
  char buffer[BT_TIME_TEXT];
  return json_string(emit_at(of, i, buffer));
}

static json_t *exclusion(const bt_study *of, const bt_exclusion *excluded) {
  json_t *object = json_object();
  bool made = put(object, "at", at(of, excluded->point)) &&
              put(object, "cause",
                  json_string(excluded->pass == 0 ? "outside tolerance" : "beyond 3 sigma")) &&
              put(object, "pass", json_integer(excluded->pass)) &&
              put_number(object, "z", excluded->z);
  return whole(object, made);
}

static json_t *exclusions(const bt_study *of, const bt_segment *segment) {
  json_t *list = json_array();
  bool made = true;
  for (size_t i = 0; i < segment->exclusions_n && made; i++)
    made = json_array_append_new(list, exclusion(of, &segment->exclusions[i])) == 0;
  return whole(list, made);
}

static json_t *baseline(const bt_study *of, const bt_segment *segment) {
  if (segment == NULL || !segment->baseline.has_centre)
    return json_null();
  const bt_baseline *b = &segment->baseline;
  json_t *object = json_object();
  bool made =
      put(object, "from", day(b->from)) && put(object, "to", day(b->to)) &&
      put(object, "n", json_integer(b->n)) && put_number(object, "centre", b->centre) &&
      put_number(object, "sigma", b->sigma) &&
      put(object, "fill_age_slope_per_day",
          b->adjusted ? json_real(b->slope_per_day) : json_null()) &&
      put(object, "fill_age_slope_se", b->adjusted ? json_real(b->slope_se) : json_null()) &&
      put(object, "mean_fill_age_days", b->adjusted ? json_real(b->mean_age_days) : json_null()) &&
      put(object, "excluded", exclusions(of, segment)) &&
      put(object, "provisional", json_boolean(segment->provisional)) &&
      put(object, "version", json_integer(b->version));
  return whole(object, made);
}

static bool has_limits(const bt_segment *segment) {
  return segment != NULL && segment->state == BT_CHART_DRAWN && segment->radial.n == 0;
}

static json_t *individuals(const bt_segment *segment) {
  if (segment == NULL || segment->state != BT_CHART_DRAWN)
    return json_null();
  bool radial = segment->radial.n > 0;
  const bt_individuals *chart = &segment->chart;
  json_t *object = json_object();
  bool made = put_number(object, "centre", chart->centre) &&
              put(object, "lcl", radial ? json_null() : json_real(chart->lcl)) &&
              put_number(object, "ucl", radial ? segment->radial.limit : chart->ucl) &&
              put(object, "alarm_lcl", json_null()) && put(object, "alarm_ucl", json_null());
  return whole(object, made);
}

static json_t *moving_range(const bt_segment *segment) {
  if (!has_limits(segment))
    return json_null();
  return json_pack("{s:f, s:f}", "centre", segment->chart.mr_centre, "ucl", segment->chart.mr_ucl);
}

static json_t *signal(const bt_study *of, const bt_excursion *excursion) {
  json_t *object = json_object();
  bool made = put(object, "at", at(of, excursion->signal)) &&
              put(object, "strength", json_string(emit_strength(BT_NOTICE))) &&
              put(object, "side", json_string(emit_side(excursion->side))) &&
              put(object, "run_began", at(of, excursion->run_began)) &&
              put(object, "last", at(of, excursion->last)) &&
              put_number(object, "size", excursion->size);
  return whole(object, made);
}

static json_t *signals(const bt_study *of) {
  json_t *list = json_array();
  bool made = true;
  for (size_t i = 0; i < of->cusum.excursions_n && made; i++)
    made = json_array_append_new(list, signal(of, &of->cusum.excursions[i])) == 0;
  return whole(list, made);
}

static json_t *restart(const bt_study *of, const bt_restart *restarted) {
  char buffer[BT_TIME_TEXT];
  json_t *object = json_object();
  bool made = put(object, "at", at(of, restarted->point)) &&
              put(object, "event", json_string(bt_event_key(restarted->kind))) &&
              put(object, "event_at", json_string(bt_time_iso(restarted->at, true, buffer)));
  return whole(object, made);
}

static json_t *restarts(const bt_study *of) {
  json_t *list = json_array();
  bool made = true;
  for (size_t i = 0; i < of->cusum.restarts_n && made; i++)
    made = json_array_append_new(list, restart(of, &of->cusum.restarts[i])) == 0;
  return whole(list, made);
}

static json_t *cusum(const bt_study *of) {
  if (!has_limits(bt_study_now(of)))
    return json_null();
  json_t *object = json_object();
  bool made = put_number(object, "k", of->cusum.k) && put_number(object, "h", of->cusum.h) &&
              put(object, "alarm_h", json_null()) &&
              put_number(object, "headstart", of->cusum.headstart) &&
              put(object, "restarts", restarts(of)) && put(object, "signals", signals(of));
  return whole(object, made);
}

static json_t *ewma(const bt_study *of) {
  if (!has_limits(bt_study_now(of)))
    return json_null();
  return json_pack("{s:f, s:f}", "lambda", of->ewma.lambda, "limit", of->ewma.limit);
}

static json_t *autocorrelation(const bt_segment *segment) {
  if (!has_limits(segment) || segment->autocorrelation.n == 0)
    return json_null();
  return json_pack("{s:f, s:f, s:b}", "lag1", segment->autocorrelation.lag1, "bound",
                   segment->autocorrelation.bound, "exceeded", segment->autocorrelation.exceeded);
}

static json_t *one_segment(const bt_study *of, const bt_segment *segment) {
  json_t *object = json_object();
  bool made = put(object, "baseline", baseline(of, segment)) &&
              put(object, "individuals", individuals(segment)) &&
              put(object, "moving_range", moving_range(segment));
  return whole(object, made);
}

static json_t *segments(const bt_study *of) {
  json_t *list = json_array();
  bool made = true;
  for (size_t s = 0; s < of->segments_n && made; s++)
    made = json_array_append_new(list, one_segment(of, &of->segments[s])) == 0;
  return whole(list, made);
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

static json_t *head(const bt_unit_study *study, const bt_study *of, size_t n) {
  const bt_segment *now = bt_study_now(of);
  json_t *object = json_object();
  bool made =
      put(object, "format", json_integer(FORMAT_VERSION)) &&
      put(object, "unit", json_string(study->history.unit)) &&
      put(object, "characteristic", json_string(bt_characteristic_key(of->characteristic))) &&
      put(object, "series", json_string(of->adjusted ? "adjusted" : "raw")) &&
      put(object, "session", json_string("day")) && put(object, "n", json_integer((json_int_t)n)) &&
      put(object, "verdict", json_string(bt_study_verdict_words(of))) &&
      put(object, "tolerance", tolerance(of)) && put(object, "baseline", baseline(of, now)) &&
      put(object, "individuals", individuals(now)) &&
      put(object, "moving_range", moving_range(now)) && put(object, "cusum", cusum(of)) &&
      put(object, "ewma", ewma(of)) && put(object, "capability", json_null()) &&
      put(object, "capability_reason", json_null()) &&
      put(object, "autocorrelation", autocorrelation(now)) && put(object, "segments", segments(of));
  return whole(object, made);
}

static json_t *rules(const bt_study *of, size_t i) {
  json_t *list = json_array();
  unsigned both = of->rules[BT_LOW][i] | of->rules[BT_HIGH][i];
  bool made = true;
  for (unsigned bit = 1; bit < 1U << BT_RULE_COUNT && made; bit <<= 1)
    if ((both & bit) != 0)
      made = json_array_append_new(list, json_string(emit_rule(bit))) == 0;
  return whole(list, made);
}

static json_t *point(const bt_study *of, size_t i) {
  const bt_series *points = &of->points;
  bool has_z = of->judged[i] != 0 && has_limits(&of->segments[points->segment[i]]);
  bool by_rules = has_z && of->judged[i] == 1;
  json_t *object = json_object();
  bool made =
      put(object, "at", at(of, i)) && put(object, "seq", json_integer(points->sequence[i])) &&
      put(object, "source", json_integer(points->source[i])) &&
      put(object, "line", json_integer(points->line[i])) &&
      put(object, "segment",
          points->segment[i] < 0 ? json_null() : json_integer(points->segment[i])) &&
      put(object, "checks", json_integer(points->checks[i])) &&
      put_number(object, "raw", points->raw[i]) && put_number(object, "value", points->value[i]) &&
      put(object, "z", has_z ? json_real(of->z[i]) : json_null()) &&
      put(object, "moving_range",
          of->has_range[i] ? json_real(of->moving_range[i]) : json_null()) &&
      put(object, "cusum_high", by_rules ? json_real(of->cusum.high[i]) : json_null()) &&
      put(object, "cusum_low", by_rules ? json_real(of->cusum.low[i]) : json_null()) &&
      put(object, "ewma", by_rules ? json_real(of->ewma.value[i]) : json_null()) &&
      put(object, "fill_age_days",
          (points->flags[i] & BT_POINT_HAS_AGE) ? json_real(points->fill_age_days[i])
                                                : json_null()) &&
      put(object, "rules", rules(of, i)) &&
      put(object, "alarm", json_boolean(of->strength[i] == BT_ALARM));
  return whole(object, made);
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
  json_t *object = head(study, of, end - first);
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
