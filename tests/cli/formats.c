/* `analyse` of every characteristic of the demo: its CSV says of each point what its JSON says, and
 * its text the same state, baseline and episodes; `chart` draws each of them. One unit; both where
 * BEAMTALLY_LONG_TESTS is set. */
#include "program.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const char *const units[] = {"Suite North", "Suite South"};
static const char *const keys[] = {
    "energy_ratio",   "demand",       "fluence",       "tracker_x", "tracker_y", "tracker_radial",
    "tracker_vector", "high_voltage", "energy_spread", "temp_c",    "rh_pct"};
enum { UNITS = 2, KEYS = sizeof keys / sizeof *keys, COLUMNS = 16, HALF = 128 };

/* The next cell of a row, NUL-terminated in place; its end is a comma or the line's end. */
static char *cell(char **at) {
  char *start = *at, *end = start + strcspn(start, ",\n");
  *at = *end == '\0' ? end : end + 1;
  *end = '\0';
  return start;
}

static void same_cell(const json_t *point, const char *key, const char *found, const char *where) {
  const json_t *value = json_object_get(point, key);
  char wanted[256] = "";
  cr_assert_not_null(value, "%s: no \"%s\"", where, key);
  if (json_is_string(value))
    (void)snprintf(wanted, sizeof wanted, "%s", json_string_value(value));
  else if (json_is_number(value))
    (void)snprintf(wanted, sizeof wanted, "%.15g", json_number_value(value));
  for (size_t i = 0; i < json_array_size(value); i++) {
    size_t n = strlen(wanted);
    (void)snprintf(wanted + n, sizeof wanted - n, "%s%s", i > 0 ? " " : "",
                   json_string_value(json_array_get(value, i)));
  }
  cr_expect_str_eq(found, wanted, "%s, %s: \"%s\", not \"%s\"", where, key, found, wanted);
}

/* quiet, notice or alarm, as the rules of the point in JSON come to. */
static void same_strength(const json_t *point, const char *found, const char *where) {
  bool any = json_array_size(json_object_get(point, "rules")) > 0;
  bool alarm = json_is_true(json_object_get(point, "alarm"));
  cr_expect_str_eq(found, alarm ? "alarm" : any ? "notice" : "quiet", "%s", where);
}

static void same_rows(char *csv, const json_t *points, const char *of) {
  char *names[COLUMNS], *at = csv;
  for (int c = 0; c < COLUMNS; c++)
    names[c] = cell(&at);
  cr_expect_str_eq(names[COLUMNS - 1], "within_s_ucl");
  for (size_t i = 0; i < json_array_size(points); i++) {
    char where[HALF];
    (void)snprintf(where, sizeof where, "%s, point %zu", of, i);
    cr_assert(*at != '\0', "%s: CSV ends", where);
    for (int c = 0; c < COLUMNS; c++) {
      const char *found = cell(&at);
      if (strcmp(names[c], "strength") == 0)
        same_strength(json_array_get(points, i), found, where);
      else
        same_cell(json_array_get(points, i), names[c], found, where);
    }
  }
  cr_expect_str_eq(at, "", "%s: CSV has more rows", of);
}

static void says(const char *text, const char *words, const char *of) {
  cr_expect_not_null(strstr(text, words), "%s: no \"%s\" in\n%s", of, words, text);
}

/* " (3 alarms, 1 notice)": of an episode with alarms, counted in the points of its days. */
static const char *strengths_of(const json_t *document, const json_t *episode) {
  static char words[64];
  const json_t *points = json_object_get(document, "points");
  long alarms = 0, notices = (long)number_of(episode, "signals");
  if (strcmp(text_of(episode, "strength"), "alarm") != 0)
    return "";
  for (size_t i = 0; i < json_array_size(points); i++) {
    const json_t *point = json_array_get(points, i);
    alarms += strcmp(text_of(point, "at"), text_of(episode, "from")) >= 0 &&
              strcmp(text_of(point, "at"), text_of(episode, "to")) <= 0 &&
              json_is_true(json_object_get(point, "alarm"));
  }
  notices -= alarms;
  int n = snprintf(words, sizeof words, " (%ld %s", alarms, alarms == 1 ? "alarm" : "alarms");
  if (notices > 0)
    n += snprintf(words + n, sizeof words - (size_t)n, ", %ld %s", notices,
                  notices == 1 ? "notice" : "notices");
  (void)snprintf(words + n, sizeof words - (size_t)n, ")");
  return words;
}

static void same_in_words(char *text, const json_t *document, const char *of) {
  char words[HALF];
  unwrap(text);
  long n = (long)number_of(document, "n");
  (void)snprintf(words, sizeof words, ", %ld %s", n, n == 1 ? "point" : "points");
  says(text, words, of);
  const json_t *baseline = json_object_get(document, "baseline");
  if (json_is_object(json_object_get(document, "individuals"))) {
    (void)snprintf(words, sizeof words, "n = %ld", (long)number_of(baseline, "n"));
    says(text, words, of);
  }
  const json_t *episodes = json_object_get(document, "episodes");
  for (size_t e = 0; e < json_array_size(episodes); e++) {
    const json_t *episode = json_array_get(episodes, e);
    long signals = (long)number_of(episode, "signals");
    says(text, text_of(episode, "id"), of);
    (void)snprintf(words, sizeof words, "%s, %s side, %ld %s%s", text_of(episode, "strength"),
                   text_of(episode, "side"), signals, signals == 1 ? "point" : "points",
                   strengths_of(document, episode));
    says(text, words, of);
  }
  const json_t *alarm = json_object_get(document, "alarm");
  if (json_is_object(alarm) && json_is_number(json_object_get(alarm, "limit"))) {
    (void)snprintf(words, sizeof words, "±%.2fσ", number_of(alarm, "limit"));
    says(text, words, of);
  }
}

static bool same_forms(const char *folder, const char *unit, const char *key) {
  char of[64];
  (void)snprintf(of, sizeof of, "%s, %s", unit, key);
  run_result csv =
      RUN(folder, "analyse", "--unit", unit, "--characteristic", key, "--format", "csv");
  run_result text = RUN(folder, "analyse", "--unit", unit, "--characteristic", key);
  run_result chart =
      RUN(folder, "chart", "--unit", unit, "--characteristic", key, "-o", "chart.svg");
  bool there = csv.status == 0;
  cr_expect_eq(text.status, csv.status, "%s", of);
  cr_expect_eq(chart.status, csv.status, "%s: %s", of, chart.err);
  if (there) {
    json_t *document = analysis_of(folder, unit, key, NULL);
    char *title = text.out, *path = path_in(folder, "chart.svg");
    same_rows(csv.out, json_object_get(document, "points"), of);
    cr_expect(file_exists(path), "%s: no chart", of);
    cr_expect_eq(remove(path), 0);
    same_in_words(title, document, of);
    json_decref(document);
    free(path);
  } else
    cr_expect_not_null(strstr(csv.err, key), "%s: %s", of, csv.err);
  run_free(&csv);
  run_free(&text);
  run_free(&chart);
  return there;
}

Test(formats, text_json_csv_and_chart_agree_on_every_characteristic) {
  char *folder = folder_begin();
  size_t seen[UNITS] = {0};
  size_t units_n = getenv("BEAMTALLY_LONG_TESTS") != NULL ? UNITS : 1;
  demo_into(folder);
  for (size_t u = 0; u < units_n; u++)
    for (size_t k = 0; k < KEYS; k++)
      seen[u] += same_forms(folder, units[u], keys[k]);
  cr_expect_eq(seen[0], KEYS - 1, "all but the voltage: %zu", seen[0]);
  cr_expect(units_n == 1 || seen[1] >= 6, "%zu", seen[1]);
  folder_end(folder);
}

/* The radius and T² have a limit of their own: neither sigma nor z is spoken of. */
Test(formats, an_offsets_baseline_has_its_own_limit) {
  char *folder = folder_begin();
  demo_into(folder);
  const char *period[] = {"--unit", units[1], "--from", "2025-04-01", "--to", "2025-07-03"};
  char *vector = RUN_DONE(folder, "baseline", "--characteristic", "tracker_vector", period[0],
                          period[1], period[2], period[3], period[4], period[5], "--screen", "--by",
                          "KL", "--why", "a test");
  says(vector, "left out: 2025-05-21T07:33, beyond the limit in pass 1\n", "T²");
  char *radius = RUN_DONE(folder, "baseline", "--characteristic", "tracker_radial", period[0],
                          period[1], period[2], period[3], period[4], period[5], "--screen", "--by",
                          "KL", "--why", "a test");
  says(radius, "limit 28.817 (99.73 %)", "radius");
  json_t *document = analysis_of(folder, units[1], "tracker_vector", NULL);
  const json_t *baseline = json_object_get(document, "baseline");
  const json_t *excluded = json_array_get(json_object_get(baseline, "excluded"), 0);
  cr_expect(json_is_null(json_object_get(baseline, "sigma")));
  cr_expect(json_is_null(json_object_get(baseline, "centre")));
  cr_expect_str_eq(text_of(excluded, "cause"), "beyond the limit");
  cr_expect(json_is_null(json_object_get(excluded, "z")));
  json_decref(document);
  free(vector);
  free(radius);
  folder_end(folder);
}
