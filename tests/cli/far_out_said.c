/* What an import says of readings far from the rest, and of energies that seem exchanged. */
#include "program.h"

#include <criterion/criterion.h>
#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

Test(far_out_said, readings_far_from_the_rest) {
  char *folder = folder_begin();
  file_put(
      folder, "log.csv",
      "date,unit,energy_mj,spot_mm\n2026-01-01,A,1.6,0.9\n2026-01-02,A,1.61,0.9\n"
      "2026-01-03,A,1600,0.9\n2026-01-04,A,1.59,0.9\n2026-01-05,A,0,0.9\n2026-01-06,A,1.6,0.9\n"
      "2026-01-07,A,1.6,0\n");
  MUST_SAY(
      folder, DONE,
      WORDS("1 reading of energy_mj about ten times the median (1.6 mJ) or more",
            "1 reading of energy_mj about a tenth of the median (1.6 mJ) or less",
            "1 reading of spot_mm about a tenth", "7 rows, 7 new",
            "kept: 2026-01-03 (line 4): 1600 mJ, 1000 times the median. If",
            "kept: 2026-01-05 (line 6): 0 mJ. If",
            "`beamtally correct --unit A --at 2026-01-03 energy_mj=VALUE --by NAME --why TEXT`"),
      "import", "log.csv");
  /* The command that is printed corrects it, and the three furthest are named. */
  free(RUN_DONE(folder, "correct", "--unit", "A", "--at", "2026-01-03", "energy_mj=1.6", "--by",
                "KL", "--why", "a decimal mark was lost", "--yes"));
  /* The log that grew still has it. */
  file_put(
      folder, "log.csv",
      "date,unit,energy_mj,spot_mm\n2026-01-01,A,1.6,0.9\n2026-01-02,A,1.61,0.9\n"
      "2026-01-03,A,1600,0.9\n2026-01-04,A,1.59,0.9\n2026-01-05,A,0,0.9\n2026-01-06,A,1.6,0.9\n"
      "2026-01-07,A,1.6,0\n2026-01-08,A,1.6,0.9\n");
  MUST_SAY(folder, DONE,
           WORDS("kept: 2026-01-03 (line 4): 1600 mJ",
                 "--by NAME --why TEXT`. What was corrected in "
                 "the ledger before stays so"),
           "import", "log.csv");
  file_put(
      folder, "many.csv",
      "date,time,unit,energy_mj\n2025-01-01,07:40,Room 1,1.6\n2025-01-02,07:40,Room 1,1600\n"
      "2025-01-03,07:40,Room 1,32\n2025-01-04,07:40,Room 1,1.6\n2025-01-05,07:40,Room 1,160\n"
      "2025-01-06,07:40,Room 1,1.6\n2025-01-07,07:40,Room 1,1600\n2025-01-08,07:40,Room 1,0.1\n"
      "2025-01-09,07:40,Room 1,1.6\n2025-01-10,07:40,Room 1,1.6\n2025-01-11,07:40,Room 1,1.6\n"
      "2025-01-12,07:40,Room 1,1.6\n");
  MUST_SAY(
      folder, DONE,
      WORDS("4 readings of energy_mj about ten times the median",
            "2025-01-02T07:40 (line 3): 1600 mJ, 1000 times the median; 2025-01-07T07:40 (line "
            "8): 1600 mJ, 1000 times the median; 2025-01-05T07:40 (line 6): 160 mJ, 100 times "
            "the median; and 1 more. If",
            "2025-01-08T07:40 (line 9): 0.1 mJ, 1/16 of the median. If",
            "correct --unit 'Room 1' --at 2025-01-02T07:40 energy_mj=VALUE",
            "correct --unit 'Room 1' --at 2025-01-08T07:40 energy_mj=VALUE"),
      "import", "--new-unit", "many.csv");
  file_put(folder, "percent.csv",
           "date,unit,energy_pct\n2026-03-01,A,100.1\n2026-03-02,A,99.6\n2026-03-03,A,1004\n"
           "2026-03-04,A,998\n2026-03-05,A,100.3\n2026-03-06,A,100.2\n2026-03-07,A,99.9\n");
  MUST_SAY(folder, DONE,
           WORDS("2 readings of energy_pct about ten times the median (1e+02 %) or more",
                 "2026-03-03 (line 4): 1004 %, 10 times the median",
                 "2026-03-04 (line 5): 998 %, 10 times the median. If"),
           "import", "percent.csv");
  file_put(folder, "plain.csv",
           "date,unit,energy_mj\n2026-02-01,A,1.6\n2026-02-02,A,9.9\n2026-02-03,A,0.3\n"
           "2026-02-04,A,1.59\n2026-02-05,A,1.6\n2026-02-06,A,1.6\n");
  run_result result = RUN(folder, "import", "plain.csv");
  cr_expect_str_empty(result.err, "%s", result.err);
  run_free(&result);
  folder_end(folder);
}

static int by_size(const void *a, const void *b) {
  double x = *(const double *)a, y = *(const double *)b;
  return (x > y) - (x < y);
}

/* How many readings of energy the import called far out, on the side that the words name, and the
 * median that it named. */
static size_t far_out(const char *said, const char *side, double *median) {
  const char *at = strstr(said, side);
  cr_assert_not_null(at, "%s: %s", side, said);
  *median = strtod(strchr(at, '(') + 1, NULL);
  while (at > said && at[-1] != '\n')
    at--;
  return (size_t)strtoul(strstr(at, "log.csv: ") + strlen("log.csv: "), NULL, 10);
}

/* Against the sorted readings: the median is taken as the middle of a class at most 1.6 % wide and
 * each reading as the middle of its own, so that what is counted lies between what is surely nine
 * times off and what may be. Two figures of the median are printed. */
Test(far_out_said, far_out_as_sorted_readings_have_it) {
  enum { READINGS = 301 };
  static const double slack = 1.035;
  double reading[READINGS], low_median = 0, high_median = 0;
  char *folder = folder_begin(), *path = path_in(folder, "log.csv");
  FILE *file = fopen(path, "w");
  uint32_t chance = 1;
  cr_assert_not_null(file);
  (void)fputs("date,unit,energy_mj\n", file);
  for (int i = 0; i < READINGS; i++) {
    chance = chance * 1664525U + 1013904223U;
    /* from 0.02 to 200 or so, as many in each doubling */
    reading[i] = (1 + (chance >> 8) % 1000 / 1000.0) * (double)(1U << (chance >> 20) % 13) / 64;
    reading[i] = round(reading[i] * 1e6) / 1e6;
    (void)fprintf(file, "2025-%02d-%02d,Room %d,%.6f\n", 1 + i / 28 % 12, 1 + i % 28, i / 336,
                  reading[i]);
  }
  cr_assert_eq(fclose(file), 0);
  run_result result = RUN(folder, "import", "log.csv");
  cr_assert_eq(result.status, DONE, "%s", result.err);
  size_t above = far_out(result.err, "about ten times the median", &high_median);
  size_t below = far_out(result.err, "about a tenth of the median", &low_median);
  run_free(&result);

  qsort(reading, READINGS, sizeof reading[0], by_size);
  double median = reading[READINGS / 2];
  size_t surely_above = 0, maybe_above = 0, surely_below = 0, maybe_below = 0;
  for (size_t i = 0; i < READINGS; i++) {
    surely_above += reading[i] >= 9 * median * slack;
    maybe_above += reading[i] >= 9 * median / slack;
    surely_below += reading[i] <= median / 9 / slack;
    maybe_below += reading[i] <= median / 9 * slack;
  }
  cr_expect(surely_above > 10 && surely_below > 10, "the readings spread");
  cr_expect(surely_above <= above && above <= maybe_above, "%zu: %zu to %zu", above, surely_above,
            maybe_above);
  cr_expect(surely_below <= below && below <= maybe_below, "%zu: %zu to %zu", below, surely_below,
            maybe_below);
  cr_expect(fabs(high_median / median - 1) < 0.06 && high_median == low_median, "%g, %g",
            high_median, median);
  free(path);
  folder_end(folder);
}

/* One that stays and one that scatters: said where the first is read as the measured energy, of one
 * laser or two. */
Test(far_out_said, set_and_measured_energy_exchanged) {
  char *folder = folder_begin();
  for (int exchanged = 0; exchanged < 2; exchanged++)
    for (int lasers = 1; lasers < 3; lasers++) {
      char *path = path_in(folder, "log.csv");
      FILE *file = fopen(path, "w");
      cr_assert_not_null(file);
      (void)fputs(exchanged ? "date,unit,energy_mj,target_mj\n" : "date,unit,target_mj,energy_mj\n",
                  file);
      for (int u = 0; u < lasers; u++)
        for (int i = 0; i < 24; i++)
          (void)fprintf(file, "2026-01-%02d,%c,1.6%d,1.6%03d\n", 1 + i, 'A' + u, u, i * 7 % 24);
      cr_assert_eq(fclose(file), 0);
      free(path);
      char name[32];
      (void)snprintf(name, sizeof name, "ledger-%d-%d", exchanged, lasers);
      run_result result = RUN(folder, "import", "log.csv", "--ledger", name);
      cr_expect_eq(result.status, DONE, "%s", result.err);
      cr_expect_eq(strstr(result.err, "if the two columns are exchanged") != NULL, exchanged,
                   "%d lasers: %s", lasers, result.err);
      cr_expect_eq(strstr(result.err, lasers == 1 ? "in 23 of 23 rows, target_mj in 0"
                                                  : "in 46 of 46 rows, target_mj in 0") != NULL,
                   exchanged, "%d lasers: %s", lasers, result.err);
      run_free(&result);
    }
  folder_end(folder);
}
