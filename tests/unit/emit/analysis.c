/* The analysis forms: keys, nulls, numbers, spans. */
#include "made_up.h"

#include <criterion/criterion.h>
#include <jansson.h>
#include <stdlib.h>
#include <string.h>

/* Every key of the documented form is there, whatever its value. */
Test(analysis, json_has_every_key_of_the_form) {
  static const char *const keys[] = {
      "format",       "unit",   "characteristic",    "series",
      "session",      "n",      "baseline",          "cusum",
      "individuals",  "ewma",   "capability_reason", "segments",
      "moving_range", "points", "capability",        "autocorrelation",
      "alarm",        "vector", "within_day",        "stability",
      "from_first",   "refit",  "episodes",          "dispositions_without_episode"};
  static const char *const point_keys[] = {
      "at",    "seq",          "source",      "line",      "segment", "raw",           "value",
      "z",     "moving_range", "cusum_high",  "cusum_low", "ewma",    "fill_age_days", "rules",
      "alarm", "within_s",     "within_s_ucl"};
  made_up made;
  make_up(&made);
  json_t *document = parsed(&made, INT64_MIN, INT64_MAX);
  for (size_t i = 0; i < sizeof keys / sizeof *keys; i++)
    cr_assert_not_null(json_object_get(document, keys[i]), "%s", keys[i]);
  json_t *points = json_object_get(document, "points");
  cr_assert_eq(json_array_size(points), POINTS);
  for (size_t i = 0; i < sizeof point_keys / sizeof *point_keys; i++)
    cr_assert_not_null(json_object_get(json_array_get(points, 0), point_keys[i]), "%s",
                       point_keys[i]);
  cr_assert_str_eq(json_string_value(json_object_get(document, "unit")), made.name);
  json_decref(document);
  drop(&made);
}

Test(analysis, json_values_and_nulls) {
  made_up made;
  make_up(&made);
  json_t *document = parsed(&made, INT64_MIN, INT64_MAX);
  json_t *points = json_object_get(document, "points");
  json_t *first = json_array_get(points, 0), *last = json_array_get(points, 3);
  cr_assert(json_is_null(json_object_get(first, "cusum_low")), "Phase I has no CUSUM");
  cr_assert(json_is_null(json_object_get(first, "fill_age_days")));
  cr_assert_eq(json_real_value(json_object_get(last, "cusum_low")), 5.5);
  cr_assert(json_is_null(json_object_get(first, "ewma")), "nor an EWMA");
  cr_assert_eq(json_real_value(json_object_get(last, "ewma")), 0.9975);
  cr_assert_eq(json_real_value(json_object_get(last, "fill_age_days")), 1.25);
  cr_assert_str_eq(json_string_value(json_object_get(first, "at")), "1970-01-01T08:00");
  cr_assert_str_eq(json_string_value(json_object_get(json_array_get(points, 2), "at")),
                   "1970-01-03", "a log without clock gives the day alone");
  json_t *rules = json_object_get(last, "rules");
  cr_assert_str_eq(json_string_value(json_array_get(rules, 0)), "WE1");
  cr_assert_str_eq(json_string_value(json_array_get(rules, 1)), "CUSUM");
  json_t *signal =
      json_array_get(json_object_get(json_object_get(document, "cusum"), "signals"), 0);
  cr_assert_str_eq(json_string_value(json_object_get(signal, "side")), "low");
  cr_assert_str_eq(json_string_value(json_object_get(signal, "run_began")), "1970-01-03");
  cr_assert_str_eq(json_string_value(json_object_get(signal, "run_signalled")), "1970-01-04T08:00");
  json_decref(document);
  drop(&made);
}

/* 0.0042 is written with its digits, not as 0.0041999999999999997. */
Test(analysis, numbers_have_at_most_15_digits) {
  made_up made;
  make_up(&made);
  char *text = written(&made, true, INT64_MIN, INT64_MAX);
  cr_assert_not_null(strstr(text, "\"sigma\":0.0042,"), "%s", text);
  cr_assert_not_null(strstr(text, ",\"ewma\":{\"lambda\":0.2,\"limit\":2.962},"), "%s", text);
  free(text);
  drop(&made);
}

Test(analysis, span_cuts_what_is_shown) {
  made_up made;
  make_up(&made);
  json_t *document = parsed(&made, BT_DAY, 3 * BT_DAY);
  cr_assert_eq(json_array_size(json_object_get(document, "points")), 2);
  cr_assert_eq(json_integer_value(json_object_get(document, "n")), 2);
  json_decref(document);
  document = parsed(&made, 100 * BT_DAY, 200 * BT_DAY);
  cr_assert_eq(json_array_size(json_object_get(document, "points")), 0);
  json_decref(document);
  drop(&made);
}

Test(analysis, no_segment_gives_nulls) {
  made_up made;
  make_up(&made);
  made.study.segments_n = 0;
  made.study.tolerance.now = NULL;
  for (int p = 0; p < POINTS; p++) {
    made.study.judged[p] = 0;
    made.study.points.segment[p] = -1;
  }
  json_t *document = parsed(&made, INT64_MIN, INT64_MAX);
  static const char *const keys[] = {"baseline", "individuals",     "moving_range", "cusum",
                                     "ewma",     "autocorrelation", "tolerance"};
  for (size_t i = 0; i < sizeof keys / sizeof *keys; i++)
    cr_assert(json_is_null(json_object_get(document, keys[i])), "%s", keys[i]);
  json_decref(document);
  drop(&made);
}

Test(analysis, csv_row_by_row) {
  made_up made;
  make_up(&made);
  char *text = written(&made, false, 3 * BT_DAY, 4 * BT_DAY);
  cr_assert_str_eq(text,
                   "at,source,line,checks,raw,value,fill_age_days,z,moving_range,cusum_high,"
                   "cusum_low,strength,rules,ewma,within_s,within_s_ucl\n"
                   "1970-01-04T08:00,0,0,1,1.3,1.3,1.25,0,,0,5.5,notice,WE1 CUSUM,0.9975,,\n");
  free(text);
  text = written(&made, false, BT_DAY, 2 * BT_DAY);
  cr_assert_not_null(strstr(text, "\n1970-01-02T08:00,0,0,1,1.1,1.1,,0,,,,quiet,,,,\n"),
                     "Phase I has neither CUSUM nor EWMA: %s", text);
  free(text);
  drop(&made);
}

/* The radius is judged by its one limit. */
Test(analysis, the_radius_has_no_sums_nor_averages) {
  made_up made;
  make_up(&made);
  made.study.characteristic = BT_TRACKER_RADIAL;
  made.segment.radial = (bt_radial_limit){.n = 3, .limit = 2};
  json_t *document = parsed(&made, INT64_MIN, INT64_MAX);
  json_t *last = json_array_get(json_object_get(document, "points"), 3);
  cr_assert(json_is_null(json_object_get(document, "ewma")));
  cr_assert(json_is_null(json_object_get(document, "cusum")));
  cr_assert(json_is_null(json_object_get(last, "ewma")));
  cr_assert(json_is_null(json_object_get(last, "cusum_low")));
  json_decref(document);
  char *text = written(&made, false, 3 * BT_DAY, 4 * BT_DAY);
  cr_assert_not_null(strstr(text, ",1.25,,,,,notice,WE1 CUSUM,,,\n"), "%s", text);
  free(text);
  drop(&made);
}

Test(analysis, a_full_disk_is_told) {
  made_up made;
  make_up(&made);
  char small[64];
  bt_error error;
  FILE *stream = fmemopen(small, sizeof small, "w");
  (void)setvbuf(stream, NULL, _IONBF, 0);
  cr_assert_eq(bt_emit_analysis_json(&made.unit, &made.study, INT64_MIN, INT64_MAX, stream, &error),
               BT_SYSTEM);
  cr_assert_eq(bt_emit_analysis_csv(&made.study, INT64_MIN, INT64_MAX, stream, &error), BT_SYSTEM);
  (void)fclose(stream);
  drop(&made);
}
