/* Gas refills among remarks, words for "not measured", and events among checks. */
#include "gather.h"

#include <criterion/criterion.h>
#include <stdlib.h>
#include <string.h>

static const char head[] = "date\ttime\tunit\tenergy_mj\tComments\n";

/* A log of seven rows, the first three with those words. */
static char *log_of(const char *words) {
  bt_text text = {0};
  bt_text_add(&text, head);
  for (int i = 0; i < 6; i++)
    bt_text_format(&text, "2026-08-1%d\t08:00\tA\t1.%d\t%s\n", i, i, i < 3 ? words : "");
  bt_text_add(&text, "2026-08-17\t08:00\tA\t1.5\tlow, gas changed twice\n");
  return bt_text_take(&text);
}

/* The starter map, with its # off, reads the refill of the first row, and none of the fifth. */
static void must_read(const char *log, const char *map, bt_refill refill, const char *remark) {
  char *taken = offers_taken(map);
  bt_reading_choices choices = {.own = NULL};
  bt_error error = {0};
  kept k;
  cr_assert_eq(read_map(taken, NULL, 0, &choices, &error), BT_OK, "%s: %s", taken, error.text);
  gather(file_of_text(log), &choices, &k);
  cr_assert_eq(k.checks_n, 7, "%s: %s", taken, k.error.text);
  cr_expect_eq(k.checks[0].refill, refill, "%s", taken);
  cr_expect_eq(k.checks[4].refill, BT_REFILL_NONE);
  cr_expect_eq(k.checks[6].refill, BT_REFILL_NONE);
  cr_expect_str_eq(k.remarks[0], remark);
  gather_free(&k);
  bt_reading_choices_free(&choices);
  free(taken);
}

Test(intake_noted, words_that_stand_again_and_again) {
  static const struct {
    const char *words, *when; /* NULL: nothing is offered */
    bt_refill refill;
  } table[] = {{"gas changed before test", "before", BT_REFILL_BEFORE},
               {"Gas change after test", "after", BT_REFILL_AFTER},
               {"test before new gas", "after", BT_REFILL_AFTER},
               {"after gas change", "before", BT_REFILL_BEFORE},
               {"Gas gewechselt", "before", BT_REFILL_BEFORE},
               {"gas pressure fine", NULL, BT_REFILL_NONE},
               {"bottle changed", NULL, BT_REFILL_NONE},
               {"room warm", NULL, BT_REFILL_NONE}};
  for (size_t i = 0; i < sizeof table / sizeof *table; i++) {
    char *log = log_of(table[i].words), *map = starter_of(NULL, log);
    bt_survey *preview = NULL;
    bt_error error = {0};
    bt_text hints = {0}, line = {0};
    bool offered = table[i].when != NULL;
    bt_text_format(&line, "event.gas_refill = Comments, %s, %s", table[i].words,
                   offered ? table[i].when : "");
    cr_expect_eq(strstr(map, "event.gas_refill") != NULL, offered, "%zu: %s", i, map);
    cr_expect(!offered || strstr(map, bt_text_get(&line)) != NULL, "%zu: %s", i, map);
    cr_assert_eq(bt_preview_file(file_of_text(log), NULL, &preview, &error), BT_OK);
    for (size_t k = 0; k < preview->hints_n; k++)
      bt_text_format(&hints, "%s\n", preview->hints[k]);
    const char *said = bt_text_get(&hints);
    cr_expect_eq(strstr(said, "3 rows have") != NULL, offered, "%zu: %s", i, said);
    cr_expect(!offered || strstr(said, bt_text_get(&line)) != NULL, "%zu: %s", i, said);
    if (offered)
      must_read(log, map, table[i].refill, table[i].words);
    bt_survey_free(preview);
    bt_text_free(&hints);
    bt_text_free(&line);
    free(log);
    free(map);
  }
}

Test(intake_noted, what_a_refusal_offers) {
  bt_text text = {0};
  kept k;
  bt_text_format(&text,
                 "%s2026-08-10\t08:00\tA\tn/r\t\n2026-08-11\tservice - optics cleaned\t\t\t\n"
                 "2026-08-12\tearly morning\tA\t1.5\t\n2026-08-13\t08:00\tA\t1.5\t\n",
                 head);
  gather(file_of_text(bt_text_get(&text)), NULL, &k);
  cr_assert_eq(k.refusals_n, 3, "%s", k.error.text);
  cr_expect_not_null(strstr(k.reasons[0], "not_stored = energy_mj, THE CELL'S TEXT"), "%s",
                     k.reasons[0]);
  cr_expect_not_null(strstr(k.reasons[1], "`beamtally event`"), "%s", k.reasons[1]);
  cr_expect_null(strstr(k.reasons[2], "`beamtally event`"), "%s", k.reasons[2]);
  gather_free(&k);
  bt_text_free(&text);
}

/* The parts that failed are named; a header that speaks of a check is a self-test's by its words.
 */
Test(intake_noted, parts_of_a_selftest_that_failed) {
  static const char log[] = "date\tunit\tenergy_mj\tSystem check\n2026-08-10\tA\t1.5\tPASS\n"
                            "2026-08-11\tA\t1.5\tFAIL - shutter\n"
                            "2026-08-12\tA\t1.5\tFail: eye tracker\n";
  char *map = starter_of(NULL, log), *taken = offers_taken(map);
  bt_reading_choices choices = {.own = NULL};
  bt_error error = {0};
  kept k;
  cr_expect_not_null(strstr(map, "# selftest_passed.1 = System check, PASS\n"), "%s", map);
  cr_expect_not_null(strstr(map, "# selftest_passed.0 = System check, FAIL - shutter\n"), "%s",
                     map);
  cr_expect_not_null(strstr(map, "# selftest_failed.shutter = System check, FAIL - shutter\n"),
                     "%s", map);
  cr_assert_eq(read_map(taken, NULL, 0, &choices, &error), BT_OK, "%s: %s", taken, error.text);
  gather(file_of_text(log), &choices, &k);
  cr_assert_eq(k.checks_n, 3, "%s: %s", k.error.text, taken);
  cr_expect_eq(reading(&k, 0, BT_READING_SELFTEST_PASSED), 1.0);
  cr_expect_eq(reading(&k, 1, BT_READING_SELFTEST_PASSED), 0.0);
  cr_expect_eq(reading(&k, 1, BT_READING_SELFTEST_TOTAL), 1.0);
  cr_expect_str_eq(k.failed[1], "shutter");
  cr_expect_eq(reading(&k, 2, BT_READING_SELFTEST_TOTAL), 1.0);
  gather_free(&k);
  bt_reading_choices_free(&choices);
  free(map);
  free(taken);
}

/* So are they in other languages, and offsets along x and y. */
Test(intake_noted, failed_parts_and_offsets_in_other_words) {
  static const char *const words[] = {"FOUT: koeling", "Fehler: Kühlung", "ERROR - cooling",
                                      "erreur : miroir", "błąd: lustro"};
  for (size_t i = 0; i < sizeof words / sizeof *words; i++) {
    bt_text log = {0}, wanted = {0};
    const char *part =
        strchr(words[i], '-') != NULL ? strchr(words[i], '-') : strchr(words[i], ':');
    bt_text_format(&log,
                   "Datum;Toestel;Afwijking X (mm);Zelftest\n2026-08-10;A;0,01;OK\n"
                   "2026-08-11;A;0,02;%s\n",
                   words[i]);
    bt_text_format(&wanted, "# selftest_failed.%s = Zelftest, %s\n", part + 2, words[i]);
    char *map = starter_of(NULL, bt_text_get(&log));
    cr_expect_not_null(strstr(map, bt_text_get(&wanted)), "%s: %s", bt_text_get(&wanted), map);
    cr_expect_not_null(strstr(map, "# offset_x_um = Afwijking X (mm)\n"), "%s", map);
    free(map);
    bt_text_free(&log);
    bt_text_free(&wanted);
  }
}
