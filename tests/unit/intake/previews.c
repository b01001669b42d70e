/* Previews: questions instead of refusals, first values, headers by their shape. */
#include "previewed.h"

#include <criterion/criterion.h>
#include <stdlib.h>
#include <string.h>

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
    bt_survey *survey = NULL, *preview = preview_of(table[i].text, &one_room);
    bt_error error = {0};
    cr_assert_geq(preview->questions_n, 1, "%zu", i);
    cr_expect_eq(strncmp(preview->questions[0], table[i].asks, strlen(table[i].asks)), 0, "%zu: %s",
                 i, preview->questions[0]);
    cr_expect_eq(preview->columns_n, table[i].columns, "%zu", i);
    cr_expect_eq(bt_survey_file(preview->path, &one_room, &survey, &error), BT_INPUT, "%zu", i);
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

/* The header once more, where logs were joined, shows no values of its columns. */
Test(intake_previews, first_values_without_the_header_again) {
  static const char text[] = "Fecha;Energía;Nota\n;mJ;\nFecha;Energía;Nota\n17.08.2026;1,6;Nota\n";
  bt_survey *preview = preview_of(text, &one_room);
  cr_assert_eq(preview->columns_n, 3);
  cr_expect_str_eq(preview->columns[1].header, "Energía (mJ)");
  for (size_t i = 0; i < 3; i++)
    cr_assert_eq(preview->columns[i].first_n, 1, "%zu", i);
  cr_expect_str_eq(preview->columns[0].first[0], "17.08.2026");
  cr_expect_str_eq(preview->columns[1].first[0], "1,6");
  cr_expect_str_eq(preview->columns[2].first[0], "Nota", "a value all the same");
  bt_survey_free(preview);
}

/* A line of units is no row, and its units are those of the columns; a map that names a column
 * without its unit still finds it. */
Test(intake_previews, a_line_of_units_below_the_header) {
  static const char text[] = "Report of room 2,,,\nDate,Start,Energy,Depth,Room\n"
                             "dd.mm.yyyy,hh:mm,[mJ],mm,\n17.08.2026,07:30,1.6,0.051,warm\n"
                             "18.08.2026,07:31,1.7,0.052,warm\n";
  bt_survey *preview = preview_of(text, &one_room);
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
  char *map = starter_of(&one_room, text);
  map_must_have(&(bt_text){.data = map, .length = strlen(map)}, "plate_depth_um = Depth (mm)\n");
  map_must_have(&(bt_text){.data = map, .length = strlen(map)}, "plate_depth_um = mm\n");
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
    preview = preview_of(rows[i], &one_room);
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
    cr_expect_eq(bt_preview_file(file_of_text(diaries[i]), &one_room, &survey, &error), BT_INPUT,
                 "%zu", i);
    cr_expect_not_null(strstr(error.text, "a diary of sentences, not a table"), "%s", error.text);
    error = (bt_error){0};
    cr_expect_eq(bt_survey_file(file_of_text(diaries[i]), &one_room, &survey, &error), BT_INPUT);
    cr_expect_not_null(strstr(error.text, "a diary of sentences, not a table"), "%s", error.text);
    const bt_reading_choices told = {.delimiter = ',', .unit = (char[]){"A"}};
    bt_survey_free(preview_of(diaries[i], &told));
  }
  for (size_t i = 0; i < sizeof tables / sizeof *tables; i++)
    bt_survey_free(preview_of(tables[i], &one_room));
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
    bt_survey *preview = preview_of(table[i].text, &one_room);
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
    bt_survey *preview = preview_of(table[i].text, &one_room);
    bool said = false;
    cr_expect_eq(preview->no_readings, table[i].hint != NULL, "%s", table[i].text);
    for (size_t k = 0; k < preview->hints_n && table[i].hint != NULL; k++)
      said = said || strstr(preview->hints[k], table[i].hint) != NULL;
    cr_expect_eq(said, table[i].hint != NULL, "%s", table[i].text);
    bt_survey_free(preview);
  }
}

/* No key takes two numbers; a self-test's count is one thing. */
Test(intake_previews, two_numbers_in_a_cell) {
  bt_survey *preview = preview_of("Datum;Tracker;Selbsttest\n17.08.2026;2 / -7;17/18\n"
                                  "18.08.2026;-3 / 1,5;18/18\n",
                                  &one_room);
  size_t said = 0;
  for (size_t i = 0; i < preview->hints_n; i++)
    said += strstr(preview->hints[i], "\"Tracker\" has two numbers in a cell (2 / -7)") != NULL;
  cr_expect_eq(said, 1);
  bt_text map = {0};
  bt_map_starter(preview, &map);
  map_must_have(&map, "\"Tracker\" (words): two numbers in a cell; part it into two columns\n");
  map_must_have(&map, "# selftest_passed = Selbsttest\n");
  cr_expect_null(strstr(bt_text_get(&map), "= Tracker"), "%s", bt_text_get(&map));
  bt_text_free(&map);
  bt_survey_free(preview);
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
