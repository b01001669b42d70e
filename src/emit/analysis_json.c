/* `analyse --format json`: the head as one jansson tree, then the points one by one, so that a long
 * history never stands in memory twice. Keys are never removed or renamed within a format; what is
 * not there is null. */
#include "emit_room.h"

#include <stdlib.h>
#include <string.h>

enum { FORMAT_VERSION = 1, NUMBER_FLAGS = JSON_REAL_PRECISION(15) | JSON_COMPACT };

static json_t *ewma(const bt_study *of) {
  if (!emit_has_limits(bt_study_now(of)))
    return json_null();
  return json_pack("{s:f, s:f}", "lambda", of->ewma.lambda, "limit", of->ewma.limit);
}

static json_t *autocorrelation(const bt_segment *segment) {
  if (!emit_has_limits(segment) || segment->autocorrelation.n == 0)
    return json_null();
  const bt_autocorrelation *found = &segment->autocorrelation;
  return json_pack("{s:f, s:f, s:f, s:b}", "lag1", found->lag1, "bound", found->bound, "high",
                   found->high, "exceeded", found->exceeded);
}

static json_t *tolerance(const bt_study *of) {
  const bt_tolerance *now = of->tolerance.now;
  if (now == NULL)
    return json_null();
  return json_pack("{s:o, s:o, s:s, s:I, s:I}", "low", emit_number_if(now->has_low, now->low),
                   "high", emit_number_if(now->has_high, now->high), "source", now->source,
                   "judged", (json_int_t)of->tolerance.judged, "outside",
                   (json_int_t)of->tolerance.outside);
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
  return emit_put(object, "baseline", emit_baseline(of, now)) &&
         emit_put(object, "individuals", emit_individuals(now)) &&
         emit_put(object, "moving_range", emit_moving_range(now)) &&
         emit_put(object, "cusum", emit_cusum(of)) && emit_put(object, "ewma", ewma(of)) &&
         emit_put(object, "alarm", emit_alarm(now)) &&
         emit_put(object, "vector", emit_vector(now)) &&
         emit_put(object, "within_day", emit_within(now)) &&
         emit_put(object, "capability", emit_capability(of)) &&
         emit_put(object, "capability_reason", emit_capability_reason(of)) &&
         emit_put(object, "autocorrelation", autocorrelation(now)) &&
         emit_put(object, "stability", emit_stability(now)) &&
         emit_put(object, "from_first", emit_from_first(of)) &&
         emit_put(object, "refit", emit_refit(now)) &&
         emit_put(object, "segments", emit_segments(of)) &&
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
  bool has_z = of->judged[i] != 0 && emit_has_limits(&of->segments[points->segment[i]]);
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
      emit_put(object, "z", emit_number_if(has_z, of->z[i])) &&
      emit_put(object, "moving_range", emit_number_if(of->has_range[i], of->moving_range[i])) &&
      emit_put(object, "cusum_high", emit_number_if(by_rules, of->cusum.high[i])) &&
      emit_put(object, "cusum_low", emit_number_if(by_rules, of->cusum.low[i])) &&
      emit_put(object, "ewma", emit_number_if(by_rules, of->ewma.value[i])) &&
      emit_put(
          object, "fill_age_days",
          emit_number_if((points->flags[i] & BT_POINT_HAS_AGE) != 0, points->fill_age_days[i])) &&
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
