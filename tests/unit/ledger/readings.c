/* How two readings of a log differ, by the texts that intake gives (intake/reading_text.c). */
#include "helpers.h"
#include "reading_private.h"

#include <stdlib.h>

TestSuite(ledger_readings, .fini = test_cleanup);

#define HEAD(line) "encoding UTF-8\ndelimiter 44\ndecimal point\ndates none\nheader " line "\n"
#define E_IST      "column 2 energy_mj \"E Ist\"\n"

static const char *const plain = HEAD("1") "column 1 date \"Tag\"\n" E_IST;

Test(ledger_readings, the_same_and_what_differs) {
  static const struct {
    const char *now;
    bool same, loses;
    const char *says;
  } table[] = {
      {HEAD("1") "column 1 date \"Tag\"\n" E_IST, true, false, ""},
      {HEAD("1") "column 1 date \"Tag\"\n" E_IST "mapfile a.ini\n", true, false, ""},
      /* what a column is called decides nothing; a line of units is no row */
      {HEAD("2") "column 1 date \"Tag\"\ncolumn 2 energy_mj \"E Ist (mJ)\"\n", true, false,
       "header 1 then, 2 now"},
      /* a mark or an order that no row needs */
      {"encoding UTF-8\ndelimiter 44\ndecimal point\ndates dmy\nheader 1\ncolumn 1 date "
       "\"Tag\"\n" E_IST,
       true, false, ""},
      {"encoding UTF-8\ndelimiter 44\ndecimal point\ndates dmy with years of two digits\n"
       "header 1\ncolumn 1 date \"Tag\"\n" E_IST,
       false, false, "dates none then, dmy with years of two digits now"},
      {"encoding UTF-8\ndelimiter 44\ndecimal none\ndates none\nheader 1\ncolumn 1 date "
       "\"Tag\"\n" E_IST,
       true, false, ""},
      {HEAD("3") "column 1 date \"Tag\"\n" E_IST, false, false, "header 1 then, 3 now"},
      {HEAD("2") "column 1 date \"Tag\"\ncolumn 2 target_mj \"E Ist (mJ)\"\n", false, true,
       "header 1 then, 2 now; column 2 energy_mj \"E Ist\" then, target_mj \"E Ist (mJ)\" now"},
      {HEAD("1") "column 1 date \"Tag\"\ncolumn 2 energy_mj \"E Ist\" in J\n", false, true,
       "column 2 energy_mj \"E Ist\" then, energy_mj \"E Ist\" in J now"},
      {HEAD("1") "column 1 date \"Tag\"\n", false, true,
       "column 2 energy_mj \"E Ist\": then, but not now"},
      {HEAD("1") "column 1 date \"Tag\"\n" E_IST "column 3 temp_c \"T\"\n", false, false,
       "column 3 temp_c \"T\": not then, but now"},
      {"encoding UTF-8\ndelimiter 44\ndecimal comma\ndates dmy\nheader 1\nunit A\n"
       "column 1 date \"Tag\"\n" E_IST "value event.service \"Tag\" \"x\" \n",
       false, false,
       "decimal point then, comma now; unit A: not then, but now; value event.service \"Tag\" "
       "\"x\" : not then, but now"},
      /* a header of two lines, as older versions wrote it */
      {HEAD("1") "column 1 date \"Tag\ndes Jahres\"\ncolumn 2 energy_mj \"E\nIst\"\n", true, false,
       ""},
      {HEAD("1") "column 1 date \"Tag\ndes Jahres\"\ncolumn 2 energy_mj \"E\nIst\" in J\n", false,
       true, "column 2 energy_mj \"E Ist\" then, energy_mj \"E\nIst\" in J now"},
      {"x\ny\nz\n", false, true, "; and 6 more"}};
  for (size_t i = 0; i < sizeof table / sizeof *table; i++) {
    bt_text words = {0};
    ledger_reading_differs(plain, table[i].now, &words);
    cr_expect_eq(ledger_reading_same(plain, table[i].now), table[i].same, "%zu", i);
    cr_expect_eq(ledger_reading_loses(plain, table[i].now), table[i].loses, "%zu", i);
    if (table[i].says[0] == ';')
      cr_expect_not_null(strstr(bt_text_get(&words), table[i].says), "%s", bt_text_get(&words));
    else
      cr_expect_str_eq(bt_text_get(&words), table[i].says, "%zu: %s", i, bt_text_get(&words));
    bt_text_free(&words);
  }
}

Test(ledger_readings, headers_and_maps) {
  static const char *const fits[] = {"Tag", "E Ist", "T"}, *const units[] = {"Tag", "E Ist (mJ)"},
                           *const other[] = {"Tag", "E Soll"}, *const less[] = {"Tag"};
  cr_expect(ledger_reading_fits(plain, fits, 3));
  cr_expect(ledger_reading_fits(plain, units, 2));
  cr_expect_not(ledger_reading_fits(plain, other, 2));
  cr_expect_not(ledger_reading_fits(plain, less, 1));
  cr_expect_not(ledger_reading_fits("", fits, 3));
  static const char of_lines[] = HEAD("1") "column 1 date \"Tag\"\ncolumn 2 energy_mj \"E\nIst\"\n";
  cr_expect(ledger_reading_fits(of_lines, fits, 3));
  cr_expect(ledger_reading_fits(of_lines, units, 2));
  cr_expect_not(ledger_reading_fits(of_lines, other, 2));
  static const char of_words[] = HEAD("1") E_IST "value event.service \"T\" \"x\" \n";
  cr_expect(ledger_reading_fits(of_words, fits, 3));
  cr_expect_not(ledger_reading_fits(of_words, units, 2));
  cr_expect(ledger_reading_fits(HEAD("1") E_IST "value pattern \"@9\" \"x\" ok\n", fits, 3));
  cr_expect_null(ledger_reading_map(plain));
  char *map = ledger_reading_map("header 1\nmapfile log of A.ini\n");
  cr_expect_str_eq(map, "log of A.ini");
  free(map);
}

static bt_status begin(bt_ledger *ledger, const char *name, const char *reading, bt_import **import,
                       bool *repeated, bt_error *error) {
  bt_source source = test_source(name);
  source.reading = reading;
  return bt_import_begin(ledger, &source, NULL, true, TEST_NOW, import, repeated, error);
}

/* A file whose line of units an older version refused as a row is no other reading today. */
Test(ledger_readings, a_line_of_units) {
  bt_ledger *ledger = test_ledger();
  bt_import *import = NULL;
  bt_import_counts counts;
  bt_error error = {0};
  bool repeated = false;
  bt_check check = test_check("A", "2026-01-05T08:00", 1, 3);
  const bt_refusal refusal = {.line = 2, .reason = "the row has no date; fill it in"};
  cr_ok(begin(ledger, "log", plain, &import, &repeated, &error), error);
  cr_ok(bt_import_refusal(import, &refusal, &error), error);
  cr_ok(bt_import_check(import, &check, &error), error);
  cr_ok(bt_import_commit(import, &counts, &error), error);
  cr_ok(begin(ledger, "log", HEAD("2") "column 1 date \"Tag\"\ncolumn 2 energy_mj \"E Ist (mJ)\"\n",
              &import, &repeated, &error),
        error);
  cr_expect(repeated && import == NULL);
  cr_expect_eq(
      begin(ledger, "log", HEAD("2") "column 1 date \"Tag\"\n", &import, &repeated, &error),
      BT_REFUSED);
  cr_expect_not_null(strstr(error.text, "(another map or other reading options: header 1 then, 2 "
                                        "now; column 2 energy_mj \"E Ist\": then, but not now)"),
                     "%s", error.text);
  test_close_whole(ledger);
}

/* The newest of a log's kind decides, by its name before its columns. */
Test(ledger_readings, of_logs_before) {
  static const char *const headers[] = {"Tag", "E Ist"};
  static const char now[] = HEAD("1") "column 1 date \"Tag\"\n";
  bt_ledger *ledger = test_ledger();
  bt_read_before before;
  bt_error error = {0};
  const struct {
    const char *name, *reading;
  } logs[] = {{"may.csv", HEAD("1") "column 1 date \"Tag\"\n" E_IST "mapfile may.ini\n"},
              {"june.csv", HEAD("1") "column 1 date \"Tag\"\n" E_IST},
              {"july.csv", now}};
  bt_source source = test_source("august.csv");
  source.reading = now;
  for (size_t i = 0; i < sizeof logs / sizeof *logs; i++) {
    bt_import *import = NULL;
    bool repeated = false;
    bt_import_counts counts;
    bt_check check = test_check("A", "2026-01-05T08:00", (double)(i + 1), 3);
    check.time += (bt_time)i * BT_DAY;
    cr_ok(begin(ledger, logs[i].name, logs[i].reading, &import, &repeated, &error), error);
    cr_ok(bt_import_check(import, &check, &error), error);
    cr_ok(bt_import_commit(import, &counts, &error), error);
    cr_ok(bt_ledger_read_before(ledger, &source, headers, 2, &before, &error), error);
    cr_expect_eq(before.name != NULL, i < 2, "%zu", i);
    if (before.name != NULL) {
      cr_expect_str_eq(before.name, logs[i].name);
      cr_expect_eq(before.map != NULL, i == 0);
      cr_expect_str_eq(before.differs, "column 2 energy_mj \"E Ist\": then, but not now");
    }
    bt_read_before_free(&before);
  }
  bt_source grown = test_source("grown");
  grown.name = "may.csv";
  grown.reading = now;
  cr_ok(bt_ledger_read_before(ledger, &grown, headers, 2, &before, &error), error);
  cr_expect_str_eq(before.map, "may.ini");
  bt_read_before_free(&before);
  grown.reading = NULL; /* it can't be read as it is */
  cr_ok(bt_ledger_read_before(ledger, &grown, NULL, 0, &before, &error), error);
  cr_expect_str_eq(before.map, "may.ini");
  cr_expect_null(before.differs);
  bt_read_before_free(&before);
  grown.name = "june.csv";
  cr_ok(bt_ledger_read_before(ledger, &grown, NULL, 0, &before, &error), error);
  cr_expect_null(before.name);
  test_close_whole(ledger);
}
