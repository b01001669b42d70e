/* evidence of a loss that a cleaning brought back: the day that it suggests lies before the loss,
 * and the case tells of it. */
#include "program.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

enum { DAYS = 300, LOSS = 150, CLEANED = 240 };

/* "2025-01-01" and days after it. */
static const char *day_text(int day, char buffer[11]) {
  time_t at = 1735689600 + (time_t)day * 86400;
  struct tm civil;
  cr_assert_not_null(gmtime_r(&at, &civil));
  cr_assert_eq(strftime(buffer, 11, "%Y-%m-%d", &civil), 10);
  return buffer;
}

/* A check a day: a scatter of 0.4 % that repeats after 7 days, and from LOSS to CLEANED a loss of
 * 0.03 % a day; from then on of `after`, since what `event` names. */
static char *folder_of(const char *event, double after) {
  static const int scatter[] = {3, -4, 1, 5, -2, -5, 2};
  char *folder = folder_begin(), *path = path_in(folder, "log.csv"), day[11];
  FILE *file = fopen(path, "w");
  cr_assert_not_null(file);
  (void)fputs("date,time,unit,target_mj,energy_mj\n", file);
  for (int i = 0; i < DAYS; i++) {
    double loss = i >= CLEANED ? after : i > LOSS ? 0.0003 * (i - LOSS) : 0;
    (void)fprintf(file, "%s,07:30,Room 1,1.6,%.4f\n", day_text(i, day),
                  1.6 * (1 + 0.001 * scatter[i % 7] - loss));
  }
  cr_assert_eq(fclose(file), 0);
  free(path);
  free(RUN_DONE(folder, "import", "log.csv"));
  char at[17];
  (void)snprintf(at, sizeof at, "%sT06:00", day_text(CLEANED, day));
  free(RUN_DONE(folder, "event", "--unit", "Room 1", "--at", at, "--by", "KL", event));
  return folder;
}

Test(evidence_from, a_loss_that_a_cleaning_brought_back_is_in_the_case) {
  char *folder = folder_of("optics_cleaned", 0), day[11], words[40];
  run_result asked = RUN(folder, "evidence", "--unit", "Room 1");
  cr_expect_eq(asked.status, USAGE, "status %d", asked.status);
  cr_expect_not_null(strstr(asked.err, "the earliest day of the change that an event brought back"),
                     "%s", asked.err);
  const char *from = strstr(asked.err, "--from 20");
  cr_assert_not_null(from, "%s", asked.err);
  (void)snprintf(words, sizeof words, "%.10s", from + strlen("--from "));
  cr_expect_leq(strcmp(words, day_text(LOSS, day)), 0, "%s", words);
  free(RUN_DONE(folder, "evidence", "--unit", "Room 1", "--from", words, "-o", "case"));
  run_free(&asked);
  char *pdf = TOOL(folder, "pdftotext", "case/evidence.pdf", "-");
  static const char *const says[] = {
      "No gas refill is recorded in these days", "Brought back", "Until the event of 29 Aug 2025",
      "the cleaning may have helped", "Please look for the cause of what stands above"};
  for (size_t i = 0; i < sizeof says / sizeof *says; i++)
    cr_expect_not_null(strstr(pdf, says[i]), "\"%s\" is not in: %s", says[i], pdf);
  cr_expect_null(strstr(pdf, "--until"), "a command of the clinic's program");
  free(pdf);
  folder_end(folder);
}

/* Another meter that reads lower still brings nothing back; what went before it is not lost. */
Test(evidence_from, a_loss_before_a_meter_change_is_in_the_case_and_told_first) {
  char *folder = folder_of("meter_changed", 0.035), day[11], words[40];
  run_result asked = RUN(folder, "evidence", "--unit", "Room 1");
  const char *from = strstr(asked.err, "--from 20");
  cr_assert_not_null(from, "%s", asked.err);
  cr_expect_not_null(strstr(asked.err, "the earliest day of the change before an event moved it"),
                     "%s", asked.err);
  (void)snprintf(words, sizeof words, "%.10s", from + strlen("--from "));
  cr_expect_leq(strcmp(words, day_text(LOSS, day)), 0, "%s", words);
  run_free(&asked);
  char *drift = RUN_DONE(folder, "drift", "--unit", "Room 1", "--characteristic", "energy_ratio");
  const char *until =
      strstr(drift, "Until the event of 29 Aug 2025 (meter changed) it was falling");
  cr_assert_not_null(until, "%s", drift);
  cr_expect_lt(until, strstr(drift, "Is it drifting?"), "%s", drift);
  free(drift);
  folder_end(folder);
}
