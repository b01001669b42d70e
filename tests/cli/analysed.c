/* What `analyse` prints of random histories against a plain reading of the same log
 * (plain_chart.h): series of all shapes, also of no, one and two checks; gaps, several checks a
 * day, retests, as-left readings, ties on the lines, tolerances of one and two sides, restarts;
 * limits suggested, stated, asked for, and frozen up to three times; target energies that change,
 * creep, are mistyped or missing. 40 histories; 10,000 where
 * BEAMTALLY_LONG_TESTS is set.
 *
 * The reading takes only the budgeted limits from the program: their solution has tests of its own
 * in the spc room. */
#include "../share.h"
#include "plain_chart.h"
#include "program.h"

#include <criterion/criterion.h>
#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { HISTORIES = 40, LONG_HISTORIES = 10000, BATCH = 50, DAY = 1440, REFUSED = 1 };

static plain_chart all[BATCH];
static const char *unit; /* for messages */

/* ---- Into a ledger --------------------------------------------------------------------------- */

static FILE *begin_file(const char *folder, const char *name) {
  char *path = path_in(folder, name);
  FILE *file = fopen(path, "w");
  cr_assert_not_null(file);
  free(path);
  return file;
}

static const char *unit_name(int number, char name[32]) {
  (void)snprintf(name, 32, "Unit %d", number);
  return name;
}

static void write_one(const plain_chart *of, const char *name, FILE *log, FILE *events) {
  char text[32];
  for (size_t i = 0; i < of->n; i++) {
    (void)plain_moment(of->at[i], text);
    text[10] = ',';
    (void)fprintf(log, "%s,%s,%.4f,,%s,", text, name, of->raw[i],
                  of->as_left[i] ? "as_left" : "as_found");
    if (of->target[i] > 0)
      (void)fprintf(log, "%.4f", of->target[i]);
    (void)fputc('\n', log);
  }
  if (of->n == 0)
    (void)fprintf(log, "2025-01-06,07:00,%s,,20,,\n", name);
  for (size_t e = 0; e < of->events_n; e++) {
    (void)plain_moment(of->event_at[e], text);
    text[10] = ',';
    (void)fprintf(events, "%s,%s,%s\n", text, name, plain_events[of->event[e]]);
  }
}

static void import_all(const char *folder, int first) {
  FILE *log = begin_file(folder, "log.csv"), *events = begin_file(folder, "events.csv");
  FILE *settings = begin_file(folder, "settings.ini");
  char name[32];
  int tolerances = 0;
  (void)fputs("date,time,unit,hv_kv,temp_c,state,target_mj\n", log);
  (void)fputs("date,time,unit,event\n2025-01-06,00:01,Unit of nothing else,moved\n", events);
  (void)fputs("[budget]\nalarms_per_unit_year = 1\n", settings);
  for (int h = 0; h < BATCH; h++) {
    const plain_chart *of = &all[h];
    write_one(of, unit_name(first + h, name), log, events);
    if (!of->has_low && !of->has_high)
      continue;
    (void)fprintf(settings, "[tolerance %d]\nunit = %s\ncharacteristic = high_voltage\n",
                  ++tolerances, name);
    if (of->has_low)
      (void)fprintf(settings, "low = %g\n", of->low);
    if (of->has_high)
      (void)fprintf(settings, "high = %g\n", of->high);
    (void)fputs("source = a policy\n", settings);
  }
  cr_assert(fclose(log) == 0 && fclose(events) == 0 && fclose(settings) == 0);
  free(RUN_DONE(folder, "settings", "settings.ini", "--by", "KL", "--why", "a test"));
  free(RUN_DONE(folder, "import", "log.csv"));
  free(RUN_DONE(folder, "import", "--new-unit", "events.csv"));
}

/* Freezes the periods; one that has no chart must be refused, and is dropped. */
static void freeze(const char *folder, plain_chart *of) {
  size_t kept = 0;
  for (size_t k = 0; k < of->periods_n; k++) {
    char from[32], to[32];
    bool fits = plain_freeze(of, &of->period[k]);
    run_result result = RUN(folder, "baseline", "--unit", unit, "--characteristic", "high_voltage",
                            "--from", plain_day(of->period[k].from, from), "--to",
                            plain_day(of->period[k].to, to), "--by", "KL", "--why", "a test",
                            "--accept-drift", of->period[k].screen ? "--screen" : "--accept-drift");
    cr_assert_eq(result.status, fits ? 0 : REFUSED, "%s, period %zu: %s", unit, k, result.err);
    run_free(&result);
    if (fits)
      of->period[kept++] = of->period[k];
  }
  of->periods_n = kept;
  if (kept == 0)
    of->mode = PLAIN_FIRST;
}

/* ---- Both side by side ----------------------------------------------------------------------- */

#define SAME(condition, what, at)                                                                  \
  cr_assert(condition, "%s: %s differs at %zu", unit, what, (size_t)(at))

/* A number within rounding of 15 digits, or null where there is none. */
static void same_number(const json_t *object, const char *key, bool there, double wanted,
                        size_t at) {
  const json_t *found = json_object_get(object, key);
  cr_assert(there ? json_is_number(found) : json_is_null(found), "%s: %s at %zu is %s", unit, key,
            at, there ? "no number" : "not null");
  double value = json_number_value(found);
  cr_assert(!there || fabs(value - wanted) <= 1e-9 * (1 + fabs(wanted)),
            "%s: %s at %zu: %.15g, %.15g", unit, key, at, value, wanted);
}

static void same_moment(const json_t *object, const char *key, const plain_chart *of, size_t p) {
  char text[32];
  const char *found = text_of(object, key);
  cr_assert_str_eq(found, plain_moment(of->at[of->first[p]], text), "%s: %s is %s, not %s", unit,
                   key, found, text);
}

static unsigned rules_of(const json_t *list) {
  static const char *const names[] = {"WE1",   "WE2",       "WE3",         "WE4",
                                      "CUSUM", "TOLERANCE", "ALARM_LIMIT", "ALARM_CUSUM"};
  unsigned rules = 0;
  for (size_t i = 0; i < json_array_size(list); i++)
    for (unsigned r = 0; r < 8; r++)
      if (strcmp(json_string_value(json_array_get(list, i)), names[r]) == 0)
        rules |= 1U << r;
  cr_assert_eq((size_t)__builtin_popcount(rules), json_array_size(list), "a rule of no name");
  return rules;
}

static void same_exclusions(const plain_chart *of, const plain_segment *segment,
                            const json_t *list) {
  size_t n = 0;
  for (size_t p = segment->from; p < segment->phase2; p++) {
    if (!of->excluded[p])
      continue;
    n++;
    const json_t *found = NULL;
    for (size_t i = 0; i < json_array_size(list); i++) {
      char text[32];
      const json_t *one = json_array_get(list, i);
      if (strcmp(text_of(one, "at"), plain_moment(of->at[of->first[p]], text)) == 0)
        found = one;
    }
    SAME(found != NULL && (int)number_of(found, "pass") == of->pass[p], "an exclusion", p);
  }
  SAME(n == json_array_size(list), "the number of exclusions", n);
}

/* Where it stands, the budget's answer enters the plain reading. */
static void take_alarm(const plain_chart *of, plain_segment *segment, const json_t *found) {
  const json_t *alarm = json_object_get(found, "alarm");
  const json_t *individuals = json_object_get(found, "individuals");
  bool given = segment->drawn && segment->n >= 30;
  cr_assert(json_is_null(alarm) != given, "%s: alarm limits of %zu points%s", unit, segment->n,
            given ? " are missing" : "");
  segment->limit = segment->h = 0;
  if (given) {
    long days =
        of->at[of->first[segment->phase2 - 1]] / DAY - of->at[of->first[segment->from]] / DAY;
    double points = (double)(segment->phase2 - segment->from);
    same_number(alarm, "checks_a_year", true, points / (double)(days + 1) * 365.25, 0);
    same_number(alarm, "n", true, (double)segment->n, 0);
    same_number(alarm, "charts", true, 1, 0);
    segment->limit = number_of(alarm, "limit");
    segment->h = number_of(alarm, "h");
  }
  if (!segment->drawn)
    return;
  double reach = segment->limit * segment->sigma;
  same_number(individuals, "alarm_lcl", given, segment->centre - reach, 0);
  same_number(individuals, "alarm_ucl", given, segment->centre + reach, 0);
}

static void same_limits(plain_chart *of, const json_t *list) {
  SAME(json_array_size(list) == of->segments_n, "segments", json_array_size(list));
  for (size_t s = 0; s < of->segments_n; s++) {
    plain_segment *segment = &of->segment[s];
    const json_t *found = json_array_get(list, s);
    const json_t *individuals = json_object_get(found, "individuals");
    const json_t *range = json_object_get(found, "moving_range");
    take_alarm(of, segment, found);
    SAME(json_is_null(individuals) == !segment->drawn, "whether there are limits", s);
    if (!segment->drawn)
      continue;
    const json_t *baseline = json_object_get(found, "baseline");
    same_number(baseline, "n", true, (double)segment->n, s);
    same_number(baseline, "target_mj", segment->target > 0, segment->target, s);
    same_number(baseline, "centre", true, segment->centre, s);
    same_number(baseline, "sigma", true, segment->sigma, s);
    same_exclusions(of, segment, json_object_get(baseline, "excluded"));
    same_number(individuals, "centre", true, segment->centre, s);
    same_number(individuals, "lcl", true, segment->centre - 3 * segment->sigma, s);
    same_number(individuals, "ucl", true, segment->centre + 3 * segment->sigma, s);
    double mean_range = segment->sigma * 2 / sqrt(acos(-1));
    same_number(range, "centre", true, mean_range, s);
    same_number(range, "ucl", true, mean_range * 3.266531919301567, s);
  }
}

static void same_point(const plain_chart *of, size_t p, const json_t *found) {
  const plain_segment *segment = of->segment_of[p] < 0 ? NULL : &of->segment[of->segment_of[p]];
  bool several = of->checks[p] > 1, by_rules = of->judged[p] == 1;
  bool limited = several && segment != NULL && segment->drawn && segment->days > 0 && !of->other[p];
  double range = 0, c4 = several ? plain_c4(of->checks[p]) : 0;
  same_moment(found, "at", of, p);
  same_number(found, "segment", of->segment_of[p] >= 0, of->segment_of[p], p);
  same_number(found, "checks", true, of->checks[p], p);
  same_number(found, "target_mj", of->held[p] > 0, of->held[p], p);
  same_number(found, "raw", true, of->value[p], p);
  same_number(found, "value", true, of->value[p], p);
  same_number(found, "z", of->judged[p] != 0, of->z[p], p);
  bool has_range = plain_range(of, p, &range);
  same_number(found, "moving_range", has_range, range, p);
  same_number(found, "cusum_high", by_rules, of->sum[0][p], p);
  same_number(found, "cusum_low", by_rules, of->sum[1][p], p);
  same_number(found, "ewma", by_rules, by_rules ? plain_average(of, p) : 0, p);
  same_number(found, "within_s", several, of->within[p], p);
  same_number(found, "within_s_ucl", limited,
              limited ? (c4 + 3 * sqrt(1 - c4 * c4)) * segment->within_sigma : 0, p);
  unsigned rules = rules_of(json_object_get(found, "rules")),
           wanted = of->rules[0][p] | of->rules[1][p];
  cr_assert_eq(rules, wanted, "%s, point %zu: rules %x, not %x", unit, p, rules, wanted);
  SAME(json_is_true(json_object_get(found, "alarm")) == ((wanted & PLAIN_ALARMS) != 0), "alarm", p);
}

static void same_side(const json_t *found, int side, bool alarm) {
  cr_assert_str_eq(text_of(found, "side"), side == 0 ? "high" : "low", "%s", unit);
  cr_assert_str_eq(text_of(found, "strength"), alarm ? "alarm" : "notice", "%s", unit);
}

static void same_cusum(const plain_chart *of, const json_t *cusum) {
  bool drawn = of->segments_n > 0 && of->segment[of->segments_n - 1].drawn;
  SAME(json_is_null(cusum) == !drawn, "whether there are sums", 0);
  if (!drawn)
    return;
  const json_t *signals = json_object_get(cusum, "signals");
  const json_t *restarts = json_object_get(cusum, "restarts");
  SAME(json_array_size(signals) == of->excursions_n, "signals", json_array_size(signals));
  for (size_t e = 0; e < of->excursions_n; e++) {
    const json_t *found = json_array_get(signals, e);
    const plain_excursion *stay = &of->excursion[e];
    same_moment(found, "at", of, stay->signal);
    same_moment(found, "run_began", of, stay->began);
    same_moment(found, "last", of, stay->last);
    same_number(found, "size", true, stay->size, e);
    same_side(found, stay->side, stay->alarm != PLAIN_MOST);
    if (stay->alarm != PLAIN_MOST)
      same_moment(found, "alarm_at", of, stay->alarm);
  }
  size_t n = 0;
  for (size_t p = 0; p < of->points_n; p++) {
    char text[32];
    if (of->restart[p] < 0)
      continue;
    const json_t *found = json_array_get(restarts, n++);
    same_moment(found, "at", of, p);
    cr_assert_str_eq(text_of(found, "event"), plain_events[of->event[of->restart[p]]], "%s", unit);
    cr_assert_str_eq(text_of(found, "event_at"), plain_moment(of->event_at[of->restart[p]], text));
  }
  SAME(n == json_array_size(restarts), "restarts", n);
}

static void same_episodes(const plain_chart *of, const json_t *list) {
  SAME(json_array_size(list) == of->episodes_n, "episodes", json_array_size(list));
  for (size_t e = 0; e < of->episodes_n; e++) {
    const plain_episode *wanted = &of->episode[e];
    const json_t *found = NULL;
    for (size_t i = 0; i < of->episodes_n; i++) {
      char text[32];
      const json_t *one = json_array_get(list, i);
      if ((strcmp(text_of(one, "side"), "high") == 0) == (wanted->side == 0) &&
          strcmp(text_of(one, "from"), plain_moment(of->at[of->first[wanted->first]], text)) == 0)
        found = one;
    }
    SAME(found != NULL, "an episode", wanted->first);
    same_moment(found, "to", of, wanted->last);
    same_number(found, "signals", true, (double)wanted->signals, e);
    same_side(found, wanted->side, (wanted->rules & PLAIN_ALARMS) != 0);
    SAME(rules_of(json_object_get(found, "rules")) == wanted->rules, "an episode's rules", e);
  }
}

/* How many points aren't judged for their target, and since when all are of another. */
static void same_targets(const plain_chart *of, const json_t *found) {
  const json_t *since = json_object_get(found, "other_target");
  size_t n = 0, newest = 0;
  for (size_t p = 0; p < of->points_n; p++) {
    int s = of->segment_of[p];
    n += of->other[p] && of->segment[s].drawn && of->judged[p] == 0;
    newest = of->other[p] ? newest + 1 : 0;
  }
  same_number(json_object_get(found, "left_out"), "other_target", true, (double)n, 0);
  SAME(json_is_null(since) == (newest == 0), "whether the newest are of another target", newest);
  if (newest == 0)
    return;
  same_moment(since, "from", of, of->points_n - newest);
  same_number(since, "points", true, (double)newest, 0);
  same_number(since, "target_mj", true, of->held[of->points_n - 1], 0);
  same_number(since, "baseline_target_mj", true, of->segment[of->segments_n - 1].target, 0);
}

static void compare(const char *folder, plain_chart *of) {
  char period[80], from[32], to[32];
  const char *more[8] = {NULL};
  if (of->mode == PLAIN_STATED) {
    const char *stated[] = {"--centre", "100",       "--sigma",
                            "1",        "--session", of->every ? "every" : "day"};
    memcpy(more, stated, sizeof stated);
  } else if (of->mode == PLAIN_ASKED) {
    (void)snprintf(period, sizeof period, "%s..%s", plain_day(of->period[0].from, from),
                   plain_day(of->period[0].to, to));
    more[0] = "--baseline";
    more[1] = period;
  }
  json_t *found = analysis_of(folder, unit, "high_voltage", more);
  const json_t *points = json_object_get(found, "points"),
               *lag = json_object_get(found, "autocorrelation");
  plain_limits(of);
  same_limits(of, json_object_get(found, "segments"));
  plain_signals(of);
  SAME(json_array_size(points) == of->points_n, "points", json_array_size(points));
  same_number(found, "n", true, (double)of->points_n, 0);
  for (size_t p = 0; p < of->points_n; p++)
    same_point(of, p, json_array_get(points, p));
  same_targets(of, found);
  same_cusum(of, json_object_get(found, "cusum"));
  same_episodes(of, json_object_get(found, "episodes"));
  const plain_segment *now = of->segments_n > 0 ? &of->segment[of->segments_n - 1] : NULL;
  bool correlated = now != NULL && now->drawn && now->n > 0;
  cr_assert(json_is_null(lag) == !correlated, "%s: autocorrelation", unit);
  if (correlated)
    same_number(lag, "lag1", true, now->lag1, 0);
  json_decref(found);
}

Test(analysed, random_histories_as_a_plain_reading_has_them) {
  int histories = getenv("BEAMTALLY_LONG_TESTS") != NULL ? LONG_HISTORIES : HISTORIES;
  size_t modes[4] = {0}, signals = 0, empty = 0, segments = 0, others = 0;
  char name[32];
  int tried = 0;
  for (int first = 0; first < histories; first += BATCH) {
    if (!share_has(first / BATCH))
      continue;
    int n = histories - first < BATCH ? histories - first : BATCH;
    char *folder = folder_begin();
    uint64_t state = 20260817 + (uint64_t)first;
    for (int h = 0; h < BATCH; h++)
      plain_make(&all[h], &state);
    import_all(folder, first);
    for (int h = 0; h < n; h++) {
      plain_chart *of = &all[h];
      unit = unit_name(first + h, name);
      if (of->n == 0) { /* nothing was measured: said, not drawn */
        run_result result =
            RUN(folder, "analyse", "--unit", unit, "--characteristic", "high_voltage");
        cr_assert_eq(result.status, REFUSED, "%s", unit);
        cr_assert_not_null(strstr(result.err, "has no high_voltage"), "%s", result.err);
        run_free(&result);
        empty++;
        continue;
      }
      if (of->mode == PLAIN_FROZEN)
        freeze(folder, of);
      compare(folder, of);
      modes[of->mode]++;
      signals += of->episodes_n;
      segments += of->segments_n > 1;
      for (size_t p = 0; p < of->points_n; p++)
        others += of->other[p];
    }
    folder_end(folder);
    tried += n;
  }
  printf("%d histories: %zu empty, limits suggested %zu, stated %zu, asked %zu, frozen %zu (%zu of "
         "several); %zu episodes; %zu points of another target\n",
         tried, empty, modes[PLAIN_FIRST], modes[PLAIN_STATED], modes[PLAIN_ASKED],
         modes[PLAIN_FROZEN], segments, signals, others);
  cr_expect(modes[0] > 0 && modes[1] > 0 && modes[2] > 0 && modes[3] > 0 && segments > 0);
  cr_expect_gt(signals, (size_t)tried / 2);
  cr_expect_gt(others, (size_t)tried);
}
