/* Previews: questions instead of refusals, first values, headers by their shape, starter maps. */
#include "gather.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

static const bt_reading_choices room = {.unit = (char[]){"Room 1"}};

static bt_survey *preview_of(const char *text, const bt_reading_choices *choices) {
  bt_survey *preview = NULL;
  bt_error error = {0};
  cr_assert_eq(bt_preview_file(file_of_text(text), choices, &preview, &error), BT_OK, "%s: %s",
               text, error.text);
  return preview;
}

/* What a survey refuses is the preview's first question, in the same words; the columns are there
 * all the same, and a load refuses a preview with questions. */
Test(intake_previews, questions) {
  static const struct {
    const char *text, *asks;
    size_t columns;
  } table[] = {
      {"date,unit,energy_mj\n03/04/2026,A,1.61\n05/06/2026,A,1.62\n",
       "every date can be read as day/month and as month/day (line 2: 03/04/2026); say which it is "
       "with --dates dmy or --dates mdy",
       3},
      {"date,unit,energy_mj\n13/04/2026,A,1.61\n05/16/2026,A,1.62\n", "line 2 has its date as day",
       3},
      {"date;unit;energy_mj\n2026-08-17;A;1,610\n", "\"1,610\" (line 2) can be a decimal fraction",
       3},
      {"day,unit,energy_mj\n2026-08-17,A,1.61\n", "no column is read as the date; name it", 3},
      {"date,unit,energy\n2026-08-17,A,1.61\n", "no column is read as a reading or an event", 3},
      {"date,unit,energy_mj,Energy (mJ)\n2026-08-17,A,1.61,1.6\n",
       "the columns 3 and 4 would both be read as energy_mj", 4},
      {"date,unit,energy_mj,refill\n2026-08-17,A,1.61,yes\n2026-08-18,A,1.61,yes\n",
       "the column \"refill\" notes a gas refill (line 2: \"yes\")", 4},
      {"Tag;Energie\n2026-08-17;1,61\n",
       "line 1 is the header, it seems, and has no name that is known by itself", 2},
      {"Diary\nof a laser\n\nTag;Energie\n2026-08-17;1,61\n2026-08-18;1,61\n",
       "line 4 is the header, it seems, and has no name that is known by itself", 2},
      {"2026-08-17;1,61\n2026-08-18;1,62\n",
       "the file has no header line, it seems, so a column map must say which column is which, by "
       "its place (date = @1)",
       2},
  };
  for (size_t i = 0; i < sizeof table / sizeof table[0]; i++) {
    bt_survey *survey = NULL, *preview = preview_of(table[i].text, &room);
    bt_error error = {0};
    cr_assert_geq(preview->questions_n, 1, "%zu", i);
    cr_expect_eq(strncmp(preview->questions[0], table[i].asks, strlen(table[i].asks)), 0, "%zu: %s",
                 i, preview->questions[0]);
    cr_expect_eq(preview->columns_n, table[i].columns, "%zu", i);
    cr_expect_eq(bt_survey_file(preview->path, &room, &survey, &error), BT_INPUT, "%zu", i);
    cr_expect_str_eq(error.text, preview->questions[0], "%zu", i);
    bt_sink none = {0};
    cr_expect_eq(bt_load_file(preview, at("2026-12-31"), &none, &error), BT_INPUT, "%zu", i);
    cr_expect_str_eq(error.text, preview->questions[0], "%zu", i);
    bt_survey_free(preview);
  }
}

/* All that is open is asked at once; a refill only once, however many rows note one. */
Test(intake_previews, all_questions_at_once) {
  bt_survey *preview = preview_of("day;energy\n17.08.2026;1,61\n", NULL);
  cr_assert_eq(preview->questions_n, 2, "without a header no column is read: said once");
  cr_expect_not_null(strstr(preview->questions[0], "header"));
  cr_expect_not_null(strstr(preview->questions[1], "which laser"));
  bt_survey_free(preview);
  preview = preview_of("date,energy_mj,refill\n2026-08-17,1.6,yes\n2026-08-18,1.6,yes\n", NULL);
  cr_assert_eq(preview->questions_n, 2);
  cr_expect_not_null(strstr(preview->questions[0], "gas refill"));
  cr_expect_not_null(strstr(preview->questions[1], "which laser"));
  bt_survey_free(preview);
}

/* What an import would refuse of the first cells. */
Test(intake_previews, cells_that_would_be_refused) {
  bt_survey *preview = preview_of("date;time;unit;energy_mj;target_mj\n"
                                  "17.08.2026;7.75;A;1.610;1,61\n18.08.2026;8:02;A;1,612;1,61\n",
                                  NULL);
  bt_text all = {0};
  for (size_t i = 0; i < preview->hints_n; i++)
    bt_text_format(&all, "%s\n", preview->hints[i]);
  for (size_t i = 0; i < preview->questions_n; i++)
    bt_text_format(&all, "%s\n", preview->questions[i]);
  cr_expect_not_null(strstr(bt_text_get(&all), "\"7.75\" in it would be refused: it is no time"),
                     "%s", bt_text_get(&all));
  bt_text_free(&all);
  bt_survey_free(preview);

  /* A date by an order that was stated, a number by a decimal mark that was. */
  const struct {
    const char *log, *hint;
    bt_reading_choices choices;
  } table[] = {{"date,energy_mj\n13/08/2026,1.61\n08/12/2026,1.61\n12/13/2026,1.61\n",
                "\"13/08/2026\" in it would be refused: read as month, day, year",
                {.unit = (char[]){"A"}, .dates = BT_DATES_MDY}},
               {"date;energy_mj\n2026-08-17;1.61\n",
                "\"1.61\" in it would be refused: it is no number with a decimal comma",
                {.unit = (char[]){"A"}, .decimal = BT_DECIMAL_COMMA}},
               {"date;energy_mj\n2026-08-17;1,61\n",
                "\"1,61\" in it would be refused: it is no number with a decimal point",
                {.unit = (char[]){"A"}, .decimal = BT_DECIMAL_POINT}}};
  for (size_t i = 0; i < sizeof table / sizeof table[0]; i++) {
    preview = preview_of(table[i].log, &table[i].choices);
    bool dates = table[i].choices.dates != BT_DATES_AUTO; /* their order is told of besides */
    cr_assert_eq(preview->hints_n, dates ? 2 : 1, "%zu", i);
    const char *last = preview->hints[preview->hints_n - 1];
    cr_expect_not_null(strstr(last, table[i].hint), "%zu: %s", i, last);
    cr_expect(!dates || strstr(preview->hints[0], "1 row says another order of dates") != NULL,
              "%s", preview->hints[0]);
    bt_survey_free(preview);
  }
}

Test(intake_previews, a_file_that_is_no_text_stays_refused) {
  bt_survey *preview = NULL;
  bt_error error = {0};
  cr_expect_eq(bt_preview_file(file_of("PK\x03\x04", 4), NULL, &preview, &error), BT_INPUT);
  cr_expect_eq(bt_preview_file(file_of_text(""), NULL, &preview, &error), BT_INPUT);
  cr_expect_eq(bt_preview_file("/nowhere/at/all", NULL, &preview, &error), BT_SYSTEM);
  cr_expect_eq(bt_preview_file("/nowhere/at/all", NULL, &preview, NULL), BT_SYSTEM);
  cr_expect_null(preview);
}

Test(intake_previews, first_values) {
  bt_survey *preview =
      preview_of("date,unit,energy_mj,Patient,door\n2026-08-17,A,,x,\n2026-08-18,A,1.61,x,\n"
                 "2026-08-19,A, 1.62 ,x,open\n2026-08-20,A,1.63,x,\n2026-08-21,A,1.64,x,\n",
                 NULL);
  const bt_survey_column *c = preview->columns;
  cr_assert_eq(preview->columns_n, 5);
  cr_assert(c[0].first_n == 3 && c[1].first_n == 3 && c[2].first_n == 3);
  cr_expect_str_eq(c[0].first[2], "2026-08-19");
  cr_expect_str_eq(c[2].first[0], "1.61");
  cr_expect_str_eq(c[2].first[1], "1.62");
  cr_expect_eq(c[3].first_n, 0, "values of an identity are never kept");
  cr_expect(c[3].identity);
  cr_assert_eq(c[4].first_n, 1);
  cr_expect_str_eq(c[4].first[0], "open");
  cr_expect_null(c[4].key);
  cr_expect_eq(preview->questions_n, 0);
  bt_survey_free(preview);
}

/* The header of a log with unknown words, behind a preamble and with decimal commas; and the same
 * log without a header. */
Test(intake_previews, shapes) {
  bt_survey *preview =
      preview_of("Kalibrierbuch, Raum 2\nAuszug\nDatum;Soll;Ist\n17.08.2026;2,05;2,08\n"
                 "18.08.2026;2,05;2,07\n",
                 NULL);
  cr_expect_eq(preview->delimiter, ';');
  cr_expect_eq(preview->header_line, 3);
  cr_expect_eq(preview->rows, 2);
  cr_expect_eq(preview->decimal, BT_DECIMAL_COMMA);
  cr_expect_eq(preview->dates, BT_DATES_DMY);
  cr_assert_eq(preview->columns_n, 3);
  cr_expect_str_eq(preview->columns[1].header, "Soll");
  cr_expect_str_eq(preview->columns[1].first[0], "2,05");
  bt_survey_free(preview);

  /* A spreadsheet's title lines are as wide as its table, and a line of units may follow: it is
   * part of the header. */
  preview = preview_of("Kalibrierbuch;;\n;;Raum 2\nDatum;Soll;Ist\n;mJ;mJ\n17.08.2026;2,05;2,08\n"
                       "Datum;zweite;Kopfzeile\n",
                       NULL);
  cr_expect_eq(preview->header_line, 4);
  cr_expect_str_eq(preview->columns[0].header, "Datum");
  cr_expect_str_eq(preview->columns[2].header, "Ist (mJ)");
  bt_survey_free(preview);

  preview = preview_of("2026-08-17\t1.61\n2026-08-18\t1.62\n", NULL);
  cr_expect_eq(preview->delimiter, '\t');
  cr_expect_eq(preview->header_line, 0);
  cr_expect_eq(preview->rows, 2);
  cr_assert_eq(preview->columns_n, 2);
  cr_expect_str_eq(preview->columns[1].header, "@2");
  bt_survey_free(preview);

  preview = preview_of("nothing\nof a log\n", NULL);
  cr_assert_eq(preview->columns_n, 1);
  cr_expect_str_eq(preview->columns[0].header, "nothing");
  bt_survey_free(preview);
}

/* Writes a map into a second file, reads it, and has it removed. */
static void read_back(const bt_survey *preview, bt_reading_choices *choices, bt_text *map) {
  char name[64];
  bt_error error = {0};
  bt_map_starter(preview, map);
  cr_assert(bt_text_ok(map));
  (void)snprintf(name, sizeof name, "/tmp/bt-starter-%ld.ini", (long)getpid());
  FILE *file = fopen(name, "wb");
  cr_assert_not_null(file);
  cr_assert_eq(fwrite(bt_text_get(map), 1, map->length, file), map->length);
  cr_assert_eq(fclose(file), 0);
  bt_status status = bt_map_read(name, choices, &error);
  cr_assert_eq(unlink(name), 0);
  cr_assert_eq(status, BT_OK, "%s\n%s", error.text, bt_text_get(map));
}

static void must_have(const bt_text *map, const char *line) {
  cr_expect_not_null(strstr(bt_text_get(map), line), "\"%s\" is not in:\n%s", line,
                     bt_text_get(map));
}

/* A starter is read back, and the log by it as before; headers that INI can't hold go by their
 * position. */
Test(intake_previews, starter_of_a_known_log) {
  static const char text[] = "date,unit,energy_mj,remark,\"a;b\",\"two\nlines\",Patient\n"
                             "2026-08-17,A,1.61,first,1,x,y\n2026-08-18,A,1.62,second,2,x,y\n";
  bt_reading_choices choices = {0};
  bt_text map = {0};
  kept before, after;
  bt_survey *preview = preview_of(text, NULL);
  read_back(preview, &choices, &map);
  must_have(&map, "\n[format]\ndelimiter = comma\ndecimal = point\ndates = ymd\n");
  cr_expect_null(strstr(bt_text_get(&map), "encoding"), "found anew for the next month's file");
  must_have(&map, "\ndate = date\nunit = unit\nenergy_mj = energy_mj\nremark = remark\n");
  must_have(&map, "# Column 5, \"a;b\" (numbers)");
  must_have(&map, "# Column 6, \"two lines\" (words)");
  must_have(&map, " = @6\n");
  must_have(&map, "# Column 7, \"Patient\": looks like a patient's identity, never stored\n");
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
Test(intake_previews, starter_of_an_unknown_log) {
  bt_reading_choices choices = {0};
  bt_text map = {0};
  bt_survey *preview =
      preview_of("Datum;Uhrzeit;E Soll (mJ);E Ist (mJ);Feuchte %;Spot [µm];Tür;Bemerkung;frei\n"
                 "17.08.2026;07:30;2,05;2,08;45;1610;3;leise;\n",
                 NULL);
  read_back(preview, &choices, &map);
  must_have(&map, "delimiter = semicolon\ndecimal = comma\ndates = dmy\n");
  must_have(&map, "# unit = the laser that all rows are of\n");
  must_have(&map, "# Column 1, \"Datum\" (dates): perhaps date\n# date = Datum\n");
  must_have(&map, "# Column 2, \"Uhrzeit\" (times of day): perhaps time\n# time = Uhrzeit\n");
  must_have(&map, "(numbers): perhaps target_mj\n# target_mj = E Soll (mJ)\n");
  must_have(&map, "(numbers): perhaps energy_mj\n# energy_mj = E Ist (mJ)\n");
  must_have(&map, "(numbers): perhaps rh_pct\n# rh_pct = Feuchte %\n");
  must_have(&map, "# Column 7, \"Tür\" (numbers): one of the keys below, or none\n");
  must_have(&map, "(words): perhaps remark\n# remark = Bemerkung\n");
  must_have(&map, "# Column 9, \"frei\" (empty at first)");
  must_have(&map, "# The keys there are:\n#   date time unit ");
  cr_expect_eq(choices.columns_n, 0, "what is perhaps stays a comment");
  bt_survey_free(preview);
  bt_reading_choices_free(&choices);
  bt_text_free(&map);
}

/* Several readings of one kind in one row: one key for one of them, and the ways out. */
Test(intake_previews, several_readings_in_one_row) {
  bt_reading_choices choices = {0};
  bt_text map = {0};
  bt_survey *preview =
      preview_of("Datum;E1 (mJ);E2 (mJ);E3 (mJ);Bediener\n17.08.2026;1,61;1,62;1,60;KL\n", &room);
  read_back(preview, &choices, &map);
  must_have(&map, "# Column 2, \"E1 (mJ)\" (numbers): one of 3 readings of one kind in one row");
  must_have(&map, "up to column 4. A key is read from one column: give the log a column\n");
  must_have(&map,
            "# Column 2, \"E1 (mJ)\" (numbers): perhaps energy_mj or target_mj\n# energy_mj = "
            "E1 (mJ)\n");
  must_have(&map, "# Column 3, \"E2 (mJ)\" (numbers): as column 2\n");
  must_have(&map, "#   key = e3\n");
  must_have(&map, "# operator = Bediener\n");
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

/* The number of a column is no unit. */
Test(intake_previews, numbered_columns) {
  static const char *const logs[] = {"date;unit;Energy 1;Energy 2\n2026-08-17;A;1.61;1.62\n",
                                     "date;unit;Energy_1;Energy_2\n2026-08-17;A;1.61;1.62\n",
                                     "date;unit;Wert (mJ) 1;Wert (mJ) 2\n2026-08-17;A;1.6;1.7\n"};
  for (size_t i = 0; i < sizeof logs / sizeof logs[0]; i++) {
    bt_reading_choices choices = {0};
    bt_text map = {0};
    bt_survey *preview = preview_of(logs[i], NULL);
    read_back(preview, &choices, &map);
    must_have(&map, "(numbers): one of 2 readings of one kind in one row");
    must_have(&map, "(numbers): perhaps energy_mj or target_mj\n# energy_mj = ");
    must_have(&map, "(numbers): as column 3\n");
    bt_survey_free(preview);
    bt_reading_choices_free(&choices);
    bt_text_free(&map);
  }
}

/* Texts with commas, bars and quotation marks come back as they are. */
Test(intake_previews, starter_of_marked_texts) {
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
  read_back(preview, &choices, &map);
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
Test(intake_previews, starter_of_a_mapped_log) {
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
  read_back(preview, &choices, &map);
  must_have(&map, "delimiter = pipe\n");
  must_have(&map, "unit = Room 1\n");
  must_have(&map, "[columns]\ndate = Tag\nenergy_mj = E (J)\n");
  must_have(&map, "[units]\nenergy_mj = J\n");
  must_have(&map, "[values]\nevent.gas_refill = Gas, ja | yes, before\nevent.service = Gas, "
                  "Wartung\n");
  cr_assert_eq(choices.values_n, 3);
  cr_expect_str_eq(choices.values[1].value, "yes");
  cr_expect_str_eq(choices.columns[1].from_unit, "J");
  bt_survey_free(preview);
  bt_reading_choices_free(&choices);
  bt_text_free(&map);
}

/* An offset in mm is no spot diameter. */
Test(intake_previews, an_offset_in_millimetres) {
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

/* A diary whose texts are sentences, with commas: its map reads them as they stand. */
Test(intake_previews, a_diary_of_sentences) {
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

/* A line of units is no row, and its units are those of the columns; a map that names a column
 * without its unit still finds it. */
/* The header once more, where logs were joined, shows no values of its columns. */
Test(intake_previews, first_values_without_the_header_again) {
  static const char text[] = "Fecha;Energía;Nota\n;mJ;\nFecha;Energía;Nota\n17.08.2026;1,6;Nota\n";
  bt_survey *preview = preview_of(text, &room);
  cr_assert_eq(preview->columns_n, 3);
  cr_expect_str_eq(preview->columns[1].header, "Energía (mJ)");
  for (size_t i = 0; i < 3; i++)
    cr_assert_eq(preview->columns[i].first_n, 1, "%zu", i);
  cr_expect_str_eq(preview->columns[0].first[0], "17.08.2026");
  cr_expect_str_eq(preview->columns[1].first[0], "1,6");
  cr_expect_str_eq(preview->columns[2].first[0], "Nota", "a value all the same");
  bt_survey_free(preview);
}

Test(intake_previews, a_line_of_units_below_the_header) {
  static const char text[] = "Report of room 2,,,\nDate,Start,Energy,Depth,Room\n"
                             "dd.mm.yyyy,hh:mm,[mJ],mm,\n17.08.2026,07:30,1.6,0.051,warm\n"
                             "18.08.2026,07:31,1.7,0.052,warm\n";
  bt_survey *preview = preview_of(text, &room);
  cr_expect_eq(preview->header_line, 3);
  cr_expect_eq(preview->names_line, 2);
  cr_expect_eq(preview->rows, 2);
  cr_assert_eq(preview->columns_n, 5);
  cr_expect_str_eq(preview->columns[2].header, "Energy (mJ)");
  cr_expect_str_eq(preview->columns[2].key, "energy_mj");
  cr_expect_str_eq(preview->columns[3].header, "Depth (mm)");
  cr_expect_str_eq(preview->columns[4].header, "Room");
  cr_assert_geq(preview->hints_n, 1);
  cr_expect_not_null(strstr(preview->hints[0], "line 3 is read as the units of the columns"), "%s",
                     preview->hints[0]);
  bt_survey_free(preview);

  kept k;
  bt_reading_choices choices;
  char *map = starter_of(&room, text);
  must_have(&(bt_text){.data = map, .length = strlen(map)}, "plate_depth_um = Depth (mm)\n");
  must_have(&(bt_text){.data = map, .length = strlen(map)}, "plate_depth_um = mm\n");
  free(map);
  bt_error error = {0};
  cr_assert_eq(read_map("[format]\nunit = A\n[columns]\ndate = Date\nenergy_mj = Energy\n", NULL, 0,
                        &choices, &error),
               BT_OK, "%s", error.text);
  gather(file_of_text(text), &choices, &k);
  cr_assert_eq(k.status, BT_OK, "%s", k.error.text);
  cr_expect_eq(k.checks_n, 2);
  cr_expect_eq(k.refusals_n, 0);
  cr_expect_eq(k.checks[0].reading[BT_READING_ENERGY_MJ], 1.6);
  gather_free(&k);
  bt_reading_choices_free(&choices);

  /* A map that names a column by both finds the header, though no line has that name. */
  cr_assert_eq(read_map("[format]\nunit = A\n[columns]\nenergy_mj = Energie (mJ)\ndate = @1\n",
                        NULL, 0, &choices, &error),
               BT_OK, "%s", error.text);
  gather(file_of_text("Raum 2;1;2\nTag;Wer;Energie\n;;mJ\n17.08.2026;KL;1,6\n"), &choices, &k);
  cr_assert_eq(k.status, BT_OK, "%s", k.error.text);
  cr_expect_eq(k.survey->header_line, 3);
  cr_expect_eq(k.checks_n, 1);
  gather_free(&k);
  bt_reading_choices_free(&choices);

  /* Words are rows, as is what holds a number. */
  static const char *const rows[] = {"Datum;Was;E\n;V;1\n17.08.2026;gas;2\n",
                                     "Datum;Was;Wer\noffen;gas;mJ\n17.08.2026;gas;K\n"};
  for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
    preview = preview_of(rows[i], &room);
    cr_expect_eq(preview->header_line, 1, "%zu", i);
    cr_expect_eq(preview->rows, 2, "%zu", i);
    bt_survey_free(preview);
  }
}

/* Sentences with commas in them have no columns: said by columns and import alike, instead of a map
 * of what stands between the commas. */
Test(intake_previews, sentences_are_no_table) {
  static const char *const diaries[] = {
      "12.01.2026 Gas changed by KL, energy was low before, now fine\n14.01.2026 mirrors cleaned\n"
      "20.02.2026 engineer here, checked tracker, all fine\n25.02.2026 gas changed, new bottle\n",
      "12.01.2026, gas changed by KL, energy was low\n14.01.2026, mirrors cleaned\n"
      "20.02.2026, engineer here, checked tracker, all fine\n25.02.2026, gas changed, new bottle\n",
      "2026-01-12 7:30 Gas changed, energy 1.61\n2026-01-14 mirrors cleaned; looks good\n"
      "2026-02-20 engineer here, checked tracker\n",
      "Diary of room 2\nMon 12 January: gas changed, energy was low before, now fine.\n"
      "14 Jan, mirrors cleaned\n20 Feb - engineer here, checked tracker, all fine, left at 4\n"};
  static const char *const tables[] = {
      "12.01.2026,gas changed\n14.01.2026,mirrors cleaned\n20.02.2026,engineer\n",
      "Tag,Was,Wer\n12.01.2026,gas,KL\n14.01.2026,mirrors,KL\n20.02.2026,\"gas, again\",MM\n",
      "12.01.2026 Room 2,pass,KL\n14.01.2026 Room 2,pass,KL\n20.02.2026 Room 2,fail,KL\n",
      "12.01.2026,1.61,KL\n14.01.2026,1.62\n20.02.2026,1.60,fine,KL\n",
      "12.01.2026;gas changed, new bottle\n14.01.2026;mirrors cleaned\n20.02.2026;engineer, all\n"};
  for (size_t i = 0; i < sizeof diaries / sizeof *diaries; i++) {
    bt_survey *survey = NULL;
    bt_error error = {0};
    cr_expect_eq(bt_preview_file(file_of_text(diaries[i]), &room, &survey, &error), BT_INPUT, "%zu",
                 i);
    cr_expect_not_null(strstr(error.text, "a diary of sentences, not a table"), "%s", error.text);
    error = (bt_error){0};
    cr_expect_eq(bt_survey_file(file_of_text(diaries[i]), &room, &survey, &error), BT_INPUT);
    cr_expect_not_null(strstr(error.text, "a diary of sentences, not a table"), "%s", error.text);
    const bt_reading_choices told = {.delimiter = ',', .unit = (char[]){"A"}};
    bt_survey_free(preview_of(diaries[i], &told));
  }
  for (size_t i = 0; i < sizeof tables / sizeof *tables; i++)
    bt_survey_free(preview_of(tables[i], &room));
}

/* What nothing names yet, and would be refused once a map does, is asked about at once. */
Test(intake_previews, marks_of_columns_that_nothing_reads_yet) {
  static const struct {
    const char *text, *asks, *hints; /* NULL: nothing of the kind */
  } table[] = {{"Datum;Soll;Ist\n13.04.2026;1,610;1,605\n",
                "\"1,610\" (line 2) can be a decimal fraction or thousands", NULL},
               {"Datum;Zeit;Soll;Ist\n13.04.2026;7.45;1,61;1,605\n", NULL, NULL},
               {"Datum;Zeit;Soll;Ist\n13.04.2026;7.11.30;1,61;1,605\n", NULL, NULL},
               {"Datum;Soll;Ist\n13.04.2026;1,61;1.6\n", NULL,
                "of the columns that nothing reads yet, line 2 has a decimal point (1.6)"},
               {"Tag;Soll;Ist\n05/08/2026;1,61;1,6\n", "every date can be read as day/month", NULL},
               {"Tag;Soll;Ist\n13/08/2026;1,61;1,6\n08/13/2026;1,6;1,6\n",
                "line 2 has its date as day, month, year", NULL},
               {"Tag;Was\n13.08.2026;gas changed\n14.08.2026;cleaned, 1,610\n", NULL, NULL}};
  for (size_t i = 0; i < sizeof table / sizeof *table; i++) {
    bt_survey *preview = preview_of(table[i].text, &room);
    bt_text asked = {0}, hinted = {0};
    for (size_t k = 0; k < preview->questions_n; k++)
      bt_text_format(&asked, "%s\n", preview->questions[k]);
    for (size_t k = 0; k < preview->hints_n; k++)
      bt_text_format(&hinted, "%s\n", preview->hints[k]);
    const char *all = bt_text_get(&asked);
    bool marks = strstr(all, "decimal") != NULL || strstr(all, "date can be") != NULL ||
                 strstr(all, "its date as") != NULL;
    cr_expect_eq(marks, table[i].asks != NULL, "%zu: %s", i, all);
    cr_expect(table[i].asks == NULL || strstr(all, table[i].asks) != NULL, "%zu: %s", i, all);
    bool both = strstr(bt_text_get(&hinted), "nothing reads yet, line") != NULL;
    cr_expect_eq(both, table[i].hints != NULL, "%zu: %s", i, bt_text_get(&hinted));
    cr_expect(table[i].hints == NULL || strstr(bt_text_get(&hinted), table[i].hints) != NULL,
              "%zu: %s", i, bt_text_get(&hinted));
    bt_text_free(&asked);
    bt_text_free(&hinted);
    bt_survey_free(preview);
  }
}

/* A diary of what was done: recognised, and its map reads it once the # are off. */
Test(intake_previews, a_diary_of_events) {
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
Test(intake_previews, what_is_no_diary_of_events) {
  static const char *const logs[] = {
      "Date,Laser,Done,Ist\n2026-01-02,A,gas changed,1.6\n2026-01-05,A,gas changed,1.61\n",
      "Date,Laser,Gas changed\n2026-01-02,A,yes\n2026-01-05,A,no\n",
      "Date,Laser,Done\n2026-01-02,A,gas 1\n2026-01-02,A,gas 2\n2026-01-02,A,gas 3\n"
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
Test(intake_previews, remarks_that_are_a_diary) {
  static const char diary[] = "date,remark\n2026-01-12,gas changed\n2026-01-15,gas changed\n"
                              "2026-01-18,new bottle\n";
  bt_survey *survey = NULL, *preview = preview_of(diary, &room);
  bt_error error = {0};
  cr_expect(preview->has_done);
  cr_expect_eq(preview->done_column, 1);
  for (size_t i = 0; i < preview->hints_n; i++)
    cr_expect_null(strstr(preview->hints[i], "not stored"), "%s", preview->hints[i]);
  cr_assert_eq(bt_survey_file(preview->path, &room, &survey, &error), BT_OK, "%s", error.text);
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

/* What a preview says of files that hold no reading, and not of those that do. */
Test(intake_previews, without_readings) {
  static const struct {
    const char *text, *hint; /* NULL: it holds readings, or what was done */
  } table[] = {
      {"2026-01-12 gas\n2026-01-15 gas\n", "part date and words by a semicolon"},
      {"Gas refills\n12 Jan 2026: gas refill\n15 Jan 2026: gas\n",
       "part date and words by a semicolon"},
      {"date\n2026-01-12\n2026-01-15\n", "the file is a list of days"},
      {"2026-01-12 07:30\n2026-01-15 07:31\n", "the file is a list of days"},
      {"Tag;Was\n04 Sep 2025;neu befuellt\n", "names the column of words"},
      {"date,remark\n2026-01-12,seen\n", "names the column of words"},
      {"date,refill\n2026-01-12,yes\n2026-01-15,yes\n", "names the column of words"},
      {"date,refill,energy_mj\n2026-01-12,yes,1.6\n", NULL},
      {"date,remark,energy_mj\n2026-01-12,gas changed,1.6\n", NULL},
      {"Tag;Messwert\n2026-01-12;1,6\n", NULL},
      {"date,pattern\n2026-01-12,clean\n", NULL},
      {"date;Selbsttest\n2026-01-12;bestanden\n2026-01-13;bestanden\n", NULL},
      {"date,event\n2026-01-12,gas_refill\n", NULL},
      {"Tag;Was\n2026-01-12;gas changed\n", NULL},
      {"Tag;Was\n", NULL},
  };
  for (size_t i = 0; i < sizeof table / sizeof *table; i++) {
    bt_survey *preview = preview_of(table[i].text, &room);
    bool said = false;
    cr_expect_eq(preview->no_readings, table[i].hint != NULL, "%s", table[i].text);
    for (size_t k = 0; k < preview->hints_n && table[i].hint != NULL; k++)
      said = said || strstr(preview->hints[k], table[i].hint) != NULL;
    cr_expect_eq(said, table[i].hint != NULL, "%s", table[i].text);
    bt_survey_free(preview);
  }
}

/* A month by its name needs no order: none is said, and none stands in the map. */
Test(intake_previews, months_by_name) {
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

/* A column called event whose texts are the clinic's own: a line for each, by its likeliest kind,
 * also said by an import. Those that an event is called by need none. */
Test(intake_previews, events_in_words_of_their_own) {
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

Test(intake_previews, words_that_tell_of_events) {
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

/* No key takes two numbers; a self-test's count is one thing. */
Test(intake_previews, two_numbers_in_a_cell) {
  bt_survey *preview = preview_of("Datum;Tracker;Selbsttest\n17.08.2026;2 / -7;17/18\n"
                                  "18.08.2026;-3 / 1,5;18/18\n",
                                  &room);
  size_t said = 0;
  for (size_t i = 0; i < preview->hints_n; i++)
    said += strstr(preview->hints[i], "\"Tracker\" has two numbers in a cell (2 / -7)") != NULL;
  cr_expect_eq(said, 1);
  bt_text map = {0};
  bt_map_starter(preview, &map);
  must_have(&map, "\"Tracker\" (words): two numbers in a cell; part it into two columns\n");
  must_have(&map, "# selftest_passed = Selbsttest\n");
  cr_expect_null(strstr(bt_text_get(&map), "= Tracker"), "%s", bt_text_get(&map));
  bt_text_free(&map);
  bt_survey_free(preview);
}

/* Words and counts in one column: the words mean as many as the counts have, and both are read. */
Test(intake_previews, a_self_test_in_words_and_counts) {
  static const char log[] = "date;energy_mj;Selbsttest\n2026-01-02;1,61;i.O.\n"
                            "2026-01-03;1,61;17 von 18\n2026-01-04;1,62;i.O.\n";
  char *map = starter_of(&room, log);
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

/* "passed" and "failed" are a self-test's count of one, whatever the column is called. */
Test(intake_previews, a_self_test_in_words) {
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

/* What a bare "Ist mJ" is shows by the target beside it. */
Test(intake_previews, an_energy_beside_its_target) {
  char *map = starter_of(NULL, "Datum;Soll mJ;Ist mJ\n13.01.2026;1,60;1,612\n");
  cr_expect_not_null(strstr(map, "# target_mj = Soll mJ\n"), "%s", map);
  cr_expect_not_null(strstr(map, "perhaps energy_mj\n# energy_mj = Ist mJ\n"), "%s", map);
  free(map);
}

/* Offsets are taken as micrometres: said where no header has the unit. */
Test(intake_previews, offsets_without_a_unit) {
  static const struct {
    const char *text;
    bool said;
  } table[] = {{"date,unit,Offset X,Offset Y\n2026-01-02,A,1.5,2.5\n", true},
               {"date,unit,Offset X (mm),Offset Y (mm)\n2026-01-02,A,0.015,0.025\n", false},
               {"date,unit,offset_x_um,offset_y_um\n2026-01-02,A,1.5,2.5\n", false},
               {"date,unit,Tracker X µm\n2026-01-02,A,1.5\n", false}};
  for (size_t i = 0; i < sizeof table / sizeof *table; i++) {
    bt_survey *preview = preview_of(table[i].text, NULL);
    bool said = false;
    for (size_t k = 0; k < preview->hints_n; k++)
      said = said || strstr(preview->hints[k], "taken as µm") != NULL;
    cr_expect_eq(said, table[i].said, "%s", table[i].text);
    bt_survey_free(preview);
  }
}
