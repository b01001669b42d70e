/* Logs of what was done, and texts that tell of events among checks. */
#include "previewed.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* A diary whose texts are sentences, with commas: its map reads them as they stand. */
Test(intake_diaries, a_diary_of_sentences) {
  static const char diary[] = "when;room;what was done\n"
                              "14.07.2026 16:30;OR 2;new gas bottle\n"
                              "03.03.2026 12:00;OR 2;service visit, window cleaned\n"
                              "20.10.2026 07:00;OR 2;energy meter sent for calibration, other one "
                              "used\n";
  char *map = starter_of(NULL, diary);
  cr_expect_not_null(strstr(map, "# event = what was done\n"), "%s", map);
  cr_expect_not_null(strstr(map, " = what was done, \"service visit, window cleaned\"\n"), "%s",
                     map);
  free(map);
}

/* A diary of what was done: recognised, and its map reads it once the # are off. */
Test(intake_diaries, a_diary_of_events) {
  static const char diary[] = "Date,Time,Laser,What was done,Comment\n"
                              "2026-01-02,07:20,Laser 1,gas changed,\n"
                              "2026-01-05,07:20,Laser 1,Gas changed,\n"
                              "2026-01-06,12:00,Laser 1,mirrors cleaned,both\n"
                              "2026-01-07,12:00,Laser 1,service visit,annual\n";
  bt_survey *preview = preview_of(diary, NULL);
  cr_assert(preview->has_done);
  cr_expect_eq(preview->done_column, 3);
  cr_assert_geq(preview->hints_n, 1);
  cr_expect_not_null(strstr(preview->hints[0], "event.gas_refill = What was done, gas changed"),
                     "%s", preview->hints[0]);
  bt_survey_free(preview);
  char *map = starter_of(NULL, diary), *whole = offers_taken(map);
  cr_expect_not_null(strstr(map, "# event = What was done\n"), "%s", map);
  cr_expect_not_null(strstr(map, "# event.gas_refill = What was done, gas changed\n"
                                 "# event.optics_cleaned = What was done, mirrors cleaned\n"
                                 "# event.service = What was done, service visit\n"),
                     "%s", map);
  cr_expect_not_null(strstr(map, "# note = Comment\n"), "%s", map);
  bt_reading_choices choices = {0};
  bt_error error = {0};
  cr_assert_eq(bt_map_read(file_of_text(whole), &choices, &error), BT_OK, "%s: %s", error.text,
               whole);
  kept got;
  gather(file_of_text(diary), &choices, &got);
  cr_assert_eq(got.status, BT_OK, "%s", got.error.text);
  cr_assert_eq(got.events_n, 4);
  cr_expect_eq(got.events[1].kind, BT_EVENT_GAS_REFILL);
  cr_expect_eq(got.events[2].kind, BT_EVENT_OPTICS_CLEANED);
  cr_expect_eq(got.events[3].kind, BT_EVENT_SERVICE);
  cr_expect_str_eq(got.notes[3], "annual");
  gather_free(&got);
  bt_reading_choices_free(&choices);
  free(map);
  free(whole);
}

/* A log with numbers is none of events, nor one whose texts are many or tell of nothing. */
Test(intake_diaries, what_is_no_diary_of_events) {
  static const char *const logs[] = {
      "Date,Laser,Done,Ist\n2026-01-02,A,gas changed,1.6\n2026-01-05,A,gas changed,1.61\n",
      "Date,Laser,Gas changed\n2026-01-02,A,yes\n2026-01-05,A,no\n",
      "Date,Laser,Entry\n2026-01-02,A,gas 1\n2026-01-02,A,gas 2\n2026-01-02,A,gas 3\n"
      "2026-01-02,A,gas 4\n2026-01-02,A,gas 5\n2026-01-02,A,gas 6\n2026-01-02,A,gas 7\n"
      "2026-01-02,A,gas 8\n2026-01-02,A,gas 9\n2026-01-02,A,gas 10\n2026-01-02,A,gas 11\n"
      "2026-01-02,A,gas 12\n2026-01-02,A,gas 13\n",
  };
  for (size_t i = 0; i < sizeof logs / sizeof *logs; i++) {
    bt_survey *preview = preview_of(logs[i], NULL);
    cr_expect_not(preview->has_done, "%s", logs[i]);
    bt_survey_free(preview);
  }
}

/* Remarks are what was done where a log of days has no reading: said by an import as well, and its
 * map reads them so. */
Test(intake_diaries, remarks_that_are_a_diary) {
  static const char diary[] = "date,remark\n2026-01-12,gas changed\n2026-01-15,gas changed\n"
                              "2026-01-18,new bottle\n";
  bt_survey *survey = NULL, *preview = preview_of(diary, &one_room);
  bt_error error = {0};
  cr_expect(preview->has_done);
  cr_expect_eq(preview->done_column, 1);
  for (size_t i = 0; i < preview->hints_n; i++)
    cr_expect_null(strstr(preview->hints[i], "not stored"), "%s", preview->hints[i]);
  cr_assert_eq(bt_survey_file(preview->path, &one_room, &survey, &error), BT_OK, "%s", error.text);
  cr_assert_eq(survey->hints_n, 1);
  cr_expect_not_null(strstr(survey->hints[0], "event.gas_refill = remark, gas changed"), "%s",
                     survey->hints[0]);
  bt_survey_free(survey);
  bt_survey_free(preview);
  char *map = starter_of(NULL, diary), *whole = offers_taken(map);
  bt_reading_choices choices = {0};
  cr_assert_eq(bt_map_read(file_of_text(whole), &choices, &error), BT_OK, "%s: %s", error.text,
               whole);
  kept got;
  gather(file_of_text(diary), &choices, &got);
  cr_assert_eq(got.status, BT_OK, "%s: %s", got.error.text, whole);
  cr_assert_eq(got.events_n, 3);
  cr_expect_eq(got.events[0].kind, BT_EVENT_GAS_REFILL);
  cr_expect_eq(got.events[2].kind, BT_EVENT_GAS_BOTTLE);
  gather_free(&got);
  bt_reading_choices_free(&choices);
  free(map);
  free(whole);
}

/* A column called event whose texts are the clinic's own: a line for each, by its likeliest kind,
 * also said by an import. Those that an event is called by need none. */
Test(intake_diaries, events_in_words_of_their_own) {
  static const char log[] = "date,unit,event\n2026-01-02,A,gas_refill\n2026-01-03,A,new bottle\n"
                            "2026-01-04,A,\"window, mirror\"\n";
  static const char line[] = "event.gas_bottle = event, new bottle";
  char *map = starter_of(NULL, log);
  cr_expect_not_null(strstr(map, "# event.gas_bottle = event, new bottle\n"
                                 "# event.other = event, \"window, mirror\"\n"),
                     "%s", map);
  cr_expect_null(strstr(map, "event, gas_refill"), "%s", map);
  free(map);
  bt_survey *survey = NULL;
  bt_error error = {0};
  cr_assert_eq(bt_survey_file(file_of_text(log), NULL, &survey, &error), BT_OK, "%s", error.text);
  cr_assert_eq(survey->hints_n, 1);
  cr_expect_not_null(strstr(survey->hints[0], line), "%s", survey->hints[0]);
  bt_survey_free(survey);
  kept got;
  gather(file_of_text(log), NULL, &got);
  cr_assert_eq(got.refusals_n, 2);
  cr_expect_not_null(strstr(got.reasons[0], "event.gas_bottle = event, THE CELL'S TEXT"), "%s",
                     got.reasons[0]);
  gather_free(&got);
}

Test(intake_diaries, words_that_tell_of_events) {
  static const struct {
    const char *text;
    bt_event_kind kind;
  } table[] = {{"Gas changed", BT_EVENT_GAS_REFILL},
               {"Gaswechsel", BT_EVENT_GAS_REFILL},
               {"neue Gasflasche", BT_EVENT_GAS_BOTTLE},
               {"mirrors cleaned", BT_EVENT_OPTICS_CLEANED},
               {"Spiegel gereinigt", BT_EVENT_OPTICS_CLEANED},
               {"service visit", BT_EVENT_SERVICE},
               {"Wartung", BT_EVENT_SERVICE},
               {"new energy meter", BT_EVENT_METER_CHANGED},
               {"recalibrated", BT_EVENT_RECALIBRATION},
               {"moved to room 2", BT_EVENT_MOVED},
               {"Wartung durch Techniker mit Spiegel gereinigt", BT_EVENT_SERVICE},
               {"GEREINIGT", BT_EVENT_OPTICS_CLEANED},
               {"Remplissage", BT_EVENT_GAS_REFILL},
               {"Bouteille de gaz changée", BT_EVENT_GAS_BOTTLE},
               {"Étalonnage", BT_EVENT_RECALIBRATION},
               {"Pulizia degli specchi", BT_EVENT_OPTICS_CLEANED},
               {"Mantenimiento anual", BT_EVENT_SERVICE},
               {"Tagliando annuale", BT_EVENT_SERVICE},
               {"Gaz dolumu", BT_EVENT_GAS_REFILL},
               {"BAKIM", BT_EVENT_OTHER}, /* a Turkish I has no dot: no part is guessed */
               {"Aynalar temizlendi", BT_EVENT_OPTICS_CLEANED},
               {"Recarga de gás", BT_EVENT_GAS_REFILL},
               {"Onderhoud", BT_EVENT_SERVICE},
               {"Wymiana butli", BT_EVENT_GAS_BOTTLE},
               {"door mended", BT_EVENT_OTHER}};
  for (size_t i = 0; i < sizeof table / sizeof *table; i++) {
    bt_text log = {0};
    bt_text_format(&log, "date,unit,event\n2026-01-02,A,%s\n", table[i].text);
    char *map = starter_of(NULL, bt_text_get(&log)), line[128];
    (void)snprintf(line, sizeof line, "# event.%s = event, %s\n", bt_event_key(table[i].kind),
                   table[i].text);
    cr_expect_not_null(strstr(map, line), "%s is not in: %s", line, map);
    free(map);
    bt_text_free(&log);
  }
}
