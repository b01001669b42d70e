/* conflicts, from outside: what is held back is listed, and settled by a person's word. */
#include "program.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { DONE, FAILED, USAGE, ATTENTION };

static const char first_log[] = "date,time,unit,target_mj,energy_mj,remark\n"
                                "2026-04-13,07:30,Room 1,1.61,1.605,\n"
                                "2026-04-14,07:31,Room 1,1.61,1.612,lamp changed\n"
                                "2026-04-14,07:31,Room 2,1.61,1.613,\n";
static const char other_log[] = "date,time,unit,target_mj,energy_mj\n"
                                "2026-04-14,07:31,Room 1,1.61,1.621\n"
                                "2026-04-14,07:31,Room 2,1.61,1.633\n";

static void put(const char *folder, const char *name, const char *text) {
  char *path = path_in(folder, name);
  file_write(path, text, strlen(text));
  free(path);
}

static char *folder_with_conflicts(void) {
  char *folder = folder_begin();
  put(folder, "first.csv", first_log);
  put(folder, "other.csv", other_log);
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

static void must_be(const char *folder, int status, const char *said, const char *const *words) {
  run_result result = run_plain(folder, words);
  cr_expect_eq(result.status, status, "%s: status %d, %s", words[1], result.status, result.err);
  cr_expect(strstr(result.err, said) != NULL || strstr(result.out, said) != NULL,
            "\"%s\" is not in: %s%s", said, result.out, result.err);
  run_free(&result);
}
#define MUST_BE(folder, status, said, ...)                                                         \
  must_be((folder), (status), (said), (const char *const[]){__VA_ARGS__, NULL})

Test(conflicts, the_list_shows_both_sides_and_how_to_settle) {
  char *folder = folder_with_conflicts();
  char *said = RUN_DONE(folder, "conflicts");
  cr_expect_not_null(strstr(said, "2 conflicts are to be settled."), "%s", said);
  cr_expect_not_null(strstr(said, "  stands   energy_mj 1.612"), "%s", said);
  cr_expect_not_null(strstr(said, "  came     energy_mj 1.621"), "%s", said);
  cr_expect_not_null(strstr(said, "beamtally conflicts ID --keep old|new|both"), "%s", said);
  free(said);
  MUST_BE(folder, ATTENTION, "to be settled", "conflicts", "--strict");
  MUST_BE(folder, DONE, "1 conflict is to be settled", "conflicts", "--unit", "room 2");
  MUST_BE(folder, FAILED, "\"Room 1\"", "conflicts", "--unit", "Rom 1");
  folder_end(folder);
}

Test(conflicts, new_rows_take_the_place_of_old_ones) {
  char *folder = folder_with_conflicts(), *id = id_of(folder, "Room 1");
  ratio_must_be(folder, "Room 1", 1.612);
  MUST_BE(folder, DONE, "took its place", "conflicts", id, "--keep", "new", "--by", "KL", "--why",
          "first export was cut");
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
  put(folder, "again.csv",
      "date,time,unit,target_mj,energy_mj\n"
      "2026-04-14,07:31,Room 2,1.61,1.633\n");
  MUST_BE(folder, DONE, " 0 conflicts", "import", "again.csv");
  free(id);
  folder_end(folder);
}

Test(conflicts, both_may_stand) {
  char *folder = folder_with_conflicts(), *id = id_of(folder, "Room 2");
  MUST_BE(folder, DONE, "were added", "conflicts", id, "--keep", "both", "--by", "KL", "--why",
          "two checks of one minute");
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
  MUST_BE(folder, USAGE, "one ID at a time", "conflicts", id, id);
  MUST_BE(folder, FAILED, "conflict", "conflicts", "00000000", "--keep", "new", "--by", "KL",
          "--why", "x");
  MUST_BE(folder, DONE, "2 conflicts are to be settled", "conflicts");
  free(id);
  folder_end(folder);
}

Test(conflicts, without_any_it_says_so) {
  char *folder = folder_begin();
  put(folder, "first.csv", first_log);
  free(RUN_DONE(folder, "import", "first.csv"));
  MUST_BE(folder, DONE, "No conflict waits to be settled.", "conflicts", "--strict");
  folder_end(folder);
}
