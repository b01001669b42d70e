/* Logs in long form: one row a reading, adjacent rows of one unit and time a check. */
#include "gather.h"

#include <criterion/criterion.h>
#include <stdlib.h>
#include <string.h>

static bt_own_characteristic own[] = {
    {(char[]){"door_force"}, (char[]){"Door closing force"}, (char[]){"N"}, 1}};

static void gather_by(const char *map, const char *log, kept *k, bt_reading_choices *choices) {
  bt_error error = {0};
  cr_assert_eq(read_map(map, own, 1, choices, &error), BT_OK, "%s", error.text);
  gather(file_of_text(log), choices, k);
}

/* Recognised by itself: keys, headers and titles as names, texts among them. */
Test(intake_long, recognised_by_its_header) {
  static const char log[] = "Time,Date,Laser,Parameter,Value,Operator\n"
                            "08:05,17/08/2026,A,Energy (mJ),1.61,op1\n"
                            "08:05,17/08/2026,A,target_mj,1.60,op1\n"
                            "08:05,17/08/2026,A,self-test passed,17/18,op1\n"
                            "08:05,17/08/2026,A,pattern,pass,op1\n"
                            "08:05,17/08/2026,A,Door closing force (N),35,op1\n"
                            "08:05,17/08/2026,A,Remark,\"two\nlines\",op1\n"
                            "08:05,17/08/2026,A,hv_kv,-,op1\n"
                            "08:05,17/08/2026,B,energy_mj,1.5,\n"
                            "08:05,18/08/2026,A,state,as left,op2\n"
                            "08:05,18/08/2026,A,refill,before,\n"
                            "08:05,18/08/2026,A,energy_mj,1.62,op2\n";
  bt_reading_choices choices = {.own = own, .own_n = 1};
  kept k;
  gather(file_of_text(log), &choices, &k);
  cr_assert_eq(k.status, BT_OK, "%s", k.error.text);
  cr_expect(k.survey->long_form);
  cr_expect_eq(k.survey->rows, 11);
  cr_assert_eq(k.refusals_n, 0, "%s", k.reasons[0]);
  cr_assert_eq(k.checks_n, 3);
  cr_expect_eq(k.checks[0].time, at("2026-08-17T08:05"));
  cr_expect_eq(reading(&k, 0, BT_READING_ENERGY_MJ), 1.61);
  cr_expect_eq(reading(&k, 0, BT_READING_TARGET_MJ), 1.6);
  cr_expect_eq(reading(&k, 0, BT_READING_SELFTEST_PASSED), 17.0);
  cr_expect_eq(reading(&k, 0, BT_READING_SELFTEST_TOTAL), 18.0);
  cr_expect(!bt_check_has(&k.checks[0], BT_READING_HV_KV));
  cr_expect_str_eq(k.patterns[0], "pass");
  cr_expect_str_eq(k.remarks[0], "two\nlines");
  cr_expect_str_eq(k.operators[0], "op1");
  cr_expect_str_eq(k.own[0], "door_force 35");
  cr_expect(k.checks[0].line == 2 && k.checks[0].last_line == 8, "%lld",
            (long long)k.checks[0].last_line);
  cr_expect_str_eq(k.units[1], "B");
  cr_expect(k.checks[1].line == 10 && k.checks[1].last_line == 10);
  cr_expect_eq(k.checks[2].state, BT_AS_LEFT);
  cr_expect_eq(k.checks[2].refill, BT_REFILL_BEFORE);
  cr_expect(k.checks[2].line == 11 && k.checks[2].last_line == 13);
  cr_expect_not_null(strstr(k.survey->source.reading, "\nform long\n"));
  gather_free(&k);
}

/* "Value" alone, or beside other readings, makes no long form. */
Test(intake_long, not_recognised) {
  static const char *const logs[] = {
      "date,unit,energy_mj,value\n2026-08-17,A,1.5,x\n",
      "date,unit,energy_mj,parameter,value\n2026-08-17,A,1.5,hv_kv,3\n",
      "date,unit,energy_mj,parameter\n2026-08-17,A,1.5,hv_kv\n",
      "Parameter,Value\nserial,12\ndate,unit,energy_mj\n2026-08-17,A,1.5\n",
  };
  for (size_t i = 0; i < sizeof logs / sizeof *logs; i++) {
    kept k;
    gather(file_of_text(logs[i]), NULL, &k);
    cr_assert_eq(k.status, BT_OK, "%zu: %s", i, k.error.text);
    cr_expect(!k.survey->long_form, "%zu", i);
    cr_assert_eq(k.checks_n, 1, "%zu", i);
    cr_expect_eq(k.checks[0].present, 1U << BT_READING_ENERGY_MJ, "%zu", i);
    gather_free(&k);
  }
  kept k;
  gather(file_of_text("date,unit,event,parameter,value\n2026-08-17,A,service,x,1\n"), NULL, &k);
  cr_assert_eq(k.events_n, 1, "%s", k.error.text);
  gather_free(&k);
}

/* By a map: other words for the columns, the readings, their values and units. */
Test(intake_long, by_a_map) {
  static const char map[] = "[format]\nform = long\nunit = Suite North\n"
                            "[columns]\ndate = Zeitpunkt\ncharacteristic = Gr\xC3\xB6\xC3\x9F"
                            "e\nvalue = @3\n"
                            "[units]\nenergy_mj = J\ndoor_force = N\n"
                            "[values]\n"
                            "energy_mj = Gr\xC3\xB6\xC3\x9F"
                            "e, Pulse energy | Energie\n"
                            "selftest_passed = Gr\xC3\xB6\xC3\x9F"
                            "e, Selbsttest\n"
                            "selftest_passed.18 = @3, bestanden\n"
                            "selftest_total.18 = @3, bestanden\n"
                            "pattern = Gr\xC3\xB6\xC3\x9F"
                            "e, Muster\npattern.pass = @3, bestanden\n"
                            "door_force = Gr\xC3\xB6\xC3\x9F"
                            "e, T\xC3\xBCr\ndoor_force.0 = @3, offen\n"
                            "refill = Gr\xC3\xB6\xC3\x9F"
                            "e, Gas\nevent.gas_refill = @3, ja, after\n"
                            "event.optics_cleaned = Gr\xC3\xB6\xC3\x9F"
                            "e, Optik gereinigt\n"
                            "not_stored = Gr\xC3\xB6\xC3\x9F"
                            "e, Raumlicht | Lampe\n";
  static const char log[] = "Zeitpunkt;Gr\xC3\xB6\xC3\x9F"
                            "e;Wert\n"
                            "17.08.2026 08:05;energie;0,00161\n"
                            "17.08.2026 08:05;Selbsttest;bestanden\n"
                            "17.08.2026 08:05;Muster;bestanden\n"
                            "17.08.2026 08:05;T\xC3\xBCr;offen\n"
                            "17.08.2026 08:05;Raumlicht;an\n"
                            "17.08.2026 08:05;Gas;ja\n"
                            "17.08.2026 08:05;Optik gereinigt;x\n"
                            "18.08.2026 08:05;Pulse energy;0,00162\n"
                            "18.08.2026 08:05;Gas;no\n"
                            "18.08.2026 08:05;Optik gereinigt;no\n"
                            "18.08.2026 08:05;hv_kv;27,5\n"
                            "19.08.2026 08:05;Lampe;7\n";
  kept k;
  bt_reading_choices choices;
  gather_by(map, log, &k, &choices);
  cr_assert_eq(k.status, BT_OK, "%s", k.error.text);
  cr_assert_eq(k.refusals_n, 0, "%s", k.reasons[0]);
  cr_assert_eq(k.checks_n, 2);
  cr_expect_float_eq(reading(&k, 0, BT_READING_ENERGY_MJ), 1.61, 1e-12);
  cr_expect_eq(reading(&k, 0, BT_READING_SELFTEST_PASSED), 18.0);
  cr_expect_eq(reading(&k, 0, BT_READING_SELFTEST_TOTAL), 18.0);
  cr_expect_str_eq(k.patterns[0], "pass", "one word means another thing for each reading");
  cr_expect_str_eq(k.own[0], "door_force 0");
  cr_expect_eq(k.checks[0].refill, BT_REFILL_AFTER);
  cr_expect_eq(k.checks[0].last_line, 8);
  cr_expect_float_eq(reading(&k, 1, BT_READING_ENERGY_MJ), 1.62, 1e-12);
  cr_expect_eq(reading(&k, 1, BT_READING_HV_KV), 27.5);
  cr_expect_eq(k.checks[1].refill, BT_REFILL_NONE);
  cr_assert_eq(k.events_n, 1);
  cr_expect_eq(k.events[0].kind, BT_EVENT_OPTICS_CLEANED);
  cr_expect(k.events[0].line == 2 && k.events[0].last_line == 8);
  cr_expect_not_null(strstr(k.survey->source.reading, "reading energy_mj in J\n"), "%s",
                     k.survey->source.reading);
  gather_free(&k);
  bt_reading_choices_free(&choices);
}

/* What begins the next check of the same time, and what doesn't. */
Test(intake_long, next_checks_of_one_time) {
#define HEAD "date,unit,parameter,value,state,remark\n"
#define DAY  "2026-08-17,A,"
  static const struct {
    const char *log;
    size_t checks;
    int64_t second; /* first line of the second check; 0: there is none */
  } table[] = {
      {HEAD DAY "energy_mj,1,,\n" DAY "hv_kv,2,,\n" DAY "energy_mj,1,,\n" DAY "hv_kv,2,,\n", 2, 4},
      {HEAD DAY "energy_mj,1,as found,\n" DAY "hv_kv,2,as left,\n", 2, 3},
      {HEAD DAY "energy_mj,1,as found,\n" DAY "hv_kv,2,,\n" DAY "rh_pct,3,as found,\n", 1, 0},
      {HEAD DAY "energy_mj,1,,loud\n" DAY "hv_kv,2,,warm\n" DAY "rh_pct,2,,warm\n", 1, 0},
      {HEAD DAY "remark,loud,,\n" DAY "remark,loud,,\n", 2, 3},
      {HEAD DAY "pattern,a,,\n" DAY "energy_mj,1,,\n" DAY "pattern,b,,\n", 2, 4},
      {HEAD DAY "door_force,1,,\n" DAY "energy_mj,1,,\n" DAY "door_force,1,,\n", 2, 4},
      {HEAD DAY "state,as found,,\n" DAY "energy_mj,1,,\n" DAY "state,as left,,\n", 2, 4},
      {HEAD DAY "refill,before,,\n" DAY "energy_mj,1,,\n" DAY "refill,before,,\n" DAY "hv_kv,2,,\n",
       2, 4},
      {HEAD DAY "selftest_passed,17/18,,\n" DAY "selftest_total,18,,\n", 1, 0},
      {HEAD DAY "selftest_total,18,,\n" DAY "selftest_passed,17/18,,\n", 1, 0},
      {HEAD DAY "selftest_passed,17/18,,\n" DAY "selftest_total,19,,\n", 2, 3},
      {HEAD DAY "selftest_passed,17/18,,\n" DAY "selftest_total,18,,\n" DAY "selftest_total,18,,\n",
       2, 4},
      {HEAD DAY "energy_mj,1,,\n" DAY "hv_kv,,,\n" DAY "hv_kv,2,,\n", 1, 0},
      {HEAD DAY "energy_mj,,,\n" DAY "hv_kv,n/a,,\n", 0, 0},
      {HEAD DAY "energy_mj,1,,\n2026-08-17,a ,hv_kv,2,,\n", 1, 0},
      /* midnight is a time of day where some row has another */
      {HEAD DAY "energy_mj,1,,\n2026-08-17 00:00,A,hv_kv,2,,\n", 1, 0},
      {HEAD DAY "energy_mj,1,,\n2026-08-17 00:00,A,hv_kv,2,,\n2026-08-18 07:00,A,hv_kv,2,,\n", 3,
       3},
  };
  for (size_t i = 0; i < sizeof table / sizeof *table; i++) {
    bt_reading_choices choices = {.own = own, .own_n = 1};
    kept k;
    gather(file_of_text(table[i].log), &choices, &k);
    cr_assert_eq(k.status, BT_OK, "%zu: %s", i, k.error.text);
    cr_expect_eq(k.refusals_n, 0, "%zu: %s", i, k.reasons[0]);
    cr_assert_eq(k.checks_n, table[i].checks, "%zu: %zu checks", i, k.checks_n);
    cr_expect_eq(k.checks[1].line, table[i].second, "%zu", i);
    if (i == 3)
      cr_expect_str_eq(k.remarks[0], "loud; warm");
    gather_free(&k);
  }
}

/* Rows that can't be taken are refused one by one; their check goes on. */
Test(intake_long, refused_rows) {
  static const char log[] = "date,unit,parameter,value\n"
                            "2026-08-17,A,energy_mj,1.6\n"
                            "2026-08-17,A,enrgy_mj,secret\n"
                            "2026-08-17,A,hv_kv,secret\n"
                            "2026-08-17,A,,1\n"
                            "2026-08-17,A,rh_pct,-4\n"
                            "2026-99-17,A,rh_pct,4\n"
                            "2026-08-17,A,rh_pct\n"
                            "2026-08-17,A,temp_c,21\n"
                            "2027-08-18,A,remark,later\n"
                            "2026-08-17,A,Patient name,secret\n";
  static const struct {
    int64_t line;
    const char *column, *field, *reason;
    unsigned lost;
  } table[] = {
      {3, "parameter", "characteristic",
       "no reading is called so; the nearest is energy_mj. Say in the map's [values] which it is "
       "(energy_mj = column, name), or not_stored = column, name",
       0},
      {4, "value", "hv_kv", "expected a number with a decimal point", 0},
      {5, "parameter", "characteristic", "the row doesn't say which reading it holds", 0},
      {6, "value", "rh_pct", "a value below zero is not possible here", 0},
      {7, "date", "date", "read as year, month, day this is no day of the calendar", 0},
      {8, "(none)", "(none)", "the row has 3 fields where the header has 4", 0},
      {10, "date", "date", "2027-08-18 is in the future", BT_LOST_REMARK},
  };
  kept k;
  bt_reading_choices choices;
  gather_by("[format]\ndates = ymd\n", log, &k, &choices);
  cr_assert_eq(k.status, BT_INPUT, "a date of the future stands between rows of one time");
  gather_free(&k);
  bt_reading_choices_free(&choices);

  char shorter[512];
  (void)snprintf(shorter, sizeof shorter, "%.*s2027-08-18,A,remark,later\n",
                 (int)(strstr(log, "2027") - log), log);
  gather(file_of_text(shorter), NULL, &k);
  cr_assert_eq(k.status, BT_OK, "%s", k.error.text);
  cr_assert_eq(k.checks_n, 1);
  cr_expect_eq(reading(&k, 0, BT_READING_ENERGY_MJ), 1.6);
  cr_expect_eq(reading(&k, 0, BT_READING_TEMP_C), 21.0);
  cr_expect(k.checks[0].line == 2 && k.checks[0].last_line == 9);
  cr_assert_eq(k.refusals_n, sizeof table / sizeof *table);
  for (size_t i = 0; i < k.refusals_n; i++) {
    cr_expect_eq(k.refusals[i].line, table[i].line, "%zu", i);
    cr_expect_str_eq(k.columns[i], table[i].column, "%zu", i);
    cr_expect_str_eq(k.fields[i], table[i].field, "%zu", i);
    cr_expect_eq(strncmp(k.reasons[i], table[i].reason, strlen(table[i].reason)), 0, "%zu: %s", i,
                 k.reasons[i]);
    cr_expect_null(strstr(k.reasons[i], "secret"), "%s", k.reasons[i]);
    cr_expect_eq(k.refusals[i].lost, table[i].lost, "%zu", i);
  }
  gather_free(&k);
}

/* Rows of a patient's identity are passed over, even where a map asks for them, and never shown. */
Test(intake_long, identities_are_never_read) {
  static const char log[] = "date,unit,parameter,value\n2026-08-17,A,Patient name,secret\n"
                            "2026-08-17,A,energy_mj,1.6\n";
  kept k;
  bt_reading_choices choices;
  gather_by("[values]\nremark = parameter, Patient name\n", log, &k, &choices);
  cr_assert_eq(k.checks_n, 1, "%s", k.error.text);
  cr_expect_eq(k.refusals_n, 0);
  cr_expect_str_eq(k.remarks[0], "(none)");
  gather_free(&k);
  bt_reading_choices_free(&choices);
  bt_survey *preview = NULL;
  bt_error error = {0};
  cr_assert_eq(bt_preview_file(file_of_text(log), NULL, &preview, &error), BT_OK);
  cr_assert_eq(preview->columns[3].first_n, 1);
  cr_expect_str_eq(preview->columns[3].first[0], "1.6");
  cr_assert_eq(preview->names_n, 2);
  cr_expect(preview->names[0].identity && preview->names[0].first_n == 0);
  cr_expect_str_eq(preview->names[1].key, "energy_mj");
  bt_survey_free(preview);
}

/* Rows of one unit and time must stand together; the order of dates decides which those are. */
Test(intake_long, rows_that_do_not_stand_together) {
#define LONG "date,time,unit,parameter,value\n"
  static const struct {
    const char *log;
    const char *says; /* NULL: fine */
  } table[] = {
      {LONG "2026-08-17,08:05,A,hv_kv,1\n2026-08-18,08:05,A,hv_kv,1\n2026-08-17,08:05,A,rh_pct,1\n",
       "line 4 goes back to 2026-08-17T08:05 behind line 3; sort the file by unit, date and time"},
      {LONG "2026-08-17,08:05,A,hv_kv,1\n2026-08-17,08:05,B,hv_kv,1\n2026-08-17,08:05,A,rh_pct,1\n",
       "line 4 goes back to 2026-08-17T08:05 behind line 2"},
      {LONG "2026-08-19,08:05,A,hv_kv,1\n2026-08-18,08:05,A,hv_kv,1\n2026-08-20,08:05,A,rh_pct,1\n",
       "line 4 goes back to 2026-08-20T08:05 behind line 3"},
      {LONG "2026-08-19,08:05,A,hv_kv,1\n2026-08-18,08:05,B,hv_kv,1\n2026-08-18,08:05,A,rh_pct,1\n"
            "2026-08-19,08:05,B,hv_kv,1\n",
       NULL},
      {LONG "17/08/2026,08:05,A,hv_kv,1\n01/09/2026,08:05,A,hv_kv,1\n02/09/2026,08:05,A,hv_kv,1\n",
       NULL},
      {LONG "01/17/2026,08:05,A,hv_kv,1\n01/02/2026,08:05,A,hv_kv,1\n02/01/2026,08:05,A,hv_kv,1\n",
       "line 4 goes back to 2026-02-01T08:05 behind line 3"},
  };
  for (size_t i = 0; i < sizeof table / sizeof *table; i++) {
    kept k;
    gather(file_of_text(table[i].log), NULL, &k);
    cr_expect_eq(k.status, table[i].says == NULL ? BT_OK : BT_INPUT, "%zu: %s", i, k.error.text);
    if (table[i].says != NULL)
      cr_expect_not_null(strstr(k.error.text, table[i].says), "%zu: %s", i, k.error.text);
    gather_free(&k);
  }
}

/* A file of ever new lasers is no log, and its memory is bounded. */
Test(intake_long, too_many_units) {
  for (int n = 4096; n <= 4097; n++) {
    bt_text text = {0};
    bt_survey *survey = NULL;
    bt_error error = {0};
    bt_text_add(&text, LONG);
    for (int i = 0; i < n; i++)
      bt_text_format(&text, "2026-08-17,08:05,unit %d,hv_kv,1\n", i);
    bt_status status =
        bt_survey_file(file_of(bt_text_get(&text), text.length), NULL, &survey, &error);
    cr_expect_eq(status, n == 4096 ? BT_OK : BT_INPUT, "%d: %s", n, error.text);
    cr_expect(status == BT_OK || strstr(error.text, "more than 4096 lasers") != NULL);
    bt_survey_free(survey);
    bt_text_free(&text);
  }
}

typedef struct count {
  int checks, refusals;
  double hv;
} count;

static bt_status count_check(void *context, const bt_check *check, bt_error *error) {
  count *c = context;
  (void)error;
  c->checks++;
  c->hv = check->reading[BT_READING_HV_KV];
  return BT_OK;
}

static bt_status count_refusal(void *context, const bt_refusal *refusal, bt_error *error) {
  count *c = context;
  (void)error;
  c->refusals += refusal->field != NULL;
  return BT_OK;
}

/* More names than are kept are all read; only the first 64 are shown. */
Test(intake_long, many_names) {
  bt_text text = {0}, map = {0};
  bt_survey *preview = NULL, *survey = NULL;
  bt_error error = {0};
  bt_reading_choices choices;
  bt_text_add(&text, LONG);
  for (int i = 0; i < 100; i++)
    bt_text_format(&text, "2026-08-17,08:05,A,name %d,%d\n", i, i);
  bt_text_add(&text, "2026-08-17,08:05,A,rh_pct,27\n");
  bt_text_add(&map, "[values]\nhv_kv = parameter, name 99\n");
  cr_assert_eq(read_map(bt_text_get(&map), own, 1, &choices, &error), BT_OK, "%s", error.text);
  cr_assert_eq(bt_preview_file(file_of_text(bt_text_get(&text)), &choices, &preview, &error), BT_OK,
               "%s", error.text);
  cr_expect_eq(preview->names_n, 64);
  cr_assert_eq(preview->questions_n, 1);
  cr_expect_not_null(strstr(preview->questions[0], "\"name 0\", \"name 1\""));
  cr_expect_not_null(strstr(preview->questions[0], "and 56 more"), "%s", preview->questions[0]);
  cr_assert_eq(bt_survey_file(preview->path, &choices, &survey, &error), BT_OK, "%s", error.text);
  count c = {0};
  bt_sink sink = {&c, count_check, NULL, count_refusal};
  cr_assert_eq(bt_load_file(survey, at("2026-12-31"), &sink, &error), BT_OK, "%s", error.text);
  cr_expect(c.checks == 1 && c.refusals == 99 && c.hv == 99.0, "%d refused", c.refusals);
  bt_survey_free(preview);
  bt_survey_free(survey);
  bt_reading_choices_free(&choices);
  bt_text_free(&text);
  bt_text_free(&map);
}

Test(intake_long, mistakes) {
  static const struct {
    const char *map, *log, *says;
  } table[] = {
      {"[columns]\ndate = date\ncharacteristic = p\n", "", "needs both under [columns]"},
      {"[format]\nform = long\n[columns]\ndate = date\n", "", "needs both under [columns]"},
      {"[units]\nhv_kv = V\n", "", "[units] has hv_kv, but [columns] doesn't"},
      {"[format]\nform = long\n[units]\nhv_kv = J\n", "", "\"J\" can't be converted to kV"},
      {"[format]\nform = long\n", "date,unit,energy_mj\n2026-08-17,A,1\n",
       "the map says form = long, but no column is called characteristic"},
      {"[columns]\ndate = date\nunit = u\ncharacteristic = p\nvalue = v\nhv_kv = hv\n",
       "date,u,p,v,hv\n2026-08-17,A,rh_pct,1,2\n",
       "the log is in long form (one row a reading), so"},
      {"[values]\nhv_kv.1 = parameter, x\n", "date,unit,parameter,value\n2026-08-17,A,x,1\n",
       "give a name in the column \"parameter\" the meaning hv_kv.1; there a cell names a reading"},
      {"[values]\nhv_kv = value, x\n", "date,unit,parameter,value\n2026-08-17,A,x,1\n",
       "only in a log in long form, and in its column of names"},
      {"", "date,unit,parameter,reading,value\n2026-08-17,A,hv_kv,1,1\n",
       "the columns 3 and 4 would both be read as characteristic"},
      {"", "date,unit,parameter,value\n2026-08-17,A,refill,yes\n",
       "the column \"value\" notes a gas refill (line 2: \"yes\")"},
  };
  for (size_t i = 0; i < sizeof table / sizeof *table; i++) {
    bt_reading_choices choices;
    bt_error error = {0};
    kept k = {0};
    if (read_map(table[i].map, own, 1, &choices, &error) == BT_OK) {
      gather(file_of_text(table[i].log), &choices, &k);
      error = k.error;
      cr_expect_eq(k.status, BT_INPUT, "%zu", i);
      gather_free(&k);
      bt_reading_choices_free(&choices);
    }
    cr_expect_not_null(strstr(error.text, table[i].says), "%zu: %s", i, error.text);
  }
}

/* The preview's names, its hint, and a starter map by which the log is read. */
Test(intake_long, starter_map) {
  static const char log[] = "Datum;Laser;Parameter;Wert\n17.08.2026;A;Pulsenergie (J);0,0016\n"
                            "17.08.2026;A;Gaswechsel;ja\n17.08.2026;A;hv_kv;27\n";
  static const char half[] = "[columns]\ndate = Datum\nunit = Laser\ncharacteristic = Parameter\n"
                             "value = Wert\n[values]\nnot_stored = Parameter, Gaswechsel\n";
  bt_survey *preview = NULL;
  bt_error error = {0};
  bt_text map = {0};
  bt_reading_choices choices, again;
  cr_assert_eq(bt_preview_file(file_of_text(log), NULL, &preview, &error), BT_OK);
  cr_assert_geq(preview->questions_n, 2);
  cr_expect_not_null(strstr(preview->questions[0], "seems to have one row a reading (\"Parameter\" "
                                                   "its name, \"Wert\" its value)"),
                     "%s", preview->questions[0]);
  bt_map_starter(preview, &map);
  cr_expect_not_null(
      strstr(bt_text_get(&map), "unit = Laser\ncharacteristic = Parameter\nvalue = Wert\n"), "%s",
      bt_text_get(&map));
  bt_survey_free(preview);
  bt_text_free(&map);

  cr_assert_eq(read_map(half, own, 1, &choices, &error), BT_OK, "%s", error.text);
  cr_assert_eq(bt_preview_file(file_of_text(log), &choices, &preview, &error), BT_OK);
  cr_expect(preview->long_form);
  cr_assert_eq(preview->questions_n, 1);
  cr_expect_not_null(strstr(preview->questions[0], "one name is not known: \"Pulsenergie (J)\""),
                     "%s", preview->questions[0]);
  cr_assert_eq(preview->names_n, 3);
  cr_expect_str_eq(preview->names[1].key, "not_stored");
  cr_expect_str_eq(preview->names[2].first[0], "27");
  bt_map_starter(preview, &map);
  cr_expect_not_null(strstr(bt_text_get(&map), "[format]\nform = long\n"));
  cr_expect_not_null(strstr(bt_text_get(&map), "\n[values]\nnot_stored = Parameter, Gaswechsel\n"));
  cr_expect_not_null(strstr(bt_text_get(&map), "\n# energy_mj = Parameter, Pulsenergie (J)\n"),
                     "%s", bt_text_get(&map));
  cr_expect_not_null(strstr(bt_text_get(&map), "\n# not_stored = Parameter, Pulsenergie (J)\n"));
  cr_expect_not_null(strstr(bt_text_get(&map), "[units]\n# energy_mj = J\n"), "%s",
                     bt_text_get(&map));
  cr_expect_eq(read_map(bt_text_get(&map), own, 1, &again, &error), BT_OK, "%s", error.text);
  cr_expect(again.long_form && again.values_n == 1);
  bt_reading_choices_free(&again);
  bt_reading_choices_free(&choices);
  bt_survey_free(preview);
  bt_text_free(&map);
}

/* One of the two by its name, the other by its words alone. */
Test(intake_long, supposed_by_one_name) {
  static const char *const logs[] = {
      "date,unit,what,value\n2026-08-17,A,energy_mj,1.61\n",
      "date,unit,characteristic,Messwert\n2026-08-17,A,energy_mj,1.61\n"};
  for (size_t i = 0; i < sizeof logs / sizeof logs[0]; i++) {
    bt_survey *preview = NULL;
    bt_error error = {0};
    cr_assert_eq(bt_preview_file(file_of_text(logs[i]), NULL, &preview, &error), BT_OK);
    cr_expect(preview->long_form, "%zu", i);
    cr_assert_geq(preview->questions_n, 1);
    cr_expect_not_null(strstr(preview->questions[0], "seems to have one row a reading"), "%zu: %s",
                       i, preview->questions[0]);
    bt_survey_free(preview);
  }
}

/* Known by the words of its header alone, none of which is a key: shown as what it seems to be, for
 * a map to say; the column of units of measurement is pointed out. */
Test(intake_long, supposed_by_its_words) {
  static const char log[] = "Datum;Zeit;Gerät;Messgröße;Wert;Einheit\n"
                            "03.02.2026;7:31;L1;Energie Ist;1,61;mJ\n"
                            "03.02.2026;7:31;L1;Versatz x;3;µm\n"
                            "13.02.2026;7:31;L1;Versatz y (µm);3;µm\n";
  bt_survey *preview = NULL, *survey = NULL;
  bt_error error = {0};
  bt_text map = {0}, hints = {0};
  cr_assert_eq(bt_preview_file(file_of_text(log), NULL, &preview, &error), BT_OK);
  cr_expect(preview->long_form);
  cr_assert_eq(preview->names_n, 3);
  cr_expect_str_eq(preview->names[1].first[0], "3");
  for (size_t i = 0; i < preview->hints_n; i++)
    bt_text_format(&hints, "%s\n", preview->hints[i]);
  cr_expect_not_null(strstr(bt_text_get(&hints), "\"Datum\", \"Zeit\", \"Gerät\". "), "%s",
                     bt_text_get(&hints));
  bt_map_starter(preview, &map);
  static const char *const lines[] = {
      "form = long\ndelimiter = semicolon\ndecimal = comma\ndates = dmy\n",
      "\n[columns]\ncharacteristic = Messgröße\nvalue = Wert\n"
      "value_unit = Einheit\n",
      "\n# date = Datum\n",
      "\n# time = Zeit\n",
      "\n# unit = Gerät\n",
      "# energy_mj = Messgröße, Energie Ist\n",
      "\"Versatz x\" is no reading that is known; take the # off one line, or not_stored:\n"
      "# offset_x_um = Messgröße, Versatz x\n# not_stored",
      "# offset_y_um = Messgröße, Versatz y (µm)\n# not_stored"};
  for (size_t i = 0; i < sizeof lines / sizeof lines[0]; i++)
    cr_expect_not_null(strstr(bt_text_get(&map), lines[i]), "%s: %s", lines[i], bt_text_get(&map));
  cr_expect_eq(bt_survey_file(preview->path, NULL, &survey, &error), BT_INPUT,
               "an import supposes nothing");
  bt_survey_free(preview);
  bt_text_free(&hints);
  bt_text_free(&map);
}

/* The unit of measurement in a column of its own is followed row by row; where the log names the
 * laser elsewhere, "Unit" is that column. */
Test(intake_long, a_column_of_units_is_followed) {
  static const char *const heads[] = {"Date,Laser,Parameter,Value,Unit\n",
                                      "Date,Laser,Parameter,Value,Units\n"};
  static const char rows[] = "2026-08-17,A,energy_mj,0.0016,J\n2026-08-17,A,target_mj,1.61,mJ\n"
                             "2026-08-17,A,hv_kv,24200,V\n2026-08-17,A,temp_c,70.7,°F\n"
                             "2026-08-17,A,selftest_passed,17/18,parts\n"
                             "2026-08-18,A,energy_mj,1600,µJ\n2026-08-18,A,target_mj,1.61,\n"
                             "2026-08-19,A,energy_mj,1.6,bar\n";
  for (size_t i = 0; i < 2; i++) {
    char log[512];
    kept k;
    (void)snprintf(log, sizeof log, "%s%s", heads[i], rows);
    gather(file_of_text(log), NULL, &k);
    cr_assert_eq(k.status, BT_OK, "%s", k.error.text);
    cr_assert_eq(k.checks_n, 2);
    cr_expect_str_eq(k.units[0], "A");
    cr_expect_float_eq(reading(&k, 0, BT_READING_ENERGY_MJ), 1.6, 1e-12);
    cr_expect_float_eq(reading(&k, 0, BT_READING_TARGET_MJ), 1.61, 1e-12);
    cr_expect_float_eq(reading(&k, 0, BT_READING_HV_KV), 24.2, 1e-12);
    cr_expect_float_eq(reading(&k, 0, BT_READING_TEMP_C), 21.5, 1e-9);
    cr_expect_float_eq(reading(&k, 0, BT_READING_SELFTEST_PASSED), 17, 0);
    cr_expect_float_eq(reading(&k, 1, BT_READING_ENERGY_MJ), 1.6, 1e-12);
    cr_assert_eq(k.refusals_n, 1);
    cr_expect_not_null(strstr(k.reasons[0], "the unit can't be converted to the mJ of energy_mj"),
                       "%s", k.reasons[0]);
    cr_expect_str_eq(k.values[0], "bar");
    gather_free(&k);
  }
  bt_reading_choices wide;
  bt_error error = {0};
  bt_survey *survey = NULL;
  cr_assert_eq(read_map("[columns]\ndate = date\nunit = laser\nenergy_mj = E\nvalue_unit = U\n",
                        own, 1, &wide, &error),
               BT_OK, "%s", error.text);
  cr_expect_eq(
      bt_survey_file(file_of_text("date,laser,E,U\n2026-08-17,A,1.6,mJ\n"), &wide, &survey, &error),
      BT_INPUT);
  cr_expect_not_null(strstr(error.text, "value_unit is the unit of a row's reading"), "%s",
                     error.text);
  bt_reading_choices_free(&wide);
}

/* A name that says another unit is not read as it stands before somebody said so. */
Test(intake_long, a_unit_in_the_name_must_be_told) {
  static const char map[] = "[columns]\ndate = Date\nunit = Laser\ncharacteristic = What\n"
                            "value = Is\n[values]\nenergy_mj = What, Energy (J)\n";
  static const char log[] = "Date,Laser,What,Is\n2026-08-17,A,Energy (J),0.0016\n";
  static const struct {
    const char *units;
    double energy; /* 0: refused */
  } table[] = {{"", 0}, {"[units]\nenergy_mj = J\n", 1.6}, {"[units]\nenergy_mj = mJ\n", 0.0016}};
  for (size_t i = 0; i < sizeof table / sizeof *table; i++) {
    char whole[512];
    bt_reading_choices choices;
    kept k;
    (void)snprintf(whole, sizeof whole, "%s%s", map, table[i].units);
    gather_by(whole, log, &k, &choices);
    cr_assert_eq(k.status, BT_OK, "%s", k.error.text);
    cr_expect_eq(k.refusals_n, table[i].energy == 0);
    if (table[i].energy == 0)
      cr_expect_not_null(strstr(k.reasons[0], "its name says J, and energy_mj is in mJ"), "%s",
                         k.reasons[0]);
    else
      cr_expect_float_eq(reading(&k, 0, BT_READING_ENERGY_MJ), table[i].energy, 1e-12);
    gather_free(&k);
    bt_reading_choices_free(&choices);
  }
}
