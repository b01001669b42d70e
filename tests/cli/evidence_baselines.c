/* Evidence folders of frozen baselines: one that begins inside another, and periods that read
 * otherwise since a correction. The folder holds, and base R finds the same limits. */
#include "program.h"

#include <criterion/criterion.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { DAYS = 84, FILL_DAYS = 4, LINE = 96 };

/* Where one begins inside the other; both have a day that fails. */
static const char first_from[] = "2026-01-05", first_to[] = "2026-03-06",
                  second_from[] = "2026-02-09", second_to[] = "2026-03-20";

/* A number in [-0.5, 0.5): of no source, only not alike from day to day. */
static double noise(unsigned *state) {
  *state = *state * 1664525U + 1013904223U;
  return (double)(*state >> 8) / 16777216.0 - 0.5;
}

/* Weekdays from 5 Jan 2026 on: the energy falls inside each fill, the offset wanders; one check
 * in each baseline is outside tolerance, and one far off. */
static void write_logs(const char *folder) {
  static const int in_month[] = {31, 28, 31, 30, 31};
  char *log = calloc(DAYS * 2, LINE), *events = calloc(DAYS + 1, LINE);
  cr_assert(log != NULL && events != NULL);
  size_t log_n =
      (size_t)sprintf(log, "date,time,unit,target_mj,energy_mj,offset_x_um,offset_y_um\n");
  size_t events_n = (size_t)sprintf(events, "date,time,unit,event\n");
  unsigned state = 7;
  int month = 1, day = 5;
  for (int d = 0; d < DAYS; d++, day++) {
    if (day > in_month[month - 1]) {
      day = 1;
      month++;
    }
    if (d % FILL_DAYS == 0)
      events_n += (size_t)sprintf(events + events_n, "2026-%02d-%02d,06:30,Room 1,gas_refill\n",
                                  month, day);
    if (d % 7 > 4)
      continue;
    double energy = 2.0 - 0.008 * (d % FILL_DAYS) + 0.02 * noise(&state);
    energy = d == 10 || d == 50 ? 1.84 : d == 15 ? 1.93 : energy;
    log_n += (size_t)sprintf(log + log_n, "2026-%02d-%02d,07:30,Room 1,2.0,%.4f,%.1f,%.1f\n", month,
                             day, energy, 3 + 9 * noise(&state), -2 + 9 * noise(&state));
  }
  char *path = path_in(folder, "log.csv");
  file_write(path, log, log_n);
  free(path);
  path = path_in(folder, "events.csv");
  file_write(path, events, events_n);
  free(path);
  free(log);
  free(events);
}

static void freeze(const char *folder, const char *characteristic, const char *from,
                   const char *to) {
  free(RUN_DONE(folder, "baseline", "--unit", "Room 1", "--characteristic", characteristic,
                "--from", from, "--to", to, "--screen", "--accept-drift", "--by", "PERSON", "--why",
                "a test", "--yes"));
}

static char *room_folder(void) {
  static const char settings[] = "[unit 1]\nname = Room 1\nbeam = flat_top\n"
                                 "[schedule]\nweekdays = mon tue wed thu fri\n"
                                 "[tolerance 1]\nunit = Room 1\ncharacteristic = energy_ratio\n"
                                 "low = 0.95\nhigh = 1.05\nsource = invented\nfrom = 2026-01-01\n";
  char *folder = folder_begin(), *path = path_in(folder, "settings.ini");
  file_write(path, settings, strlen(settings));
  free(path);
  write_logs(folder);
  free(RUN_DONE(folder, "settings", "settings.ini", "--by", "PERSON", "--why", "first", "--yes"));
  free(RUN_DONE(folder, "import", "--new-unit", "log.csv", "events.csv"));
  static const char *const frozen[] = {"energy_ratio", "tracker_x", "tracker_radial",
                                       "tracker_vector"};
  for (size_t k = 0; k < sizeof frozen / sizeof *frozen; k++) {
    freeze(folder, frozen[k], first_from, first_to);
    freeze(folder, frozen[k], second_from, second_to);
  }
  return folder;
}

static json_t *limits_in(const char *folder) {
  char *path = path_in(folder, "case/limits.json"), *text = file_read(path, NULL);
  json_t *limits = json_loads(text, JSON_REJECT_DUPLICATES, NULL);
  cr_assert_not_null(limits);
  free(text);
  free(path);
  return limits;
}

static const json_t *segment_of(const json_t *limits, const char *key, size_t number) {
  const json_t *list = json_object_get(limits, "characteristics");
  for (size_t i = 0; i < json_array_size(list); i++)
    if (strcmp(text_of(json_array_get(list, i), "characteristic"), key) == 0)
      return json_array_get(json_object_get(json_array_get(list, i), "segments"), number);
  cr_assert_fail("limits.json has no %s", key);
  return NULL;
}

/* `told`: an object with n, centre, sigma, lcl, ucl and the slope. */
static void r_must_agree(const char *folder, const json_t *told, const char *key, const char *from,
                         const char *to) {
  static const char *const names[] = {"n", "centre", "sigma", "lcl", "ucl"};
  double found[6];
  char name[64];
  int number;
  char *said = TOOL(folder, "Rscript", "--vanilla", BEAMTALLY_TREE "/tests/cli/evidence_limits.R",
                    "case/checks.csv", key, from, to);
  cr_assert_eq(sscanf(said, "%63s %d %lf %lf %lf %lf %lf %lf", name, &number, &found[0], &found[1],
                      &found[2], &found[3], &found[4], &found[5]),
               8, "%s", said);
  free(said);
  for (size_t k = 0; k < sizeof names / sizeof *names; k++) {
    double is = number_of(told, names[k]);
    cr_expect(fabs(is - found[k]) <= 1e-9 * fabs(is), "%s, %s of %s to %s: %.17g, R finds %.17g",
              key, names[k], from, to, is, found[k]);
  }
  bool adjusted = json_is_true(json_object_get(told, "adjusted"));
  double slope = adjusted ? number_of(told, "slope_per_day") : 0;
  cr_expect(fabs(slope - found[5]) <= 1e-9 * fabs(slope), "%s: %.17g, R finds %.17g", key, slope,
            found[5]);
}

static void evidence_into(const char *folder, const char *from) {
  free(RUN_DONE(folder, "evidence", "--unit", "Room 1", "--from", from, "-o", "case"));
  free(RUN_DONE(folder, "verify", "case"));
  free(RUN_DONE(folder, "verify", "case", "--ledger", "none"));
}

Test(evidence_baselines, one_that_begins_inside_another_follows_from_the_rows) {
  char *folder = room_folder();
  evidence_into(folder, "2026-01-05");
  json_t *limits = limits_in(folder);
  const json_t *first = segment_of(limits, "energy_ratio", 0);
  cr_expect(json_is_true(json_object_get(first, "adjusted")));
  cr_expect(json_is_null(json_object_get(first, "read_today")));
  r_must_agree(folder, first, "energy_ratio", first_from, first_to);
  r_must_agree(folder, segment_of(limits, "energy_ratio", 1), "energy_ratio", second_from,
               second_to);
  r_must_agree(folder, segment_of(limits, "tracker_x", 0), "tracker_x", first_from, first_to);
  json_decref(limits);
  folder_end(folder);
}

/* Before the first check there is no log that a check could be missing from. */
Test(evidence_baselines, no_day_before_the_log_is_missing) {
  char *folder = room_folder();
  free(RUN_DONE(folder, "evidence", "--unit", "Room 1", "--from", "2025-12-01", "--to",
                "2026-03-20", "-o", "case"));
  char *path = path_in(folder, "case/missing.csv"), *text = file_read(path, NULL);
  cr_expect_str_eq(text, "date,weekday\r\n");
  free(text);
  free(path);
  folder_end(folder);
}

/* Nor after the last: days that are yet to come are no days without a check. */
Test(evidence_baselines, no_day_after_the_log_is_missing) {
  char *folder = room_folder();
  free(RUN_DONE(folder, "evidence", "--unit", "Room 1", "--from", "2026-01-05", "-o", "case"));
  free(RUN_DONE(folder, "evidence", "--unit", "Room 1", "--from", "2026-01-05", "--to",
                "2036-12-31", "-o", "longer"));
  char *path = path_in(folder, "case/missing.csv"), *text = file_read(path, NULL);
  char *other_path = path_in(folder, "longer/missing.csv"), *other = file_read(other_path, NULL);
  cr_expect_str_eq(other, text);
  free(other);
  free(other_path);
  free(text);
  free(path);
  folder_end(folder);
}

/* A gap at the end of the span is one where the log goes on after it; and a span without a check is
 * no case. */
Test(evidence_baselines, days_of_a_gap_are_missing_though_the_span_ends_in_it) {
  char *folder = folder_begin();
  static const char log[] = "date,time,unit,target_mj,energy_mj\n"
                            "2026-01-05,07:30,Room 1,1.6,1.601\n"
                            "2026-01-06,07:30,Room 1,1.6,1.603\n"
                            "2026-01-12,07:30,Room 1,1.6,1.602\n";
  static const char settings[] = "[unit 1]\nname = Room 1\n[schedule]\nweekdays = mon tue wed\n"
                                 "[tolerance 1]\nunit = Room 1\ncharacteristic = energy_ratio\n"
                                 "low = 0.95\nhigh = 1.05\nsource = invented\n"
                                 "from = 2026-01-01\n";
  char *path = path_in(folder, "log.csv"), *own = path_in(folder, "s.ini");
  file_write(path, log, strlen(log));
  file_write(own, settings, strlen(settings));
  free(RUN_DONE(folder, "settings", "s.ini", "--by", "ME", "--why", "first"));
  free(RUN_DONE(folder, "import", "log.csv"));
  free(RUN_DONE(folder, "record", "--unit", "Room 1", "--at", "2026-01-13T07:30", "--by", "ME",
                "target_mj=1.6", "energy_mj=1.7", "--yes"));
  run_result refused = RUN(folder, "evidence", "--unit", "Room 1", "--from", "2026-01-07", "--to",
                           "2026-01-09", "-o", "case");
  cr_expect_eq(refused.status, 1, "status %d", refused.status);
  cr_expect_not_null(strstr(refused.err, "holds no check from 2026-01-07 to 2026-01-09"), "%s",
                     refused.err);
  cr_expect_not_null(strstr(refused.err, "the last one before is of 2026-01-06"), "%s",
                     refused.err);
  run_free(&refused);
  free(RUN_DONE(folder, "evidence", "--unit", "Room 1", "--from", "2026-01-06", "--to",
                "2026-01-09", "-o", "case"));
  free(RUN_DONE(folder, "verify", "case"));
  char *missing = path_in(folder, "case/missing.csv"), *text = file_read(missing, NULL);
  cr_expect_str_eq(text, "date,weekday\r\n2026-01-07,Wednesday\r\n");
  free(text);
  char *pdf = TOOL(folder, "pdftotext", "-layout", "case/evidence.pdf", "-");
  cr_expect_not_null(strstr(pdf, "The record of these days asks for no cause."), "%s", pdf);
  free(pdf);

  /* A failed check has its day on page 1. What was typed in has no line, and no source in either
   * file. */
  free(RUN_DONE(folder, "evidence", "--unit", "Room 1", "--from", "2026-01-05", "-o", "all"));
  free(RUN_DONE(folder, "verify", "all"));
  pdf = TOOL(folder, "pdftotext", "-layout", "all/evidence.pdf", "-");
  cr_expect_not_null(strstr(pdf, "1 check outside, on 13 Jan 2026."), "%s", pdf);
  cr_expect_not_null(strstr(pdf, "limits.json says screen true, Phase I"), "%s", pdf);
  free(pdf);
  char *readings = path_in(folder, "all/readings.csv");
  text = file_read(readings, NULL);
  const char *typed = strstr(text, "2026-01-13");
  cr_expect_not_null(typed, "%s", text);
  cr_expect_not_null(strstr(typed, ",0,,"), "%s", typed);
  free(text);
  free(readings);
  free(missing);
  free(own);
  free(path);
  folder_end(folder);
}

/* The frozen numbers stand; those of the period as it reads now are told whole, the slope with
 * them. */
Test(evidence_baselines, a_period_that_reads_otherwise_is_told_whole) {
  char *folder = room_folder();
  free(RUN_DONE(folder, "correct", "--unit", "Room 1", "--at", "2026-02-12T07:30", "energy_mj=1.99",
                "offset_x_um=5.5", "--by", "PERSON", "--why", "typed wrongly", "--yes"));
  /* Left out at the freeze as beyond 3 sigma; it no longer is. */
  free(RUN_DONE(folder, "correct", "--unit", "Room 1", "--at", "2026-01-20T07:30", "energy_mj=1.99",
                "--by", "PERSON", "--why", "typed wrongly", "--yes"));
  evidence_into(folder, "2026-03-01");
  json_t *limits = limits_in(folder);
  for (size_t s = 0; s < 2; s++) {
    const json_t *energy = json_object_get(segment_of(limits, "energy_ratio", s), "read_today");
    const json_t *vector = json_object_get(segment_of(limits, "tracker_vector", s), "read_today");
    cr_assert(json_is_object(energy) && json_is_object(vector));
    r_must_agree(folder, energy, "energy_ratio", s == 0 ? first_from : second_from,
                 s == 0 ? first_to : second_to);
    cr_expect(json_is_null(json_object_get(vector, "centre"))); /* T² has none */
  }
  /* The rows are of today as well, and README.txt says which of the two they are. */
  char *path = path_in(folder, "case/README.txt"), *readme = file_read(path, NULL);
  cr_expect_not_null(strstr(readme, "of the record as it is now: a check that was corrected"), "%s",
                     readme);
  free(readme);
  free(path);
  json_decref(limits);
  folder_end(folder);
}

/* A number of read_today a little off, and a manifest made anew. */
static void alter(const char *folder, const char *key, const char *name) {
  char *path = path_in(folder, "case/limits.json");
  json_t *limits = limits_in(folder);
  json_t *number = json_object_get(json_object_get(segment_of(limits, key, 0), "read_today"), name);
  int set = json_is_integer(number) ? json_integer_set(number, json_integer_value(number) - 1)
                                    : json_real_set(number, json_real_value(number) * 1.001);
  cr_assert_eq(set, 0);
  cr_assert_eq(json_dump_file(limits, path, JSON_INDENT(1)), 0);
  json_decref(limits);
  free(path);
  free(TOOL(folder, "sh", "-c",
            "cd case && rm MANIFEST.sha256 && sha256sum * > ../m && mv ../m MANIFEST.sha256"));
}

Test(evidence_baselines, numbers_of_today_that_do_not_follow_are_named) {
  static const char *const keys[][2] = {{"energy_ratio", "slope_per_day"},
                                        {"energy_ratio", "sigma"},
                                        {"tracker_vector", "ucl"},
                                        {"tracker_vector", "n"}};
  char *folder = room_folder();
  free(RUN_DONE(folder, "correct", "--unit", "Room 1", "--at", "2026-02-12T07:30", "energy_mj=1.99",
                "offset_x_um=5.5", "--by", "PERSON", "--why", "typed wrongly", "--yes"));
  evidence_into(folder, "2026-03-01");
  free(TOOL(folder, "sh", "-c", "cp -r case whole"));
  for (size_t k = 0; k < sizeof keys / sizeof *keys; k++) {
    alter(folder, keys[k][0], keys[k][1]);
    run_result result = RUN(folder, "verify", "case", "--ledger", "none");
    cr_expect_eq(result.status, 1, "%s: %s", keys[k][1], result.out);
    cr_expect_not_null(strstr(result.err, keys[k][0]), "%s", result.err);
    cr_expect_not_null(strstr(result.err, keys[k][1]), "%s", result.err);
    run_free(&result);
    free(TOOL(folder, "sh", "-c", "rm -r case && cp -r whole case"));
  }
  folder_end(folder);
}
