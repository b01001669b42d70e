/* Starter maps: what they say of columns that are known and that are not, and that they are read
 * back. */
#include "previewed.h"

#include <criterion/criterion.h>
#include <stdlib.h>
#include <string.h>

/* A starter is read back, and the log by it as before; headers that INI can't hold go by their
 * position. */
Test(intake_starters, starter_of_a_known_log) {
  static const char text[] = "date,unit,energy_mj,remark,\"a;b\",\"two\nlines\",Patient\n"
                             "2026-08-17,A,1.61,first,1,x,y\n2026-08-18,A,1.62,second,2,x,y\n";
  bt_reading_choices choices = {0};
  bt_text map = {0};
  kept before, after;
  bt_survey *preview = preview_of(text, NULL);
  preview_read_back(preview, &choices, &map);
  map_must_have(&map, "\n[format]\ndelimiter = comma\ndecimal = point\ndates = ymd\n");
  cr_expect_null(strstr(bt_text_get(&map), "encoding"), "found anew for the next month's file");
  map_must_have(&map, "\ndate = date\nunit = unit\nenergy_mj = energy_mj\nremark = remark\n");
  map_must_have(&map, "# Column 5, \"a;b\" (numbers)");
  map_must_have(&map, "# Column 6, \"two lines\" (words)");
  map_must_have(&map, " = two lines\n");
  map_must_have(&map, "# Column 7, \"Patient\": looks like a patient's identity, never stored\n");
  cr_expect_null(strstr(bt_text_get(&map), "first"), "no value of the log stands in a map");
  gather(file_of_text(text), NULL, &before);
  gather(file_of_text(text), &choices, &after);
  cr_assert(before.checks_n == 2 && after.checks_n == 2, "%s", after.error.text);
  for (size_t i = 0; i < 2; i++) {
    cr_expect_eq(before.checks[i].time, after.checks[i].time);
    cr_expect_eq(before.checks[i].present, after.checks[i].present);
    cr_expect_str_eq(before.remarks[i], after.remarks[i]);
  }
  gather_free(&before);
  gather_free(&after);
  bt_survey_free(preview);
  bt_reading_choices_free(&choices);
  bt_text_free(&map);
}

/* What unknown columns might be: by content, by the unit of the header, by its words. */
Test(intake_starters, starter_of_an_unknown_log) {
  bt_reading_choices choices = {0};
  bt_text map = {0};
  bt_survey *preview =
      preview_of("Datum;Uhrzeit;E Soll (mJ);E Ist (mJ);Feuchte %;Spot [µm];Tür;Bemerkung;frei\n"
                 "17.08.2026;07:30;2,05;2,08;45;1610;3;leise;\n",
                 NULL);
  preview_read_back(preview, &choices, &map);
  map_must_have(&map, "delimiter = semicolon\ndecimal = comma\ndates = dmy\n");
  map_must_have(&map, "# unit = the laser that all rows are of\n");
  map_must_have(&map, "# Column 1, \"Datum\" (dates): perhaps date\n# date = Datum\n");
  map_must_have(&map, "# Column 2, \"Uhrzeit\" (times of day): perhaps time\n# time = Uhrzeit\n");
  map_must_have(&map, "(numbers): perhaps target_mj\n# target_mj = E Soll (mJ)\n");
  map_must_have(&map, "(numbers): perhaps energy_mj\n# energy_mj = E Ist (mJ)\n");
  map_must_have(&map, "(numbers): perhaps rh_pct\n# rh_pct = Feuchte %\n");
  map_must_have(&map, "# Column 7, \"Tür\" (numbers): one of the keys below, or none\n");
  map_must_have(&map, "(words): perhaps remark\n# remark = Bemerkung\n");
  map_must_have(&map, "# Column 9, \"frei\" (empty at first)");
  map_must_have(&map, "# The keys there are:\n#   date time unit ");
  cr_expect_eq(choices.columns_n, 0, "what is perhaps stays a comment");
  bt_survey_free(preview);
  bt_reading_choices_free(&choices);
  bt_text_free(&map);
}

/* Texts with commas, bars and quotation marks come back as they are. */
Test(intake_starters, starter_of_marked_texts) {
  static const char text[] = "date,energy_mj,\"Gas, new\"\n2026-08-17,1.61,\"yes, all\"\n"
                             "2026-08-18,1.62,\"say \"\"go\"\"\"\n2026-08-19,1.62,a|b\n";
  char key[] = "event.gas_refill", header[] = "Gas, new", when[] = "before", yes[] = "yes, all",
       go[] = "say \"go\"", bar[] = "a|b";
  bt_value_choice values[] = {{.key = key, .header = header, .value = yes, .result = when},
                              {.key = key, .header = header, .value = go, .result = when},
                              {.key = key, .header = header, .value = bar, .result = when}};
  bt_reading_choices by = {.unit = (char[]){"Room 1"}, .values = values, .values_n = 3};
  bt_reading_choices choices = {0};
  bt_text map = {0};
  bt_survey *preview = preview_of(text, &by);
  preview_read_back(preview, &choices, &map);
  cr_assert_eq(choices.values_n, 3, "%s", bt_text_get(&map));
  for (size_t i = 0; i < 3; i++) {
    cr_expect_str_eq(choices.values[i].header, header);
    cr_expect_str_eq(choices.values[i].value, values[i].value);
    cr_expect_str_eq(choices.values[i].result, when);
  }
  bt_survey_free(preview);
  bt_reading_choices_free(&choices);
  bt_text_free(&map);
}

/* A map that the log was read by comes back whole: units, meanings, the laser. */
Test(intake_starters, starter_of_a_mapped_log) {
  bt_column_choice columns[] = {
      {.key = (char[]){"date"}, .header = (char[]){"Tag"}},
      {.key = (char[]){"energy_mj"}, .position = 2, .from_unit = (char[]){"J"}}};
  bt_value_choice values[] = {
      {(char[]){"event.gas_refill"}, (char[]){"Gas"}, (char[]){"ja"}, (char[]){"before"}},
      {(char[]){"event.gas_refill"}, (char[]){"Gas"}, (char[]){"yes"}, (char[]){"before"}},
      {(char[]){"event.service"}, (char[]){"Gas"}, (char[]){"Wartung"}, NULL}};
  bt_reading_choices by = {.unit = (char[]){"Room 1"},
                           .columns_n = 2,
                           .columns = columns,
                           .values_n = 3,
                           .values = values};
  bt_reading_choices choices = {0};
  bt_text map = {0};
  bt_survey *preview = preview_of("Tag|E (J)|Gas\n2026-08-17|0.00161|ja\n", &by);
  cr_assert_eq(preview->questions_n, 0);
  preview_read_back(preview, &choices, &map);
  map_must_have(&map, "delimiter = pipe\n");
  map_must_have(&map, "unit = Room 1\n");
  map_must_have(&map, "[columns]\ndate = Tag\nenergy_mj = E (J)\n");
  map_must_have(&map, "[units]\nenergy_mj = J\n");
  map_must_have(&map, "[values]\nevent.gas_refill = Gas, ja | yes, before\nevent.service = Gas, "
                      "Wartung\n");
  cr_assert_eq(choices.values_n, 3);
  cr_expect_str_eq(choices.values[1].value, "yes");
  cr_expect_str_eq(choices.columns[1].from_unit, "J");
  bt_survey_free(preview);
  bt_reading_choices_free(&choices);
  bt_text_free(&map);
}

/* Each characteristic that is offered has a number of its own, those of words too. */
Test(intake_starters, characteristics_are_numbered) {
  bt_reading_choices choices = {0};
  bt_text map = {0};
  bt_survey *preview = preview_of("date;energy_mj;frei;offen;Deckel\n2026-08-17;1.61;3;4;zu\n"
                                  "2026-08-18;1.62;5;6;auf\n",
                                  &one_room);
  preview_read_back(preview, &choices, &map);
  map_must_have(&map, "#   [characteristic 1]\n#   key = frei\n");
  map_must_have(&map, "#   [characteristic 2]\n#   key = offen\n");
  map_must_have(&map, "declare [characteristic 3] with key = deckel ");
  bt_survey_free(preview);
  bt_reading_choices_free(&choices);
  bt_text_free(&map);
}

/* Words of ten languages for a laser, the meter of its energy, and where its beam lies. */
Test(intake_starters, lasers_meters_and_centring_by_their_words) {
  static const struct {
    const char *header, *key;
    bool number;
  } words[] = {{"Misuratore", "meter", false},
               {"Messger\xC3\xA4t", "meter", false},
               {"Appareil de mesure", "meter", false},
               {"\xC3\x96l\xC3\xA7"
                "er",
                "meter", false},
               {"Medidor", "meter", false},
               {"Meettoestel", "meter", false},
               {"Miernik", "meter", false},
               {"M\xC3\xA4tare", "meter", false},
               {"Macchina", "unit", false},
               {"Maschine", "unit", false},
               {"M\xC3\xA1quina", "unit", false},
               {"Makine", "unit", false},
               {"Maszyna", "unit", false},
               {"Maskin", "unit", false},
               {"Centratura X", "offset_x_um", true},
               {"Centratura Y", "offset_y_um", true},
               {"Zentrierung X", "offset_x_um", true},
               {"Centrage Y", "offset_y_um", true},
               {"Centrado X", "offset_x_um", true},
               {"Centragem Y", "offset_y_um", true},
               {"Merkezleme X", "offset_x_um", true},
               {"Centrering Y", "offset_y_um", true},
               {"Centrowanie X", "offset_x_um", true},
               {"Centration Y", "offset_y_um", true}};
  for (size_t i = 0; i < sizeof words / sizeof *words; i++) {
    bt_text log = {0}, map = {0}, wanted = {0};
    bt_reading_choices choices = {0};
    bt_text_format(&log, "date;energy_mj;%s\n2026-08-17;1.61;%s\n2026-08-18;1.62;%s\n",
                   words[i].header, words[i].number ? "-3" : "A", words[i].number ? "12" : "B");
    bt_survey *preview = preview_of(bt_text_get(&log), NULL);
    preview_read_back(preview, &choices, &map);
    bt_text_format(&wanted, "\n# %s = %s\n", words[i].key, words[i].header);
    map_must_have(&map, bt_text_get(&wanted));
    bt_survey_free(preview);
    bt_reading_choices_free(&choices);
    bt_text_free(&log);
    bt_text_free(&map);
    bt_text_free(&wanted);
  }
}

/* Several readings of one kind in one row: one key for one of them, and the ways out. */
Test(intake_starters, several_readings_in_one_row) {
  bt_reading_choices choices = {0};
  bt_text map = {0};
  bt_survey *preview =
      preview_of("Datum;E1 (mJ);E2 (mJ);E3 (mJ);Bediener\n17.08.2026;1,61;1,62;1,60;KL\n"
                 "18.08.2026;1,61;1,60;1,60;KL\n19.08.2026;1,61;1,61;1,60;KL\n",
                 &one_room);
  preview_read_back(preview, &choices, &map);
  map_must_have(&map,
                "# Column 2, \"E1 (mJ)\" (numbers): one of 3 readings of one kind in one row");
  map_must_have(&map, "up to column 4. A key is read from one column: give the log a column\n");
  map_must_have(&map,
                "# Column 2, \"E1 (mJ)\" (numbers): perhaps energy_mj or target_mj\n# energy_mj = "
                "E1 (mJ)\n");
  map_must_have(&map, "# Column 3, \"E2 (mJ)\" (numbers): as column 2\n");
  map_must_have(&map, "#   key = e3\n");
  map_must_have(&map, "# operator = Bediener\n");
  cr_expect_null(strstr(bt_text_get(&map), "target_mj = "), "%s", bt_text_get(&map));
  cr_assert_geq(preview->hints_n, 1);
  cr_expect_not_null(strstr(preview->hints[0],
                            "the columns \"E1 (mJ)\" to \"E3 (mJ)\" seem to hold "
                            "several readings of one kind in one row"),
                     "%s", preview->hints[0]);
  bt_survey_free(preview);
  bt_reading_choices_free(&choices);
  bt_text_free(&map);
}

/* What was set stays, what is measured doesn't: that tells two energies apart whose names don't. */
Test(intake_starters, the_steadier_energy_is_the_target) {
  static const char *const logs[] = {
      "Pvm;E (mJ);E mitattu (mJ)\n17.08.2026;1,60;1,61\n18.08.2026;1,60;1,59\n19.08.2026;1,60;1,605\n",
      "Pvm;E mitattu (mJ);E (mJ)\n17.08.2026;1,61;1,60\n18.08.2026;1,59;1,60\n19.08.2026;1,605;1,60\n"};
  for (size_t i = 0; i < sizeof logs / sizeof logs[0]; i++) {
    bt_reading_choices choices = {0};
    bt_text map = {0};
    bt_survey *preview = preview_of(logs[i], &one_room);
    preview_read_back(preview, &choices, &map);
    map_must_have(&map,
                  "\"E (mJ)\" (numbers): perhaps target_mj or energy_mj\n# target_mj = E (mJ)\n");
    map_must_have(&map, "\"E mitattu (mJ)\" (numbers): perhaps energy_mj or target_mj\n"
                        "# energy_mj = E mitattu (mJ)\n");
    bt_survey_free(preview);
    bt_reading_choices_free(&choices);
    bt_text_free(&map);
  }
}

/* A steady energy far from what is measured is none that was set for it. */
Test(intake_starters, a_steady_energy_elsewhere_is_no_target) {
  char *map = starter_of(&one_room, "Pvm;E Kopf (mJ);E Auge (mJ)\n17.08.2026;12,0;1,61\n"
                                    "18.08.2026;12,0;1,59\n19.08.2026;12,0;1,605\n");
  cr_expect_null(strstr(map, "# target_mj = E Kopf"), "%s", map);
  cr_expect_not_null(strstr(map, "\"E Kopf (mJ)\" (numbers): perhaps energy_mj or target_mj"), "%s",
                     map);
  free(map);
}

/* The number of a column is no unit. */
Test(intake_starters, numbered_columns) {
  static const char *const logs[] = {"date;unit;Energy 1;Energy 2\n2026-08-17;A;1.61;1.62\n",
                                     "date;unit;Energy_1;Energy_2\n2026-08-17;A;1.61;1.62\n",
                                     "date;unit;Wert (mJ) 1;Wert (mJ) 2\n2026-08-17;A;1.6;1.7\n"};
  for (size_t i = 0; i < sizeof logs / sizeof logs[0]; i++) {
    bt_reading_choices choices = {0};
    bt_text map = {0};
    bt_survey *preview = preview_of(logs[i], NULL);
    preview_read_back(preview, &choices, &map);
    map_must_have(&map, "(numbers): one of 2 readings of one kind in one row");
    map_must_have(&map, "(numbers): perhaps energy_mj or target_mj\n# energy_mj = ");
    map_must_have(&map, "(numbers): as column 3\n");
    bt_survey_free(preview);
    bt_reading_choices_free(&choices);
    bt_text_free(&map);
  }
}

/* An offset in mm is no spot diameter. */
Test(intake_starters, an_offset_in_millimetres) {
  char *map = starter_of(NULL, "Check Date,Tracker X (mm),Tracker Y (mm),Room RH,Checked by\n"
                               "9/1/2025,0.006,-0.001,46,TK\n9/13/2025,0.007,-0.002,42,MB\n");
  cr_expect_null(strstr(map, "# spot_mm = "), "%s", map);
  cr_expect_not_null(strstr(map, "# offset_x_um = Tracker X (mm)\n"), "%s", map);
  cr_expect_not_null(strstr(map, "# offset_y_um = Tracker Y (mm)\n"), "%s", map);
  cr_expect_not_null(strstr(map, "# offset_x_um = mm\n# offset_y_um = mm\n"), "%s", map);
  cr_expect_not_null(strstr(map, "# rh_pct = Room RH\n"), "%s", map);
  cr_expect_not_null(strstr(map, "# operator = Checked by\n"), "%s", map);
  free(map);
}

/* A month by its name needs no order: none is said, and none stands in the map. */
Test(intake_starters, months_by_name) {
  static const struct {
    const char *text;
    bool named;
  } table[] = {
      {"date,unit,energy_mj\n04 Sep 2025,A,1.6\nSep 5 2025,A,1.6\n", true},
      {"Tag,Puls\n04 Sep 2025,1.6\n05 Sep 2025,1.6\n", true},
      {"date,unit,energy_mj\n04 Sep 2025,A,1.6\n2025-09-05,A,1.6\n", false},
      {"date,unit,energy_mj\n2025-09-05,A,1.6\n", false},
      {"date,unit,energy_mj\n04.09.2025,A,1.6\n", false},
  };
  for (size_t i = 0; i < sizeof table / sizeof *table; i++) {
    bt_survey *preview = preview_of(table[i].text, NULL);
    char *map = starter_of(NULL, table[i].text);
    cr_expect_eq(preview->months_named, table[i].named, "%s", table[i].text);
    cr_expect_eq(strstr(map, "\ndates = ") == NULL, table[i].named, "%s", map);
    bt_survey_free(preview);
    free(map);
  }
}

/* What a bare "Ist mJ" is shows by the target beside it. */
Test(intake_starters, an_energy_beside_its_target) {
  char *map = starter_of(NULL, "Datum;Soll mJ;Ist mJ\n13.01.2026;1,60;1,612\n");
  cr_expect_not_null(strstr(map, "# target_mj = Soll mJ\n"), "%s", map);
  cr_expect_not_null(strstr(map, "perhaps energy_mj\n# energy_mj = Ist mJ\n"), "%s", map);
  free(map);
}

/* Words and counts in one column: the words mean as many as the counts have, and both are read. */
Test(intake_starters, a_self_test_in_words_and_counts) {
  static const char log[] = "date;energy_mj;Selbsttest\n2026-01-02;1,61;i.O.\n"
                            "2026-01-03;1,61;17 von 18\n2026-01-04;1,62;i.O.\n";
  char *map = starter_of(&one_room, log);
  cr_expect_not_null(strstr(map, "# selftest_passed = Selbsttest\n"), "%s", map);
  cr_expect_not_null(strstr(map, "# selftest_passed.18 = Selbsttest, i.O.\n"
                                 "# selftest_total.18 = Selbsttest, i.O.\n"),
                     "%s", map);
  char *taken = offers_taken(map);
  kept k;
  bt_reading_choices choices;
  bt_error error = {0};
  cr_assert_eq(read_map(taken, NULL, 0, &choices, &error), BT_OK, "%s\n%s", error.text, taken);
  gather(file_of_text(log), &choices, &k);
  cr_assert_eq(k.checks_n, 3, "%s", k.reasons[0]);
  cr_expect_eq(k.checks[0].reading[BT_READING_SELFTEST_PASSED], 18);
  cr_expect_eq(k.checks[1].reading[BT_READING_SELFTEST_PASSED], 17);
  cr_expect_eq(k.checks[1].reading[BT_READING_SELFTEST_TOTAL], 18);
  gather_free(&k);
  bt_reading_choices_free(&choices);
  free(taken);
  free(map);
}

/* Counts behind words, and the part that failed: each text has its own lines, by which the log is
 * read. */
Test(intake_starters, a_self_test_that_counts_behind_words) {
  static const char log[] = "Date,Energy (mJ),Self test\n2026-01-30,1.6,PASS 19/19\n"
                            "2026-01-31,1.6,FAIL 18/19 - shutter\n2026-02-02,1.6,pass\n";
  char *map = starter_of(&one_room, log);
  cr_expect_not_null(strstr(map, "# selftest_passed.19 = Self test, PASS 19/19\n"
                                 "# selftest_total.19 = Self test, PASS 19/19\n"
                                 "# selftest_passed.18 = Self test, FAIL 18/19 - shutter\n"
                                 "# selftest_total.19 = Self test, FAIL 18/19 - shutter\n"
                                 "# selftest_failed.shutter = Self test, FAIL 18/19 - shutter\n"
                                 "# selftest_passed.19 = Self test, pass\n"
                                 "# selftest_total.19 = Self test, pass\n"),
                     "%s", map);
  cr_expect_null(strstr(map, "PASSED"), "%s", map);
  char *taken = offers_taken(map);
  kept k;
  bt_reading_choices choices;
  bt_error error = {0};
  cr_assert_eq(read_map(taken, NULL, 0, &choices, &error), BT_OK, "%s\n%s", error.text, taken);
  gather(file_of_text(log), &choices, &k);
  cr_assert_eq(k.checks_n, 3, "%s", k.reasons[0]);
  for (int c = 0; c < 3; c++) {
    cr_expect_eq(k.checks[c].reading[BT_READING_SELFTEST_PASSED], c == 1 ? 18 : 19);
    cr_expect_eq(k.checks[c].reading[BT_READING_SELFTEST_TOTAL], 19);
  }
  gather_free(&k);
  bt_reading_choices_free(&choices);
  free(taken);
  free(map);
}

/* "passed" and "failed" are a self-test's count of one, whatever the column is called. */
Test(intake_starters, a_self_test_in_words) {
  char *map = starter_of(NULL, "Date,System test,Gas changed\n2026-01-02,passed,yes\n"
                               "2026-01-03,failed,no\n");
  cr_expect_not_null(strstr(map, "# selftest_passed.1 = System test, passed\n"
                                 "# selftest_passed.0 = System test, failed\n"
                                 "# selftest_total.1 = System test, passed | failed\n"),
                     "%s", map);
  cr_expect_null(strstr(map, "unit = System test"), "%s", map);
  cr_expect_not_null(strstr(map, "# event.gas_refill = Gas changed, yes, before\n"), "%s", map);
  cr_expect_not_null(strstr(map, "it\n# was read on the fresh gas: before; where the row behind it "
                                 "has, after"),
                     "%s", map);
  free(map);
  /* of the pattern on the test plate it is another test */
  map = starter_of(NULL, "Date,Muster\n2026-01-02,i.O.\n2026-01-03,n.i.O.\n");
  cr_expect_null(strstr(map, "selftest_passed."), "%s", map);
  free(map);
}
