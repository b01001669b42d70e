/* What `settings` says of a laser's name and of limits in another unit than the readings', from
 * outside. */
#include "program.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { DAYS = 28, BEYOND = 26 }; /* of these the offset is beyond 0.05 µm */

/* Offsets from -13 to 14 µm, of which those of two days are 0. */
static char *folder_of_offsets(void) {
  char *folder = folder_begin(), *path = path_in(folder, "log.csv");
  FILE *log = fopen(path, "w");
  cr_assert_not_null(log);
  (void)fputs("date,unit,offset_x_um,target_mj,energy_mj\n", log);
  for (int day = 0; day < DAYS; day++)
    (void)fprintf(log, "2026-01-%02d,or-1,%d,1.6,1.6\n", day + 1,
                  day < DAYS - BEYOND ? 0
                  : day % 2 == 0      ? day / 2
                                      : -day / 2);
  cr_assert_eq(fclose(log), 0);
  free(path);
  free(RUN_DONE(folder, "import", "log.csv"));
  return folder;
}

static void put_limits(const char *folder, const char *low, const char *high) {
  char text[256];
  (void)snprintf(text, sizeof text,
                 "[tolerance 1]\nunit = or-1\ncharacteristic = tracker_x\nlow = %s\nhigh = %s\n"
                 "source = manual, page 12\n",
                 low, high);
  file_put(folder, "s.ini", text);
}

static const char *const numbers =
    "26 of 28 readings of tracker_x of or-1 lie outside -0.05 to 0.05 µm; is the tolerance in mm?";

/* Nobody is at a terminal: nothing is stored without --yes. */
Test(settings_said, limits_in_millimetres_are_asked_about) {
  char *folder = folder_of_offsets(), *before = state_of(folder);
  put_limits(folder, "-0.05", "0.05");
  MUST_BE(folder, USAGE, numbers, "settings", "s.ini", "--by", "KL", "--why", "first");
  MUST_BE(folder, USAGE, "give --yes where it is what you want", "settings", "s.ini", "--by", "KL",
          "--why", "first");
  char *after = state_of(folder);
  cr_expect_str_eq(before, after, "something was stored");
  free(after);
  MUST_BE(folder, DONE, "s.ini: tolerance of tracker_x of or-1: -0.05 to 0.05 µm\n", "settings",
          "s.ini", "--by", "KL", "--why", "first", "--yes");
  /* what is in force already is not asked about again */
  file_put(folder, "more.ini",
           "[clinic]\nname = C\n[tolerance 1]\nunit = or-1\ncharacteristic = tracker_x\n"
           "low = -0.05\nhigh = 0.05\nsource = manual, page 13\n");
  free(RUN_DONE(folder, "settings", "more.ini", "--by", "KL", "--why", "second"));
  put_limits(folder, "-0.04", "0.04");
  run_result scripted = RUN(folder, "settings", "s.ini", "--by", "KL", "--why", "third");
  cr_expect_eq(scripted.status, USAGE, "%s", scripted.err);
  cr_expect_not_null(strstr(scripted.err, "outside -0.04 to 0.04 µm"), "%s", scripted.err);
  cr_expect_null(strstr(scripted.err, "+ "), "what nobody is asked about: %s", scripted.err);
  run_free(&scripted);
  free(before);
  folder_end(folder);
}

/* With the unit behind them they are taken as meant; what is shown can be given again. */
Test(settings_said, limits_with_their_unit_are_converted) {
  char *folder = folder_of_offsets();
  put_limits(folder, "-0.05 mm", "0.05 mm");
  run_result result = RUN(folder, "settings", "s.ini", "--by", "KL", "--why", "first");
  cr_expect_eq(result.status, DONE, "%s", result.err);
  cr_expect_not_null(strstr(result.out, "tolerance of tracker_x of or-1: -50 to 50 µm\n"), "%s",
                     result.out);
  cr_expect_null(strstr(result.err, "lie "), "%s", result.err);
  run_free(&result);
  char *shown = RUN_DONE(folder, "settings", "--show");
  cr_expect_not_null(strstr(shown, "low = -50\nhigh = 50\n"), "%s", shown);
  cr_expect_not_null(strstr(shown, "; tolerance 1: tracker_x of or-1: -50 to 50 µm\n"), "%s",
                     shown);
  file_put(folder, "shown.ini", shown);
  free(shown);
  MUST_BE(folder, DONE, "nothing new", "settings", "shown.ini", "--by", "KL", "--why", "again");
  folder_end(folder);
}

/* Data: it comes out byte for byte, so that it can be taken in again. */
Test(settings_said, what_is_shown_is_what_was_given) {
  static const char given[] = "[tolerance 1]\nunit = A\033[5mB\ncharacteristic = "
                              "energy_ratio\nlow = 0.95\nhigh = 1.05\nsource = local rules\n";
  char *folder = folder_begin();
  file_put(folder, "log.csv", "date,unit,energy_mj\n2026-09-01,A\033[5mB,1.6\n");
  free(RUN_DONE(folder, "import", "log.csv"));
  file_put(folder, "s.ini", given);
  free(RUN_DONE(folder, "settings", "s.ini", "--by", "KL", "--why", "first"));
  char *shown = RUN_DONE(folder, "settings", "--show");
  cr_expect_not_null(strstr(shown, "A\033[5mB\n"), "%s", shown);
  file_put(folder, "shown.ini", shown);
  free(shown);
  MUST_BE(folder, DONE, "nothing new", "settings", "shown.ini", "--by", "KL", "--why", "again");
  folder_end(folder);
}

/* Each limit with its unit, or that it has none; one limit alone. */
Test(settings_said, units_of_limits) {
  char *folder = folder_begin();
  file_put(folder, "s.ini",
           "[characteristic 1]\nkey = door\ntitle = Door force\nunit = N\ndecimals = 0\n"
           "[tolerance 1]\nunit = A\ncharacteristic = energy_ratio\nlow = 0.97\nhigh = 1.03\n"
           "source = s\n"
           "[tolerance 2]\nunit = A\ncharacteristic = high_voltage\nhigh = 30\nsource = s\n"
           "[tolerance 3]\nunit = A\ncharacteristic = energy_spread\nhigh = 3\nsource = s\n"
           "[tolerance 4]\nunit = A\ncharacteristic = door\nlow = 12\nsource = s\n");
  char *said = RUN_DONE(folder, "settings", "s.ini", "--by", "KL", "--why", "first");
  static const char *const lines[] = {
      "energy_ratio of A: 0.97 to 1.03 (a bare number)\n", "high_voltage of A: 30 kV or less\n",
      "energy_spread of A: 3 % or less\n", "door of A: 12 N or more\n"};
  for (size_t i = 0; i < sizeof lines / sizeof *lines; i++)
    cr_expect_not_null(strstr(said, lines[i]), "%s", said);
  free(said);
  folder_end(folder);
}

/* A log that comes after the settings brings a laser under their spelling; settings that come after
 * the log change no stored name, and say which one stands. */
Test(settings_said, the_first_spelling_of_a_laser_stands) {
  static const char log[] = "date,unit,energy_mj\n2026-01-02,or-1,1.6\n2026-01-03,OR-1,1.6\n",
                    clinic[] = "[unit 1]\nname = OR-1\n",
                    tolerance[] = "[tolerance 1]\nunit = OR-1\ncharacteristic = demand\n"
                                  "low = 1\nsource = s\n";
  const char *const first[] = {clinic, tolerance};
  for (size_t i = 0; i < 2; i++) {
    char *folder = folder_begin();
    file_put(folder, "log.csv", log);
    file_put(folder, "s.ini", first[i]);
    free(RUN_DONE(folder, "settings", "s.ini", "--by", "KL", "--why", "first"));
    free(RUN_DONE(folder, "import", "log.csv"));
    char *status = RUN_DONE(folder, "status");
    cr_expect_not_null(strstr(status, "OR-1"), "%s", status);
    cr_expect_null(strstr(status, "or-1"), "%s", status);
    free(status);
    MUST_BE(folder, DONE, "whole: ", "verify");
    folder_end(folder);
  }
  char *folder = folder_begin();
  file_put(folder, "log.csv", log);
  file_put(folder, "s.ini", clinic);
  free(RUN_DONE(folder, "import", "log.csv"));
  MUST_BE(folder, DONE, "the settings write \"OR-1\"; this laser stands in the ledger as \"or-1\"",
          "settings", "s.ini", "--by", "KL", "--why", "later");
  char *status = RUN_DONE(folder, "status");
  cr_expect_null(strstr(status, "OR-1"), "%s", status);
  free(status);
  folder_end(folder);
}

/* One that is entered and only begins later is not said to be missing, wherever it is spoken of. */
Test(settings_said, a_tolerance_to_come_is_no_tolerance_missing) {
  char *folder = folder_of_offsets();
  file_put(folder, "s.ini",
           "[tolerance 1]\nunit = or-1\ncharacteristic = tracker_x\nlow = -50\nhigh = 50\n"
           "source = manual, page 12\nfrom = 2062-01-01\n[tolerance 2]\nunit = or-1\n"
           "characteristic = energy_ratio\nlow = 0.9\nhigh = 1.1\nsource = manual, page 12\n"
           "from = 2062-01-01\n[tolerance 3]\nunit = or-1\n"
           "characteristic = tracker_x\nlow = -40\nhigh = 40\nsource = manual, page 13\n"
           "from = 2063-01-01\n[tolerance 4]\nunit = or-1\ncharacteristic = demand\n"
           "low = 1.5\nhigh = 1.7\nsource = manual, page 12\nfrom = 2062-01-01\n");
  free(RUN_DONE(folder, "settings", "s.ini", "--by", "KL", "--why", "first"));
  free(RUN_DONE(folder, "report", "--month", "2026-01", "-o", "r.pdf"));
  char *said[] = {RUN_DONE(folder, "status"),
                  RUN_DONE(folder, "analyse", "--unit", "or-1", "--characteristic", "tracker_x"),
                  RUN_DONE(folder, "analyse", "--unit", "or-1", "--characteristic", "energy_ratio"),
                  pdf_words(folder, "r.pdf", NULL)};
  for (size_t i = 0; i < sizeof said / sizeof *said; i++) {
    unwrap(said[i]);
    cr_expect_not_null(strstr(said[i], i == 3 ? "begins on 1 Jan 2062" : "begins 1 Jan 2062"),
                       "%zu: %s", i, said[i]);
    cr_expect_null(strstr(said[i], "none entered"), "%zu: %s", i, said[i]);
    cr_expect_null(strstr(said[i], "olerance is entered"), "%zu: %s", i, said[i]);
    cr_expect_null(strstr(said[i], "TOLERANCE ENTERED"), "%zu: %s", i, said[i]);
    free(said[i]);
  }
  folder_end(folder);
}
