/* Fill age by pulses: an invented laser that loses energy by its pulses and fires unevenly. Its
 * loss is found by pulses, not so well by days; limits are frozen for one way of counting; a folder
 * of evidence says how it counted and is verified. */
#include "program.h"

#include <criterion/criterion.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { DAYS = 120, A_DAY = 1000, FILL_DAYS = 5 };

static const double loss_a_day = 0.004; /* of the ratio, over A_DAY pulses */

static const char by_days[] = "[unit 1]\nname = Room 1\n";
static const char by_pulses[] =
    "[unit 1]\nname = Room 1\nfill_age = pulses\npulses_per_day = 1000\n";

static FILE *begin_file(const char *folder, const char *name) {
  char *path = path_in(folder, name);
  FILE *file = fopen(path, "we");
  cr_assert_not_null(file);
  free(path);
  return file;
}

/* The counter begins anew at each refill, at 06:00 of every fifth day. */
static void write_logs(const char *folder) {
  FILE *log = begin_file(folder, "log.csv"), *events = begin_file(folder, "events.csv");
  double pulses = 0;
  srand48(193);
  (void)fputs("date,time,unit,target_mj,energy_mj,pulses\n", log);
  (void)fputs("date,time,unit,event\n", events);
  for (int day = 0; day < DAYS; day++) {
    int month = 1 + day / 28, date = 1 + day % 28;
    if (day % FILL_DAYS == 0) {
      (void)fprintf(events, "2026-%02d-%02d,06:00,Room 1,gas_refill\n", month, date);
      pulses = 0;
    }
    double noise = 0.001 * (drand48() + drand48() + drand48() - 1.5) * 2;
    double ratio = 1.01 - loss_a_day * pulses / A_DAY + noise;
    (void)fprintf(log, "2026-%02d-%02d,08:00,Room 1,1.6,%.5f,%.0f\n", month, date, 1.6 * ratio,
                  pulses);
    pulses += drand48() < 0.5 ? 100 : 3000;
  }
  cr_assert(fclose(log) == 0 && fclose(events) == 0);
}

static void settle(const char *folder, const char *text) {
  file_put(folder, "clinic.ini", text);
  free(RUN_DONE(folder, "settings", "clinic.ini", "--by", "KL", "--why", "a test", "--yes"));
}

static void freeze(const char *folder) {
  free(RUN_DONE(folder, "baseline", "--unit", "Room 1", "--characteristic", "energy_ratio",
                "--from", "2026-01-01", "--to", "2026-03-20", "--by", "KL", "--why", "a test",
                "--yes"));
}

static char *begin(const char *settings) {
  char *folder = folder_begin();
  write_logs(folder);
  free(RUN_DONE(folder, "import", "log.csv"));
  free(RUN_DONE(folder, "import", "events.csv"));
  settle(folder, settings);
  freeze(folder);
  return folder;
}

static const json_t *baseline_of(const json_t *analysis) {
  return json_object_get(analysis, "baseline");
}

Test(fill_age, by_pulses_the_loss_is_found_and_by_days_much_of_it_is_noise) {
  char *folder = begin(by_days);
  json_t *days = analysis_of(folder, "Room 1", "energy_ratio", NULL);
  cr_expect(json_is_null(json_object_get(baseline_of(days), "fill_age_pulses_per_day")));
  double sigma_by_days = number_of(baseline_of(days), "sigma");
  settle(folder, by_pulses);
  freeze(folder);
  json_t *pulses = analysis_of(folder, "Room 1", "energy_ratio", NULL);
  const json_t *baseline = baseline_of(pulses);
  cr_expect_eq(number_of(baseline, "fill_age_pulses_per_day"), A_DAY);
  double slope = number_of(baseline, "fill_age_slope_per_day");
  double se = number_of(baseline, "fill_age_slope_se");
  cr_expect(fabs(slope + loss_a_day) < 4 * se, "%g, standard error %g", slope, se);
  cr_expect_lt(2 * number_of(baseline, "sigma"), sigma_by_days);
  const json_t *first = json_array_get(json_object_get(pulses, "points"), 1);
  cr_expect(number_of(first, "fill_age_days") == 0.1 || number_of(first, "fill_age_days") == 3);
  json_decref(days);
  json_decref(pulses);
  char *said = RUN_DONE(folder, "analyse", "--unit", "Room 1", "--characteristic", "energy_ratio");
  for (char *c = said; *c != '\0'; c++)
    *c = *c == '\n' ? ' ' : *c;
  cr_expect_not_null(strstr(said, "counted by pulses"), "%s", said);
  free(said);
  folder_end(folder);
}

Test(fill_age, limits_hold_for_the_way_of_counting_that_they_were_frozen_for) {
  char *folder = begin(by_days);
  json_t *before = analysis_of(folder, "Room 1", "energy_ratio", NULL);
  settle(folder, by_pulses);
  json_t *other = analysis_of(folder, "Room 1", "energy_ratio", NULL);
  cr_expect_eq(number_of(baseline_of(before), "version"), 1);
  cr_expect_neq(number_of(baseline_of(other), "version"), 1);
  settle(folder, by_days);
  json_t *again = analysis_of(folder, "Room 1", "energy_ratio", NULL);
  cr_expect(json_equal(before, again));
  json_decref(before);
  json_decref(other);
  json_decref(again);
  folder_end(folder);
}

Test(fill_age, evidence_says_how_it_counted_and_is_verified_with_and_without_the_ledger) {
  char *folder = begin(by_pulses);
  free(RUN_DONE(folder, "evidence", "--unit", "Room 1", "--from", "2026-03-01", "-o", "case"));
  char *path = path_in(folder, "case/README.txt"), *readme = file_read(path, NULL);
  cr_expect_not_null(strstr(readme, "pulses since the refill by its counter, 1000 of them a day"),
                     "%s", readme);
  free(RUN_DONE(folder, "verify", "case"));
  free(RUN_DONE(folder, "verify", "case", "--ledger", "nowhere.sqlite"));
  free(path);
  free(readme);
  folder_end(folder);
}

Test(fill_age, drift_and_report_say_it) {
  char *folder = begin(by_pulses);
  char *json = RUN_DONE(folder, "drift", "--unit", "Room 1", "--characteristic", "energy_ratio",
                        "--format", "json");
  cr_expect_not_null(strstr(json, "\"fill_age_pulses_per_day\":1000"), "%s", json);
  free(json);
  free(RUN_DONE(folder, "report", "--unit", "Room 1", "--month", "2026-05"));
  char *text = pdf_words(folder, "reports/room-1-2026-05.pdf", NULL);
  cr_expect_not_null(strstr(text, "Fill age is counted by pulses: a day of it stands for"));
  cr_expect_not_null(strstr(text, "; a day: 1000 pulses; thick: the last, of"), "%s", text);
  free(text);
  folder_end(folder);
}

Test(fill_age, the_settings_are_shown_and_mistakes_have_their_sentence) {
  static const struct {
    const char *lines, *words;
  } cases[] = {
      {"fill_age = pulses\n", "fill_age = pulses needs pulses_per_day"},
      {"pulses_per_day = 1000\n", "pulses_per_day goes with fill_age = pulses"},
      {"fill_age = days\npulses_per_day = 1000\n", "pulses_per_day goes with fill_age = pulses"},
      {"fill_age = pulses\npulses_per_day = 0.5\n", "a whole number"},
      {"fill_age = pulses\npulses_per_day = 2e9\n", "a whole number"},
      {"fill_age = pulses\npulses_per_day = 0\n", "above zero"},
      {"fill_age = shots\n", "expected one of days, pulses for fill_age"},
  };
  char *folder = begin(by_pulses), *shown = RUN_DONE(folder, "settings", "--show");
  cr_expect_not_null(strstr(shown, "\nfill_age = pulses\npulses_per_day = 1000\n"), "%s", shown);
  for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
    char text[200];
    (void)snprintf(text, sizeof text, "[unit 1]\nname = Room 1\n%s", cases[i].lines);
    file_put(folder, "wrong.ini", text);
    run_result result = RUN(folder, "settings", "wrong.ini", "--by", "KL", "--why", "x", "--yes");
    cr_expect_eq(result.status, 1, "%s", cases[i].lines);
    cr_expect_not_null(strstr(result.err, cases[i].words), "%s", result.err);
    run_free(&result);
  }
  free(RUN_DONE(folder, "export", "-o", "out"));
  free(RUN_DONE(folder, "settings", "out/settings.ini", "--by", "KL", "--why", "moved", "--ledger",
                "other"));
  char *moved = RUN_DONE(folder, "settings", "--show", "--ledger", "other");
  cr_expect_str_eq(moved, shown);
  char *path = path_in(folder, "out/units.csv"), *table = file_read(path, NULL);
  cr_expect_not_null(strstr(table, ",pulses_per_day,"), "%s", table);
  cr_expect_not_null(strstr(table, ",1000,"), "%s", table);
  char *const all[] = {shown, moved, path, table};
  for (size_t i = 0; i < sizeof all / sizeof all[0]; i++)
    free(all[i]);
  folder_end(folder);
}
