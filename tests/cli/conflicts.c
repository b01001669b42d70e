/* conflicts, from outside: what is held back is listed, and settled by a person's word. */
#include "program.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const char first_log[] = "date,time,unit,target_mj,energy_mj,remark\n"
                                "2026-04-13,07:30,Room 1,1.61,1.605,\n"
                                "2026-04-14,07:31,Room 1,1.61,1.612,lamp changed\n"
                                "2026-04-14,07:31,Room 2,1.61,1.613,\n";
static const char other_log[] = "date,time,unit,target_mj,energy_mj\n"
                                "2026-04-14,07:31,Room 1,1.61,1.621\n"
                                "2026-04-14,07:31,Room 2,1.61,1.633\n";

static char *folder_with_conflicts(void) {
  char *folder = folder_begin();
  file_put(folder, "first.csv", first_log);
  file_put(folder, "other.csv", other_log);
  free(RUN_DONE(folder, "import", "first.csv"));
  run_result result = RUN(folder, "import", "other.csv");
  cr_assert_eq(result.status, DONE, "%s", result.err);
  cr_expect_not_null(strstr(result.out, "2 conflicts"), "%s", result.out);
  cr_expect_not_null(strstr(result.err, "`beamtally conflicts` shows"), "%s", result.err);
  run_free(&result);
  return folder;
}

/* The id that stands before a unit's conflict; owned. */
static char *id_of(const char *folder, const char *unit) {
  char *said = RUN_DONE(folder, "conflicts", "--unit", unit);
  char place[64];
  (void)snprintf(place, sizeof place, "  %s, 2026-04-14T07:31, from other.csv", unit);
  char *at = strstr(said, place);
  cr_assert(at != NULL && at - said >= 8, "%s", said);
  char *id = strndup(at - 8, 8);
  cr_assert_eq(strspn(id, "0123456789abcdef"), 8, "%s", said);
  free(said);
  return id;
}

static void ratio_must_be(const char *folder, const char *unit, double energy) {
  json_t *analysis = analysis_of(folder, unit, "energy_ratio", NULL);
  const json_t *points = json_object_get(analysis, "points");
  const json_t *last = json_array_get(points, json_array_size(points) - 1);
  cr_expect_float_eq(number_of(last, "raw"), energy / 1.61, 1e-12);
  json_decref(analysis);
}

Test(conflicts, the_list_shows_both_sides_and_how_to_settle) {
  char *folder = folder_with_conflicts();
  char *said = RUN_DONE(folder, "conflicts");
  cr_expect_not_null(strstr(said, "2 conflicts are to be settled."), "%s", said);
  cr_expect_not_null(strstr(said, "  stands   energy_mj 1.612"), "%s", said);
  cr_expect_not_null(strstr(said, "  came     energy_mj 1.621"), "%s", said);
  cr_expect_not_null(strstr(said, "beamtally conflicts ID... --keep old|new|both"), "%s", said);
  free(said);
  MUST_BE(folder, ATTENTION, "to be settled", "conflicts", "--strict");
  MUST_BE(folder, DONE, "1 conflict is to be settled", "conflicts", "--unit", "room 2");
  MUST_BE(folder, FAILED, "\"Room 1\"", "conflicts", "--unit", "Rom 1");
  folder_end(folder);
}

Test(conflicts, new_rows_take_the_place_of_old_ones) {
  char *folder = folder_with_conflicts(), *id = id_of(folder, "Room 1");
  ratio_must_be(folder, "Room 1", 1.612);
  MUST_BE(folder, DONE, "took the place of what stood", "conflicts", id, "--keep", "new", "--by",
          "KL", "--why", "first export was cut");
  ratio_must_be(folder, "Room 1", 1.621);
  MUST_BE(folder, DONE, "1 conflict is to be settled", "conflicts");
  MUST_BE(folder, DONE, "new kept, by KL, 2026-10-01: first export was cut", "conflicts", "--all");
  MUST_BE(folder, FAILED, "settled", "conflicts", id, "--keep", "old", "--by", "KL", "--why", "no");
  MUST_BE(folder, DONE, "whole: ", "verify");
  free(id);
  folder_end(folder);
}

Test(conflicts, what_stands_may_stay_and_the_file_brings_no_conflict_again) {
  char *folder = folder_with_conflicts(), *id = id_of(folder, "Room 2");
  id[6] = '\0'; /* a few digits are enough */
  MUST_BE(folder, DONE, "goes on standing", "conflicts", id, "--keep", "old", "--by", "KL", "--why",
          "wrong meter");
  ratio_must_be(folder, "Room 2", 1.613);
  file_put(folder, "again.csv",
           "date,time,unit,target_mj,energy_mj\n"
           "2026-04-14,07:31,Room 2,1.61,1.633\n");
  MUST_BE(folder, DONE, " 0 conflicts", "import", "again.csv");
  free(id);
  folder_end(folder);
}

/* A longer export, and a mended file, that bring what was held back already: as before. */
Test(conflicts, what_was_held_back_before_is_told_so) {
  char *folder = folder_with_conflicts();
  static const char longer[] = "date,time,unit,target_mj,energy_mj\n"
                               "2026-04-14,07:31,Room 1,1.61,1.621\n"
                               "2026-04-14,07:31,Room 2,1.61,1.633\n"
                               "2026-04-15,07:31,Room 1,1.61,1.610\n";
  file_put(folder, "other.csv", longer);
  run_result result = RUN(folder, "import", "--again", "--instead-of", "other.csv", "--by", "KL",
                          "--why", "a day was missing", "other.csv");
  cr_assert_eq(result.status, DONE, "%s", result.err);
  cr_expect_not_null(strstr(result.out, "2 conflicts of its earlier import closed"), "%s",
                     result.out);
  cr_expect_not_null(strstr(result.err, "other.csv: held back as before, and not settled yet: "
                                        "`beamtally conflicts` shows how"),
                     "%s", result.err);
  run_free(&result);
  file_put(folder, "third.csv",
           "date,time,unit,target_mj,energy_mj\n2026-04-14,07:31,Room 1,1.61,1.621\n"
           "2026-04-14,07:31,Room 2,1.61,1.666\n");
  result = RUN(folder, "import", "third.csv");
  cr_expect_not_null(strstr(result.err, "what was held back, 1 of it as before, and how"), "%s",
                     result.err);
  run_free(&result);
  /* One name, two versions, of which the folder has the later one. */
  MUST_BE(
      folder, DONE,
      "3 log files in 4 versions, looked for in this folder: 3 as imported, 1 not here, of which "
      "a later version was imported\n",
      "verify");
  MUST_BE(folder, DONE, "3 log files (1 of them imported again, grown or mended), ", "status",
          "--unit", "Room 1");
  folder_end(folder);
}

Test(conflicts, both_may_stand) {
  char *folder = folder_with_conflicts(), *id = id_of(folder, "Room 2");
  MUST_BE(folder, DONE, "each row that came and differs was added as a check", "conflicts", id,
          "--keep", "both", "--by", "KL", "--why", "two checks of one minute");
  char *status = RUN_DONE(folder, "status", "--unit", "Room 2");
  cr_expect_not_null(strstr(status, "2 checks"), "%s", status);
  free(status);
  free(id);
  folder_end(folder);
}

Test(conflicts, wrong_usage_is_2) {
  char *folder = folder_with_conflicts(), *id = id_of(folder, "Room 1");
  MUST_BE(folder, USAGE, "needs --keep", "conflicts", id);
  MUST_BE(folder, USAGE, "it is old, new or both", "conflicts", id, "--keep", "newer", "--by", "KL",
          "--why", "x");
  MUST_BE(folder, USAGE, "needs --by", "conflicts", id, "--keep", "new", "--why", "x");
  MUST_BE(folder, USAGE, "needs --why", "conflicts", id, "--keep", "new", "--by", "x");
  MUST_BE(folder, USAGE, "needs the ID", "conflicts", "--keep", "new");
  MUST_BE(folder, USAGE, "no conflict's ID", "conflicts", "Room 1", "--keep", "new");
  MUST_BE(folder, USAGE, "needs --keep", "conflicts", id, id);
  MUST_BE(folder, USAGE, "no conflict's ID", "conflicts", "12-", "--keep", "new", "--by", "KL",
          "--why", "x");
  MUST_BE(folder, FAILED, "conflict", "conflicts", "00000000", "--keep", "new", "--by", "KL",
          "--why", "x");
  MUST_BE(folder, DONE, "2 conflicts are to be settled", "conflicts");
  free(id);
  folder_end(folder);
}

Test(conflicts, without_any_it_says_so) {
  char *folder = folder_begin();
  file_put(folder, "first.csv", first_log);
  free(RUN_DONE(folder, "import", "first.csv"));
  MUST_BE(folder, DONE, "No conflict waits to be settled.", "conflicts", "--strict");
  folder_end(folder);
}

/* n conflicts of Room 1, a day each; their ids as listed, each owned. */
static char *folder_with_many(char **ids, size_t n) {
  char *folder = folder_begin();
  const char *names[] = {"first.csv", "other.csv"};
  for (size_t k = 0; k < 2; k++) {
    char *path = path_in(folder, names[k]);
    FILE *file = fopen(path, "w");
    cr_assert_not_null(file);
    (void)fputs("date,time,unit,energy_mj\n", file);
    for (size_t i = 0; i < n; i++)
      (void)fprintf(file, "2026-04-%02zu,07:30,Room 1,%.3f\n", i + 1, k == 0 ? 1.6 : 1.7);
    cr_assert_eq(fclose(file), 0);
    free(path);
    free(RUN_DONE(folder, "import", names[k]));
  }
  char *listed = RUN_DONE(folder, "conflicts"), *at = listed;
  for (size_t i = 0; i < n; i++) {
    at = strstr(at, "  Room 1, 2026-04-");
    cr_assert(at != NULL && at - listed >= 8, "%s", listed);
    ids[i] = strndup(at - 8, 8);
    at++;
  }
  free(listed);
  return folder;
}

Test(conflicts, several_are_settled_in_one_call_all_or_none) {
  enum { N = 12 };
  char *ids[N], range[32], turned[32];
  char *folder = folder_with_many(ids, N);
  (void)snprintf(range, sizeof range, "%s-%s", ids[2], ids[10]);
  (void)snprintf(turned, sizeof turned, "%s-%s", ids[10], ids[2]);
  MUST_BE(folder, FAILED, "no conflict begins with", "conflicts", ids[0], "00000000", "--keep",
          "new", "--by", "KL", "--why", "x");
  MUST_BE(folder, USAGE, "stands before", "conflicts", turned, "--keep", "new", "--by", "KL",
          "--why", "x");
  MUST_BE(folder, DONE, "12 conflicts are to be settled", "conflicts");
  /* One that is named twice, or within a range too, is one. */
  MUST_BE(folder, DONE, "10 conflicts settled, of each: what stands stays, each row that came",
          "conflicts", ids[0], range, ids[0], ids[4], "--keep", "both", "--by", "KL", "--why",
          "two sessions");
  char *left = RUN_DONE(folder, "conflicts");
  cr_expect_not_null(strstr(left, "2 conflicts are to be settled"), "%s", left);
  for (size_t i = 0; i < N; i++)
    cr_expect_eq(strstr(left, ids[i]) != NULL, i == 1 || i == 11, "%zu: %s", i, left);
  free(left);
  /* 12 checks, and one more for each of the 10. */
  MUST_BE(folder, DONE, "22 checks", "status");
  MUST_BE(folder, FAILED, "no conflict that is to be settled begins with", "conflicts", range,
          "--keep", "old", "--by", "KL", "--why", "x");
  MUST_BE(folder, DONE, "whole: ", "verify");
  for (size_t i = 0; i < N; i++)
    free(ids[i]);
  folder_end(folder);
}

/* The words that say what --keep does, in the list and in the help. */
Test(conflicts, list_and_help_say_the_same) {
  static const char *const words[] = {
      "what stands goes on standing, the rows that came are not taken\n",
      "the rows that came take the place of what stands, which is superseded\n",
      "what stands stays, each row that came and differs is one more check\n"};
  char *folder = folder_with_conflicts();
  char *listed = RUN_DONE(folder, "conflicts"), *help = RUN_DONE(folder, "conflicts", "--help");
  for (size_t i = 0; i < sizeof words / sizeof *words; i++) {
    cr_expect_not_null(strstr(listed, words[i]), "%s", listed);
    cr_expect_not_null(strstr(help, words[i]), "%s", help);
  }
  free(listed);
  free(help);
  folder_end(folder);
}
