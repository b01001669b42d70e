/* What the texts of cells mean by a map: numbers, several meanings of one cell, self-tests, doors
 * and patterns in words; columns of the clinic's own; tables of our own export. */
#include "gather.h"

#include <criterion/criterion.h>
#include <stdlib.h>
#include <string.h>

static bt_own_characteristic own[] = {
    {(char[]){"door"}, (char[]){"Door"}, (char[]){""}, 0},
    {(char[]){"door_force"}, (char[]){"Door closing force"}, (char[]){"N"}, 1}};

static void gather_by(const char *map, const char *log, kept *k, bt_reading_choices *choices) {
  bt_error error = {0};
  cr_assert_eq(read_map(map, own, 2, choices, &error), BT_OK, "%s", error.text);
  gather(file_of_text(log), choices, k);
}

/* Self-test, door and pattern in words; one cell gives passed and total. */
Test(intake_meanings, words_for_self_test_door_and_pattern) {
  static const char map[] =
      "[columns]\ndate = Datum\nunit = Laser\nenergy_mj = E\npattern = Muster\n"
      "[values]\n"
      "selftest_passed.18 = Selbsttest, bestanden | ok\n"
      "selftest_total.18 = Selbsttest, bestanden | ok | Shutter\n"
      "selftest_passed.17 = Selbsttest, Shutter\n"
      "selftest_failed.shutter = Selbsttest, Shutter\n"
      "door.1 = T\xC3\xBCr, zu\ndoor.0.5 = T\xC3\xBCr, angelehnt\ndoor.-1 = T\xC3\xBCr, offen\n"
      "pattern.pass = Muster, i.O. | gut\n"
      "event.optics_cleaned = Muster, gut\n";
  static const char log[] = "Datum;Laser;E;Muster;Selbsttest;T\xC3\xBCr\n"
                            "2026-08-17;A;1,61;i.O.;bestanden;ZU\n"
                            "2026-08-18;A;1,62;schlecht;Shutter;angelehnt\n"
                            "2026-08-19;A;1,63;gut;OK;offen\n"
                            "2026-08-20;A;1,64;;-;\n"
                            "2026-08-21;A;1,65;;kaputt;zu\n"
                            "2026-08-22;A;1,66;;18;zu\n";
  kept k;
  bt_reading_choices choices;
  gather_by(map, log, &k, &choices);
  cr_assert_eq(k.status, BT_OK, "%s", k.error.text);
  cr_assert_eq(k.checks_n, 4, "%s", k.reasons[0]);
  cr_expect_eq(reading(&k, 0, BT_READING_SELFTEST_PASSED), 18.0);
  cr_expect_eq(reading(&k, 0, BT_READING_SELFTEST_TOTAL), 18.0);
  cr_expect_eq(reading(&k, 1, BT_READING_SELFTEST_PASSED), 17.0);
  cr_expect_eq(reading(&k, 1, BT_READING_SELFTEST_TOTAL), 18.0);
  cr_expect_eq(reading(&k, 2, BT_READING_SELFTEST_PASSED), 18.0);
  cr_expect_str_eq(k.failed[0], "(none)");
  cr_expect_str_eq(k.failed[1], "shutter");
  cr_expect_str_eq(k.own[0], "door 1");
  cr_expect_str_eq(k.own[1], "door 0.5");
  cr_expect_str_eq(k.own[2], "door -1");
  cr_expect_str_eq(k.own[3], "");
  cr_expect_str_eq(k.patterns[0], "pass");
  cr_expect_str_eq(k.patterns[1], "schlecht");
  cr_expect_str_eq(k.patterns[2], "pass");
  cr_assert_eq(k.events_n, 1);
  cr_expect_eq(k.events[0].time, at("2026-08-19"));
  cr_expect(!bt_check_has(&k.checks[3], BT_READING_SELFTEST_PASSED));
  /* A word that the map doesn't give is not passed over: it may be the failing self-test. */
  cr_assert_eq(k.refusals_n, 2);
  cr_expect(k.refusals[0].line == 6 && k.refusals[1].line == 7);
  cr_expect_str_eq(k.columns[0], "Selbsttest");
  cr_expect_str_eq(k.values[0], "kaputt");
  cr_expect_not_null(strstr(k.reasons[0], "the map's [values] read this column but not this text"));
  gather_free(&k);
  bt_reading_choices_free(&choices);
}

/* Two cells may say one thing of a row; a "no" takes no refill away, and neither cell wins where
 * they differ. */
Test(intake_meanings, two_cells_give_the_state_or_the_refill) {
  kept k;
  bt_reading_choices choices;
  gather_by("[columns]\ndate = d\nunit = u\nhv_kv = hv\nstate = state\nrefill = refill\n"
            "[values]\nstate.as_left = phase, last\nevent.gas_refill = gas, yes, before\n",
            "d,u,hv,gas,phase,state,refill\n"
            "2026-08-17,A,27.1,yes,last,as_left,no\n"
            "2026-08-18,A,27.2,-,-,as_found,after\n"
            "2026-08-19,A,27.3,yes,-,-,before\n"
            "2026-08-20,A,27.4,yes,-,-,after\n"
            "2026-08-21,A,27.5,-,last,as_found,-\n",
            &k, &choices);
  cr_assert_eq(k.checks_n, 3, "%s", k.error.text);
  cr_expect_eq(k.checks[0].refill, BT_REFILL_BEFORE);
  cr_expect_eq(k.checks[0].state, BT_AS_LEFT);
  cr_expect_eq(k.checks[1].refill, BT_REFILL_AFTER);
  cr_expect_eq(k.checks[1].state, BT_AS_FOUND);
  cr_expect_eq(k.checks[2].refill, BT_REFILL_BEFORE);
  cr_assert_eq(k.refusals_n, 2);
  cr_expect_str_eq(k.columns[0], "refill");
  cr_expect_not_null(strstr(k.reasons[0], "two cells of the row note a refill"));
  cr_expect_str_eq(k.columns[1], "state");
  cr_expect_not_null(strstr(k.reasons[1], "two cells of the row give its state"));
  gather_free(&k);
  bt_reading_choices_free(&choices);
}

/* A row that only tells of an event is that event: nothing was checked. */
Test(intake_meanings, a_row_of_an_event_alone_is_no_check) {
  kept k;
  bt_reading_choices choices;
  gather_by("[columns]\ndate = when\nunit = room\nhv_kv = hv\n"
            "[values]\nevent.service = done, service visit\n",
            "when,room,hv,done\n2026-03-03,A,,service visit\n2026-03-04,A,27.1,service visit\n"
            "2026-03-05,A,,\n",
            &k, &choices);
  cr_assert_eq(k.checks_n, 1, "%s", k.error.text);
  cr_expect_eq(reading(&k, 0, BT_READING_HV_KV), 27.1);
  cr_expect_eq(k.events_n, 2);
  cr_assert_eq(k.refusals_n, 1);
  cr_expect_not_null(strstr(k.reasons[0], "a date but no reading"));
  gather_free(&k);
  bt_reading_choices_free(&choices);
}

/* A refill too: with a reading it says on which side of it, without one it is an event. */
Test(intake_meanings, a_row_of_a_refill_alone_is_no_check) {
  kept k;
  bt_reading_choices choices;
  gather_by("[columns]\ndate = when\nunit = room\nhv_kv = hv\nremark = seen\n"
            "[values]\nevent.gas_refill = done, new gas, before\n",
            "when,room,hv,done,seen\n2026-03-03,A,,new gas,\n2026-03-04,A,27.1,new gas,\n"
            "2026-03-05,A,,new gas,loud\n",
            &k, &choices);
  cr_assert_eq(k.checks_n, 2, "%s", k.error.text);
  cr_expect_eq(k.checks[0].refill, BT_REFILL_BEFORE);
  cr_expect_eq(k.checks[1].refill, BT_REFILL_BEFORE, "a remark is kept with its check");
  cr_assert_eq(k.events_n, 1);
  cr_expect_eq(k.events[0].kind, BT_EVENT_GAS_REFILL);
  cr_expect_eq(k.events[0].time, at("2026-03-03"));
  cr_expect_eq(k.events[0].line, 2);
  gather_free(&k);
  bt_reading_choices_free(&choices);
  gather(file_of_text("date,unit,hv_kv,refill\n2026-03-03,A,,after\n2026-03-04,A,27,after\n"), NULL,
         &k);
  cr_expect_eq(k.checks_n, 1, "%s", k.error.text);
  cr_expect_eq(k.events_n, 1);
  gather_free(&k);
}

/* A column that is read as a reading takes numbers, and its words by the map. */
Test(intake_meanings, words_among_numbers) {
  kept k;
  bt_reading_choices choices;
  gather_by("[columns]\ndate = d\nunit = u\nhv_kv = hv\n[values]\nhv_kv.0 = hv, off\n",
            "d,u,hv\n2026-08-17,A,27.5\n2026-08-18,A,OFF\n2026-08-19,A,on\n", &k, &choices);
  cr_assert_eq(k.checks_n, 2, "%s", k.error.text);
  cr_expect_eq(reading(&k, 0, BT_READING_HV_KV), 27.5);
  cr_expect_eq(reading(&k, 1, BT_READING_HV_KV), 0.0);
  cr_assert_eq(k.refusals_n, 1);
  cr_expect_eq(strncmp(k.reasons[0], "expected a number with a decimal point", 38), 0);
  gather_free(&k);
  bt_reading_choices_free(&choices);
}

/* "46 %": a unit behind its number, the column's own or one that converts; no other. */
Test(intake_meanings, a_unit_in_the_cell) {
  kept k;
  bt_reading_choices none = {.own = own, .own_n = 2};
  gather(file_of_text("date;unit;energy_mj;rh_pct;temp_c;door_force\n"
                      "2026-08-17;A;1,61 mJ;46 %;22,5\xC2\xB0\x43;38,3 N\n"
                      "2026-08-18;A;1,6e-3 J;46%;295,65 K;+38 N \n"
                      "2026-08-19;A;1,61 V;46;22;38\n"
                      "2026-08-20;A;1,61;46;22;38 kN\n"
                      "2026-08-21;A;1,61 mJ ok;46;22;38\n"),
         &none, &k);
  cr_assert_eq(k.status, BT_OK, "%s", k.error.text);
  cr_expect_eq(k.survey->decimal, BT_DECIMAL_COMMA, "numbers with a unit say it as well");
  cr_assert_eq(k.checks_n, 2, "%s", k.reasons[0]);
  cr_expect_eq(reading(&k, 0, BT_READING_ENERGY_MJ), 1.61);
  cr_expect_eq(reading(&k, 0, BT_READING_RH_PCT), 46);
  cr_expect_eq(reading(&k, 0, BT_READING_TEMP_C), 22.5);
  cr_expect_str_eq(k.own[0], "door_force 38.3");
  cr_expect_float_eq(reading(&k, 1, BT_READING_ENERGY_MJ), 1.6, 1e-15);
  cr_expect_float_eq(reading(&k, 1, BT_READING_TEMP_C), 22.5, 1e-12);
  cr_expect_str_eq(k.own[1], "door_force 38");
  cr_assert_eq(k.refusals_n, 3);
  cr_expect_not_null(strstr(k.reasons[0], "behind the number is its unit, mJ"), "%s", k.reasons[0]);
  cr_expect_not_null(strstr(k.reasons[1], "is its unit, N"), "%s", k.reasons[1]);
  cr_expect_str_eq(k.fields[1], "door_force");
  cr_expect_str_eq(k.fields[2], "energy_mj");
  gather_free(&k);
}

/* A text with a comma or a bar in quotation marks; also a header. */
Test(intake_meanings, texts_with_commas) {
  kept k;
  bt_reading_choices choices;
  gather_by("[columns]\ndate = d\nunit = u\nenergy_mj = e\n[values]\n"
            "pattern.pass = \"look, of it\", \"round, centred\" | \"a|b\" |plain\n"
            "pattern.fail = \"look, of it\", \"say \"\"no\"\"\"\n"
            "event.gas_refill = \"look, of it\", \"gas, new\", before\n",
            "d;u;e;look, of it\n2026-08-17;A;1;round, centred\n2026-08-18;A;1;a|b\n"
            "2026-08-19;A;1;plain\n2026-08-20;A;1;\"say \"\"no\"\"\"\n"
            "2026-08-21;A;1;gas, new\n",
            &k, &choices);
  cr_assert_eq(k.status, BT_OK, "%s", k.error.text);
  cr_assert_eq(k.checks_n, 5, "%s", k.reasons[0]);
  static const char *const patterns[] = {"pass", "pass", "pass", "fail"};
  for (size_t i = 0; i < 4; i++)
    cr_expect_str_eq(k.patterns[i], patterns[i]);
  cr_expect_eq(k.checks[4].refill, BT_REFILL_BEFORE);
  gather_free(&k);
  bt_reading_choices_free(&choices);
}

/* "17/18" and "17 of 18", in other languages too, in the column of what passed, nowhere else. */
Test(intake_meanings, how_many_of_how_many) {
  static const struct {
    const char *cell, *total;
    double passed, of;
    const char *refused;
  } table[] = {{"18/18", "", 18, 18, NULL},
               {"17 of 18", "", 17, 18, NULL},
               {" 17 / 18 ", "18", 17, 18, NULL},
               {"17 OF 18", "", 17, 18, NULL},
               {"18", "18", 18, 18, NULL},
               {"17/18", "19", 0, 0, "two cells of the row give selftest_total"},
               {"17/18/19", "", 0, 0, "expected a number"},
               {"17 von 18", "", 17, 18, NULL},
               {"17 sur 18", "", 17, 18, NULL},
               {"17 bis 18", "", 0, 0, "expected a number"},
               {"17of18", "", 0, 0, "expected a number"},
               {"/18", "", 0, 0, "expected a number"},
               {"17/", "", 0, 0, "expected a number"},
               {"-1/18", "", 0, 0, "expected a number"},
               {"1.5/18", "", 0, 0, "expected a number"},
               {"12345678901/18", "", 0, 0, "expected a number"},
               {"18", "17/18", 0, 0, "expected a number"}};
  for (size_t i = 0; i < sizeof table / sizeof *table; i++) {
    char log[256];
    kept k;
    (void)snprintf(log, sizeof log,
                   "date,unit,selftest_passed,selftest_total\n2026-08-17,A,%s,%s\n", table[i].cell,
                   table[i].total);
    gather(file_of_text(log), NULL, &k);
    cr_assert_eq(k.status, BT_OK, "%s: %s", table[i].cell, k.error.text);
    if (table[i].refused != NULL) {
      cr_assert_eq(k.refusals_n, 1, "%s", table[i].cell);
      cr_expect_not_null(strstr(k.reasons[0], table[i].refused), "%s: %s", table[i].cell,
                         k.reasons[0]);
    } else {
      cr_expect_eq(reading(&k, 0, BT_READING_SELFTEST_PASSED), table[i].passed, "%s",
                   table[i].cell);
      cr_expect_eq(reading(&k, 0, BT_READING_SELFTEST_TOTAL), table[i].of, "%s", table[i].cell);
    }
    gather_free(&k);
  }
}

/* A refused row lost a failing self-test, however that is written. */
Test(intake_meanings, a_refused_row_with_a_failing_self_test) {
  kept k;
  bt_reading_choices choices;
  gather(file_of_text("date,unit,energy_mj,selftest_passed\n2026-08-17,A,x,17/18\n"
                      "2026-08-18,A,x,18/18\n2026-08-19,A,1.5,1\n"),
         NULL, &k);
  cr_assert_eq(k.refusals_n, 2, "%s", k.error.text);
  cr_expect(k.refusals[0].lost == BT_LOST_SELFTEST && k.refusals[1].lost == 0);
  gather_free(&k);
  gather_by("[columns]\ndate = d\nunit = u\nenergy_mj = e\n[values]\n"
            "selftest_passed.0 = st, bad\nselftest_passed.1 = st, good\n"
            "selftest_total.1 = st, good | bad\n",
            "d,u,e,st\n2026-08-17,A,x,bad\n2026-08-18,A,x,good\n2026-08-19,A,1.5,good\n", &k,
            &choices);
  cr_assert_eq(k.refusals_n, 2, "%s", k.error.text);
  cr_expect(k.refusals[0].lost == BT_LOST_SELFTEST && k.refusals[1].lost == 0);
  gather_free(&k);
  bt_reading_choices_free(&choices);
}

Test(intake_meanings, mistakes) {
  static const struct {
    const char *map;
    int line;
    const char *says;
  } table[] = {
      {"[values]\nselftest_passed.x = S, y\n", 2, "expected a number behind \"selftest_passed.\""},
      {"[values]\nselftest_passed.1,5 = S, y\n", 2,
       "expected a number behind \"selftest_passed.\""},
      {"[values]\nselftest_passed. = S, y\n", 2, "expected a number behind \"selftest_passed.\""},
      {"[values]\nselftest_passed.-1 = S, y\n", 2, "selftest_passed can't be below zero"},
      {"[values]\nhv_kv.1e12 = S, y\n", 2, "expected a number behind \"hv_kv.\""},
      {"[values]\ndoor.open = S, y\n", 2, "expected a number behind \"door.\""},
      {"[values]\ndor.1 = S, y\n", 2, "\"dor.1\" is no key of [values]; it has event.gas_refill"},
      {"[values]\nhv_kv.1 = S, y\nhv_kv.2 = s, Y\n", 3,
       "\"Y\" in the column \"s\" means hv_kv already; take one out"},
      {"[values]\nhv_kv = S, y\nenergy_mj = S, y\n", 3, "\"y\" in the column \"S\" means hv_kv"},
      {"[values]\nhv_kv.1 = S, y, before\n", 2, "found \"before\" behind the cell's text"},
      {"[columns]\ndor = x\n", 2, "\"dor\" is no canonical column; do you mean door?"},
      {"[columns]\ndoor = x\ndoor_force = y\n[units]\ndoor_force = kN\n", 5,
       "door_force is a characteristic of the clinic's own, in \"N\": its readings are taken as"},
      {"[format]\nform = tall\n", 2, "expected wide or long, found \"tall\""},
  };
  for (size_t i = 0; i < sizeof table / sizeof table[0]; i++)
    map_must_be_refused(table[i].map, own, 2, table[i].line, table[i].says);
  /* Without a log in long form no cell is the name of a reading. */
  kept k;
  bt_reading_choices choices;
  gather_by("[values]\nhv_kv = energy_mj, x\n", "date,unit,energy_mj\n2026-08-17,A,1\n", &k,
            &choices);
  cr_expect_eq(k.status, BT_INPUT);
  cr_expect_not_null(strstr(k.error.text, "have \"hv_kv\" without what it means there"), "%s",
                     k.error.text);
  gather_free(&k);
  bt_reading_choices_free(&choices);
}

/* A refused row that notes a refill, in whatever way: it is listed first and says so. */
Test(intake_meanings, a_refused_row_with_a_refill) {
  static const char said[] = "; the gas refill that the row notes is lost with it";
  kept k;
  bt_reading_choices choices;
  gather(file_of_text("date,unit,energy_mj,refill\n2026-08-17,A,x,before\n2026-08-18,A,x,no\n"
                      "2026-08-19,A,1.5,\n"),
         NULL, &k);
  cr_assert_eq(k.refusals_n, 2, "%s", k.error.text);
  cr_expect(k.refusals[0].lost == BT_LOST_REFILL && k.refusals[1].lost == 0);
  cr_expect(strstr(k.reasons[0], said) != NULL && strstr(k.reasons[1], said) == NULL, "%s",
            k.reasons[0]);
  gather_free(&k);
  gather_by("[columns]\ndate = d\nunit = u\nenergy_mj = e\n[values]\n"
            "event.gas_refill = g, new gas, before\n",
            "d,u,e,g\n2026-08-17,A,x,new gas\n2026-08-18,A,x,none\n2026-08-19,A,1.5,new gas\n", &k,
            &choices);
  cr_assert_eq(k.refusals_n, 2, "%s", k.error.text);
  cr_expect(k.refusals[0].lost == BT_LOST_REFILL && k.refusals[1].lost == 0);
  cr_expect(strstr(k.reasons[0], said) != NULL && strstr(k.reasons[1], said) == NULL);
  gather_free(&k);
  bt_reading_choices_free(&choices);
}

/* Own columns by key, by title, by map; their numbers are heard for the decimal mark. */
Test(intake_meanings, columns_of_the_clinics_own) {
  kept k;
  bt_reading_choices none = {.own = own, .own_n = 2}, choices;
  gather(file_of_text("date;unit;Door closing force (N);DOOR;energy_mj\n"
                      "2026-08-17;A;35,5;1;2\n2026-08-18;A;-;0;2\n2026-08-19;A;x;0;2\n"
                      "2026-08-20;A;1e13;0;2\n"),
         &none, &k);
  cr_assert_eq(k.status, BT_OK, "%s", k.error.text);
  cr_assert_eq(k.checks_n, 2, "%s", k.reasons[0]);
  cr_expect_str_eq(k.own[0], "door_force 35.5, door 1");
  cr_expect_str_eq(k.own[1], "door 0");
  cr_assert_eq(k.refusals_n, 2);
  cr_expect_str_eq(k.fields[0], "door_force");
  cr_expect_eq(k.survey->decimal, BT_DECIMAL_COMMA);
  cr_expect_not_null(strstr(k.survey->source.reading, "column 3 door_force \"Door closing force"));
  gather_free(&k);

  /* A log of nothing else is one as well; without the settings it is not. */
  static const char alone[] = "date,unit,F\n2026-08-17,A,35.5\n";
  gather_by("[columns]\ndate = date\nunit = unit\ndoor_force = F\n[units]\ndoor_force = N\n", alone,
            &k, &choices);
  cr_assert_eq(k.status, BT_OK, "%s", k.error.text);
  cr_expect_str_eq(k.own[0], "door_force 35.5");
  gather_free(&k);
  bt_reading_choices_free(&choices);
  gather(file_of_text("date,unit,door_force\n2026-08-17,A,35.5\n"), NULL, &k);
  cr_expect_eq(k.status, BT_INPUT);
  cr_expect_not_null(strstr(k.error.text, "no column is read as a reading"));
}

/* Our own export: guards are taken off, what tells of the row is not read; other logs stay. */
Test(intake_meanings, our_own_export) {
  static const char rows[] = "2026-08-17,A,1.5,'=1+1\n2026-08-18,A,1.5,'-x\n"
                             "2026-08-19,A,1.5,'plain'\n2026-08-20,A,1.5,''=y\n"
                             "2026-08-21,A,1.5,'\n2026-08-22,A,1.5,'@ home\n";
  static const char *const taken[] = {"=1+1", "-x", "'plain'", "'=y", "'", "@ home"};
  static const char *const left[] = {"'=1+1", "'-x", "'plain'", "''=y", "'", "'@ home"};
  for (int ours = 0; ours < 2; ours++) {
    bt_text text = {0};
    kept k;
    bt_text_format(&text, "%s\n%s", "date,unit,energy_mj,remark", rows);
    if (ours) {
      bt_text_clear(&text);
      bt_text_add(&text, "date,unit,energy_mj,remark,beamtally_export,beamtally_line\n");
      for (const char *from = rows; *from != '\0';) {
        size_t n = strcspn(from, "\n");
        bt_text_format(&text, "%.*s,1,7\n", (int)n, from);
        from += n + 1;
      }
    }
    gather(file_of_text(bt_text_get(&text)), NULL, &k);
    cr_assert_eq(k.checks_n, 6, "%s", k.reasons[0]);
    for (size_t i = 0; i < 6; i++)
      cr_expect_str_eq(k.remarks[i], ours ? taken[i] : left[i]);
    gather_free(&k);
    bt_survey *preview = NULL;
    bt_error error = {0};
    cr_assert_eq(bt_preview_file(file_of_text(bt_text_get(&text)), NULL, &preview, &error), BT_OK);
    cr_expect_eq(preview->questions_n, 0);
    cr_expect_eq(preview->hints_n, 0, "its own columns are known, though not read");
    bt_survey_free(preview);
    bt_text_free(&text);
  }
}

/* What an export tells of records that don't stand is no log. */
Test(intake_meanings, past_records_of_an_export_are_refused) {
  static const char *const heads[] = {"became", "conflict"};
  for (size_t i = 0; i < sizeof heads / sizeof *heads; i++) {
    bt_text text = {0};
    bt_text_format(&text, "beamtally_export,date,unit,energy_mj,%s\n1,2026-08-17,A,1.5,corrected\n",
                   heads[i]);
    bt_survey *survey = NULL;
    bt_error error = {0};
    bt_status status = bt_survey_file(file_of_text(bt_text_get(&text)), NULL, &survey, &error);
    cr_expect_eq(status, BT_INPUT);
    cr_expect_not_null(strstr(error.text, "superseded or held back"), "%s", error.text);
    bt_survey_free(survey);
    bt_text_free(&text);
  }
}

/* What a column of numbers that nothing names could be is said, and stands in the starter map. */
Test(intake_meanings, a_column_of_numbers_that_nothing_names) {
  bt_survey *preview = NULL;
  bt_error error = {0};
  bt_text map = {0};
  bt_reading_choices choices;
  cr_assert_eq(bt_preview_file(file_of_text("date,unit,energy_mj,T\xC3\xBCr schlie\xC3\x9F"
                                            "en (kN),word\n2026-08-17,A,1.5,35,x\n"),
                               NULL, &preview, &error),
               BT_OK, "%s", error.text);
  cr_assert_eq(preview->hints_n, 1);
  static const char declared[] =
      "[characteristic 1] with key = tuer_schliessen, title = T\xC3\xBCr "
      "schlie\xC3\x9F"
      "en, unit = kN";
  cr_expect_not_null(strstr(preview->hints[0], declared), "%s", preview->hints[0]);
  cr_expect_not_null(strstr(preview->hints[0], "one column holds numbers that are not stored: "));
  bt_map_starter(preview, &map);
  cr_expect_not_null(
      strstr(bt_text_get(&map), "#   [characteristic 1]\n#   key = tuer_schliessen\n"), "%s",
      bt_text_get(&map));
  cr_expect_eq(read_map(bt_text_get(&map), own, 2, &choices, &error), BT_OK, "%s", error.text);
  bt_reading_choices_free(&choices);
  bt_text_free(&map);
  bt_survey_free(preview);
}

/* Words for "no item failed", those of several languages by themselves and any by the map. */
Test(intake_meanings, no_failed_item) {
  static const char *const words[] = {"none", "keine", "Keine", "aucun",     "ninguno",
                                      "-",    "nil",   "0",     "no faults", "all well"};
  static const char map[] = "[columns]\ndate = date\nunit = unit\nenergy_mj = energy_mj\n"
                            "selftest_failed = failed\n"
                            "[values]\nselftest_failed.none = failed, all well\n";
  bt_reading_choices choices;
  kept k;
  char log[1024] = "date,unit,energy_mj,failed\n";
  size_t n = sizeof words / sizeof words[0];
  for (size_t i = 0; i < n; i++)
    (void)snprintf(log + strlen(log), sizeof log - strlen(log), "2026-01-%02zu,A,1.6,%s\n", i + 1,
                   words[i]);
  (void)snprintf(log + strlen(log), sizeof log - strlen(log),
                 "2026-02-01,A,1.6,none but shutter\n");
  gather_by(map, log, &k, &choices);
  cr_assert_eq(k.checks_n, n + 1, "%s", k.reasons[0]);
  for (size_t i = 0; i < n; i++)
    cr_expect_null(k.checks[i].text[BT_FIELD_SELFTEST_FAILED], "%s", words[i]);
  cr_expect_not_null(k.checks[n].text[BT_FIELD_SELFTEST_FAILED]);
  gather_free(&k);
  bt_reading_choices_free(&choices);
}
