/* Reading limits.json. */
#include "case_room.h"
#include "told_room.h"

#include <stdlib.h>
#include <string.h>

static bt_status wrong(const char *key, bt_error *error) {
  return bt_fail(error, BT_DAMAGED, "limits.json: \"%s\" is not there, or is of another kind", key);
}

/* Null where the chart has none, 0 then. */
static bool real_of(const json_t *object, const char *key, double *value) {
  const json_t *found = json_object_get(object, key);
  *value = json_is_number(found) ? json_number_value(found) : 0;
  return json_is_number(found) || json_is_null(found);
}

static bool integer_of(const json_t *object, const char *key, int64_t *value) {
  const json_t *found = json_object_get(object, key);
  *value = json_is_integer(found) ? json_integer_value(found) : 0;
  return json_is_integer(found);
}

static bool truth_of(const json_t *object, const char *key, bool *value) {
  const json_t *found = json_object_get(object, key);
  *value = json_is_true(found);
  return json_is_boolean(found);
}

static bool time_of(const json_t *object, const char *key, bt_time *value) {
  const char *text = json_string_value(json_object_get(object, key));
  return text != NULL && bt_time_parse(text, value, NULL);
}

static bool state_of(const json_t *object, bt_chart_state *state) {
  const char *text = json_string_value(json_object_get(object, "state"));
  for (int s = BT_CHART_DRAWN; text != NULL && s <= BT_CHART_RESOLUTION; s++)
    if (strcmp(text, emit_case_state((bt_chart_state)s)) == 0) {
      *state = (bt_chart_state)s;
      return true;
    }
  return false;
}

static bool read_parts(const json_t *object, bt_segment *of) {
  const json_t *alarm = json_object_get(object, "alarm"),
               *vector = json_object_get(object, "vector"),
               *today = json_object_get(object, "read_today");
  bool whole = true;
  int64_t n = 0;
  of->alarm.given = json_is_object(alarm);
  if (of->alarm.given)
    whole = real_of(alarm, "limit", &of->alarm.limit) && real_of(alarm, "h", &of->alarm.h) &&
            real_of(alarm, "t2_limit", &of->alarm.t2_limit);
  if (json_is_object(vector)) {
    bt_vector *v = &of->vector;
    v->n = of->chart.n;
    whole = whole && real_of(vector, "mean_x", &v->mean_x) &&
            real_of(vector, "mean_y", &v->mean_y) && real_of(vector, "var_x", &v->var_x) &&
            real_of(vector, "var_y", &v->var_y) && real_of(vector, "cov_xy", &v->cov_xy) &&
            truth_of(vector, "from_differences", &v->from_differences) &&
            real_of(vector, "phase1_limit", &v->phase1_limit) &&
            real_of(vector, "phase2_limit", &v->phase2_limit);
  }
  of->refit.differs = json_is_object(today);
  if (of->refit.differs)
    whole = whole && integer_of(today, "n", &n) && real_of(today, "centre", &of->refit.centre) &&
            real_of(today, "sigma", &of->refit.sigma) && real_of(today, "lcl", &of->refit.lcl) &&
            real_of(today, "ucl", &of->refit.ucl) &&
            truth_of(today, "adjusted", &of->refit.adjusted) &&
            real_of(today, "slope_per_day", &of->refit.slope_per_day) &&
            real_of(today, "mean_age_days", &of->refit.mean_age_days);
  of->refit.from_differences = json_is_true(json_object_get(today, "from_differences"));
  of->refit.n = (size_t)n;
  return whole;
}

static bool read_segment(const json_t *object, bt_told_segment *told) {
  bt_segment *of = &told->of;
  bt_baseline *baseline = &of->baseline;
  int64_t number = 0, n = 0;
  bool whole = integer_of(object, "number", &number) && state_of(object, &of->state) &&
               time_of(object, "from", &baseline->from) && time_of(object, "to", &baseline->to) &&
               integer_of(object, "version", &baseline->version) &&
               truth_of(object, "screen", &baseline->screen) && integer_of(object, "n", &n) &&
               real_of(object, "centre", &of->chart.centre) &&
               real_of(object, "sigma", &of->chart.sigma) &&
               real_of(object, "lcl", &of->chart.lcl) && real_of(object, "ucl", &of->chart.ucl) &&
               real_of(object, "mr_centre", &of->chart.mr_centre) &&
               real_of(object, "mr_ucl", &of->chart.mr_ucl) &&
               truth_of(object, "adjusted", &baseline->adjusted) &&
               real_of(object, "slope_per_day", &baseline->slope_per_day) &&
               real_of(object, "mean_age_days", &baseline->mean_age_days) &&
               real_of(object, "oldest_age_days", &baseline->oldest_age_days) &&
               real_of(object, "radial_limit", &of->radial.limit) &&
               (json_object_get(object, "target_mj") == NULL || /* a folder of before */
                real_of(object, "target_mj", &of->target_mj));
  told->number = (int32_t)number;
  of->chart.n = (size_t)n;
  return whole && read_parts(object, of);
}

static bt_status read_lists(const json_t *object, bt_told_chart *chart, bt_error *error) {
  const json_t *segments = json_object_get(object, "segments"),
               *restarts = json_object_get(object, "restarts");
  if (!json_is_array(segments) || !json_is_array(restarts))
    return wrong("segments", error);
  chart->segments = bt_new(json_array_size(segments), sizeof *chart->segments);
  chart->restarts = bt_new(json_array_size(restarts), sizeof *chart->restarts);
  if (chart->segments == NULL || chart->restarts == NULL)
    return bt_fail_memory(error);
  for (size_t s = 0; s < json_array_size(segments); s++)
    if (!read_segment(json_array_get(segments, s), &chart->segments[chart->segments_n++]))
      return wrong("segments", error);
  for (size_t r = 0; r < json_array_size(restarts); r++) {
    const json_t *one = json_array_get(restarts, r);
    bt_told_restart *restart = &chart->restarts[chart->restarts_n++];
    int64_t sequence = 0;
    if (!time_of(one, "first_point", &restart->at) || !integer_of(one, "sequence", &sequence))
      return wrong("restarts", error);
    restart->sequence = (int32_t)sequence;
  }
  return BT_OK;
}

/* A key that is built in today was one of the clinic's own where the folder says so, or is of a
 * format that knew no such characteristic. */
static bt_characteristic characteristic_of(const json_t *object, const char *key, int format) {
  bt_characteristic found;
  bool built_in = !json_is_true(json_object_get(object, "own")) &&
                  bt_characteristic_of(key, &found) && bt_case_knows_characteristic(format, found);
  return built_in ? found : BT_CHARACTERISTIC_COUNT;
}

static bt_status read_chart(const json_t *object, int format, bt_told_chart *chart,
                            bt_error *error) {
  const json_t *cusum = json_object_get(object, "cusum");
  const char *key = json_string_value(json_object_get(object, "characteristic"));
  if (key == NULL || !integer_of(object, "rows", &chart->rows) ||
      !integer_of(object, "earlier_checks", &chart->earlier_checks) ||
      !real_of(cusum, "k", &chart->k) || !real_of(cusum, "h", &chart->h) ||
      !real_of(cusum, "headstart", &chart->headstart))
    return wrong("characteristics", error);
  chart->characteristic = characteristic_of(object, key, format);
  chart->key = bt_copy(key);
  return chart->key == NULL ? bt_fail_memory(error) : read_lists(object, chart, error);
}

static bool asked_for(const json_t *object, bt_told_case *told) {
  const json_t *event = json_object_get(object, "event"),
               *remarks = json_object_get(object, "remarks"),
               *people = json_object_get(object, "operator"),
               *look_back = json_object_get(object, "look_back");
  const char *paper = json_string_value(json_object_get(object, "paper"));
  told->with_remarks = json_is_true(remarks);
  told->with_operator = json_is_true(people);
  told->with_look_back = json_is_true(look_back);
  told->letter = paper != NULL && strcmp(paper, "letter") == 0;
  return (json_is_null(event) || integer_of(object, "event", &told->event)) &&
         json_is_boolean(remarks) && json_is_boolean(people) && json_is_boolean(look_back) &&
         paper != NULL && integer_of(object, "log_files", &told->logs);
}

static bt_status read_document(const json_t *document, bt_told_case *told, bt_error *error) {
  const json_t *list = json_object_get(document, "characteristics");
  const char *unit = json_string_value(json_object_get(document, "unit"));
  const char *state = json_string_value(json_object_get(document, "state"));
  const char *made_by = json_string_value(json_object_get(document, "made_by"));
  int64_t format = 0;
  if (!integer_of(document, "format", &format) || format < 1 || format > BT_CASE_FORMAT)
    return bt_fail(error, BT_DAMAGED,
                   "limits.json is not of format 1 to %d; if a later version of this program made "
                   "the folder, verify it with that one",
                   BT_CASE_FORMAT);
  told->format = (int)format;
  if (unit == NULL || made_by == NULL || state == NULL || strlen(state) != sizeof told->state - 1 ||
      !json_is_array(list) || !time_of(document, "from", &told->from) ||
      !time_of(document, "to", &told->to))
    return wrong("unit", error);
  if (!asked_for(json_object_get(document, "asked_for"), told))
    return wrong("asked_for", error);
  told->to += BT_DAY;
  memcpy(told->state, state, sizeof told->state);
  told->unit = bt_copy(unit);
  told->made_by = bt_copy(made_by);
  told->charts = bt_new(json_array_size(list), sizeof *told->charts);
  if (told->unit == NULL || told->made_by == NULL || told->charts == NULL)
    return bt_fail_memory(error);
  bt_status status = BT_OK;
  for (size_t c = 0; c < json_array_size(list) && status == BT_OK; c++)
    status =
        read_chart(json_array_get(list, c), told->format, &told->charts[told->charts_n++], error);
  return status;
}

bt_status emit_told_limits(const char *folder, bt_told_case *told, bt_error *error) {
  char *text = NULL;
  json_error_t where;
  bt_status status = emit_told_file(folder, "limits.json", &text, error);
  if (status != BT_OK)
    return status;
  json_t *document = json_loads(text, JSON_REJECT_DUPLICATES, &where);
  free(text);
  if (document == NULL)
    return bt_fail(error, BT_DAMAGED, "limits.json, line %d: %.100s", where.line, where.text);
  status = read_document(document, told, error);
  json_decref(document);
  return status;
}
