/* Dates and clocks, one by one and as a whole file. */
#include "gather.h"
#include "moment.h"

#include <criterion/criterion.h>
#include <string.h>

Test(intake_moments, read_in_an_order) {
  enum { A = BT_DATES_AUTO, Y = BT_DATES_YMD, D = BT_DATES_DMY, M = BT_DATES_MDY };
  static const struct {
    const char *date, *clock;
    int order;
    bool stated;
    const char *iso; /* NULL: refused */
    bool has_clock;
  } table[] = {
      {"2026-08-17", NULL, Y, false, "2026-08-17T00:00", false},
      {"2026-08-17", NULL, M, true, "2026-08-17T00:00", false},
      {"2026/8/7", NULL, Y, false, "2026-08-07T00:00", false},
      {"2026.08.17", NULL, Y, false, "2026-08-17T00:00", false},
      {"20260817", "08:05", Y, false, "2026-08-17T08:05", true},
      {"2026-08-17T08:05:09", NULL, Y, false, "2026-08-17T08:05:09", true},
      {"2026-08-17 08:05:09.250", NULL, Y, false, "2026-08-17T08:05:09", true},
      {"17/08/2026", "8:05", D, false, "2026-08-17T08:05", true},
      {"17-8-2026", NULL, D, false, "2026-08-17T00:00", false},
      {"08/17/2026", "8:05 PM", M, false, "2026-08-17T20:05", true},
      {"8/7/2026 12:05 am", NULL, M, false, "2026-08-07T00:05", true},
      {"8/7/2026", "12:05 p.m.", D, false, "2026-07-08T12:05", true},
      {"05.08.2026", NULL, M, false, "2026-08-05T00:00", false}, /* dots: day first ... */
      {"05.08.2026", NULL, M, true, "2026-05-08T00:00", false},  /* ... unless stated */
      {"05.08.26", NULL, D, true, "2026-08-05T00:00", false},
      {"26-08-05", NULL, Y, true, "2026-08-05T00:00", false},
      {"05/08/26", NULL, D, false, NULL, false},
      {"05/08/69", NULL, D, true, "1969-08-05T00:00", false},
      {"05/08/68", NULL, D, true, "2068-08-05T00:00", false},
      {"17/08/2026", NULL, Y, true, NULL, false},
      {"17/08/2026", NULL, M, false, NULL, false},
      {"31/04/2026", NULL, D, false, NULL, false},
      {"29.02.2026", NULL, D, false, NULL, false},
      {"29.02.2028", NULL, D, false, "2028-02-29T00:00", false},
      {"2026-13-01", NULL, Y, false, NULL, false},
      {"17/08-2026", NULL, D, false, NULL, false},
      {"17 Aug 2026", NULL, D, false, "2026-08-17T00:00", false}, /* the month named: M2 */
      {"17 Aug 2026", NULL, M, false, "2026-08-17T00:00", false},
      {"01 JUL 2026 08:05", NULL, A, false, "2026-07-01T08:05", true},
      {"1-Jul-2026", "8:05 pm", Y, false, "2026-07-01T20:05", true},
      {"1 september 2026", NULL, A, false, "2026-09-01T00:00", false},
      {"1. Sept. 2026", NULL, A, false, "2026-09-01T00:00", false},
      {"Jul 1, 2026 8:05 AM", NULL, A, false, "2026-07-01T08:05", true},
      {"July 4 2026", NULL, D, false, "2026-07-04T00:00", false},
      {"01-Jul-26", NULL, D, false, NULL, false}, /* 1 July 2026 or 26 July 2001 */
      {"01-Jul-26", NULL, D, true, "2026-07-01T00:00", false},
      {"31 Jun 2026", NULL, A, false, NULL, false},
      {"17 Okt 2026", NULL, D, false, NULL, false},
      {"17 Ju 2026", NULL, D, false, NULL, false},
      {"17 Junk 2026", NULL, D, false, NULL, false},
      {"117 Jun 2026", NULL, D, false, NULL, false},
      {"17 Jun", NULL, D, false, NULL, false},
      {"Jun 2026", NULL, D, false, NULL, false},
      {"46204", NULL, Y, false, NULL, false}, /* a spreadsheet's own count of days */
      {"46204.33", NULL, D, true, NULL, false},
      {"17/08/2026", "7.45", D, false, "2026-08-17T07:45", true}, /* M6 */
      {"17/08/2026", "13.05", D, false, "2026-08-17T13:05", true},
      {"17/08/2026", "07.00", D, false, "2026-08-17T07:00", true},
      {"17/08/2026", "7.5", D, false, NULL, false},
      {"17/08/2026", "7.75", D, false, NULL, false},
      {"17/08/2026", "7.450", D, false, NULL, false},
      {"17/08/2026", "24.00", D, false, NULL, false},
      {"17/08/2026", "7.", D, false, NULL, false},
      {"17/08/2026", "107.45", D, false, NULL, false},
      {"17/08/2026", "7.45.30", D, false, "2026-08-17T07:45:30", true},
      {"17/08/2026", "7.45 pm", D, false, "2026-08-17T19:45", true},
      {"17/08/2026", "7.45:30", D, false, NULL, false},
      {"17/08/2026", "7.45 Uhr", D, false, "2026-08-17T07:45", true},
      {"17/08/2026", "07:45 h", D, false, "2026-08-17T07:45", true},
      {"17/08/2026", "0745 hrs", D, false, NULL, false},
      {"17/08/2026", "7h45", D, false, "2026-08-17T07:45", true},
      {"17/08/2026 07H45", NULL, D, false, "2026-08-17T07:45", true},
      {"17/08/2026", "7h", D, false, NULL, false},
      {"17/08/2026", "7:45 Uhren", D, false, NULL, false},
      {"17/08/2026", "7.45.3", D, false, NULL, false},
      {"17/08/2026", "7.45.60", D, false, NULL, false},
      {"17/08/2026 7.45", NULL, D, false, "2026-08-17T07:45", true}, /* and behind a date */
      {"04.09.2025 7.45", NULL, D, false, "2025-09-04T07:45", true},
      {"04.09.2025 07.45.30", NULL, A, false, "2025-09-04T07:45:30", true},
      {"2025-09-04T07.45", NULL, Y, false, "2025-09-04T07:45", true},
      {"04.09.2025 7.75", NULL, D, false, NULL, false},
      {"04.09.2025 7.5", NULL, D, false, NULL, false},
      {"04.09.2025 7.45 gas", NULL, D, false, NULL, false},
      {"04.09.2025 7.45", "07:45", D, false, "2025-09-04T07:45", true},
      {"2026-08-17T", NULL, Y, false, NULL, false},
      {"2026-08-17x", NULL, Y, false, NULL, false},
      {"2026-08-17", "24:00", Y, false, NULL, false},
      {"2026-08-17", "8", Y, false, NULL, false},
      {"2026-08-17", "13:05 PM", Y, false, NULL, false},
      {"2026-08-17", "0:05 AM", Y, false, NULL, false},
      {"2026-08-17", "08:60", Y, false, NULL, false},
      {"2026-08-17T08:05Z", NULL, Y, false, NULL, false},
      {"2026-08-17T08:05+02:00", NULL, Y, false, NULL, false},
      {"1/2/6", NULL, D, true, NULL, false},
      {"2026-08-17 00:00:00", "08:05", Y, false, "2026-08-17T08:05", true},
      {"2026-08-17 08:05", "08:05", Y, false, "2026-08-17T08:05", true},
      {"2026-08-17 08:05", "09:05", Y, false, NULL, false},
      {"", NULL, Y, false, NULL, false},
      {"soon", NULL, A, false, NULL, false},
      {"", NULL, A, false, NULL, false},
  };
  for (size_t i = 0; i < sizeof table / sizeof table[0]; i++) {
    intake_moment moment;
    bool is = intake_moment_read(table[i].date, table[i].clock, (bt_date_order)table[i].order,
                                 table[i].stated, &moment);
    cr_expect_eq(is, table[i].iso != NULL, "\"%s\" \"%s\": %s", table[i].date,
                 table[i].clock == NULL ? "" : table[i].clock, moment.reason);
    if (is && table[i].iso != NULL) {
      cr_expect_eq(moment.time, at(table[i].iso), "\"%s\"", table[i].date);
      cr_expect_eq(moment.has_clock, table[i].has_clock, "\"%s\"", table[i].date);
    } else {
      cr_expect(moment.reason != NULL && strlen(moment.reason) > 20, "\"%s\"", table[i].date);
    }
  }
}

/* Dates of a whole file: its order, or the sentence that refuses it. */
Test(intake_moments, order_of_a_file) {
  static const struct {
    const char *dates[4];
    bt_date_order stated, order;
    const char *says; /* part of the sentence; NULL: read */
  } table[] = {
      {{"2026-08-17", "2026-08-05"}, BT_DATES_AUTO, BT_DATES_YMD, NULL},
      {{"05/08/2026", "17/08/2026"}, BT_DATES_AUTO, BT_DATES_DMY, NULL},
      {{"08/05/2026", "08/17/2026"}, BT_DATES_AUTO, BT_DATES_MDY, NULL},
      {{"05.08.2026", "06.08.2026"}, BT_DATES_AUTO, BT_DATES_DMY, NULL},
      {{"05/05/2026", "06/06/2026"}, BT_DATES_AUTO, BT_DATES_DMY, NULL},
      {{"2026-08-05", "17/08/2026"}, BT_DATES_AUTO, BT_DATES_DMY, NULL},
      {{"05/08/2026", "06/08/2026"},
       BT_DATES_AUTO,
       BT_DATES_AUTO,
       "every date can be read as day/month and as month/day (line 2: 05/08/2026); say which it is "
       "with --dates dmy or --dates mdy"},
      {{"05/08/2026", "06/08/2026"}, BT_DATES_MDY, BT_DATES_MDY, NULL},
      {{"05/08/2026", "17/08/2026", "08/18/2026"},
       BT_DATES_AUTO,
       BT_DATES_AUTO,
       "line 3 has its date as day, month, year (17/08/2026), line 4 as month, day, year "
       "(08/18/2026); correct the log, or say which it is with --dates dmy or --dates mdy"},
      {{"05/08/26", "06/08/26"},
       BT_DATES_AUTO,
       BT_DATES_AUTO,
       "the years have two digits (line 2: 05/08/26); say how the dates are written"},
      {{"05/08/26", "06/08/26"}, BT_DATES_DMY, BT_DATES_DMY, NULL},
      {{"monday", "tuesday"},
       BT_DATES_AUTO,
       BT_DATES_AUTO,
       "no row has a date that can be read (line 2: \"monday\")"},
  };
  for (size_t i = 0; i < sizeof table / sizeof table[0]; i++) {
    bt_text text = {0};
    bt_reading_choices choices = {.dates = table[i].stated, .unit = (char *)(uintptr_t) "A"};
    kept k;
    bt_text_add(&text, "date,energy_mj\n");
    for (size_t d = 0; d < 4 && table[i].dates[d] != NULL; d++)
      bt_text_format(&text, "%s,1.5\n", table[i].dates[d]);
    gather(file_of_text(bt_text_get(&text)), &choices, &k);
    if (table[i].says == NULL) {
      cr_expect_eq(k.status, BT_OK, "%zu: %s", i, k.error.text);
      cr_expect(k.survey != NULL && k.survey->dates == table[i].order, "%zu", i);
      cr_expect_eq(k.refusals_n, 0, "%zu: %s", i, k.reasons[0]);
    } else {
      cr_expect_eq(k.status, BT_INPUT, "%zu", i);
      cr_expect_not_null(strstr(k.error.text, table[i].says), "%zu: %s", i, k.error.text);
    }
    gather_free(&k);
    bt_text_free(&text);
  }
}

Test(intake_moments, decimal_mark_of_a_file) {
  static const struct {
    char delimiter;
    const char *numbers[3];
    bt_decimal_mark stated, mark;
    const char *says;
  } table[] = {
      {',', {"1", "2"}, BT_DECIMAL_AUTO, BT_DECIMAL_AUTO, NULL},
      {',', {"1.61", "2"}, BT_DECIMAL_AUTO, BT_DECIMAL_POINT, NULL},
      {',', {"1.610", "2"}, BT_DECIMAL_AUTO, BT_DECIMAL_POINT, NULL},
      {';', {"1,61", "2"}, BT_DECIMAL_AUTO, BT_DECIMAL_COMMA, NULL},
      {';', {"1,610", "1,61"}, BT_DECIMAL_AUTO, BT_DECIMAL_COMMA, NULL},
      {';', {"1,610", "0,998"}, BT_DECIMAL_AUTO, BT_DECIMAL_COMMA, NULL},
      {';', {"1.610", "1.61"}, BT_DECIMAL_AUTO, BT_DECIMAL_POINT, NULL},
      {',', {"\"1,61\"", "\"1,59\""}, BT_DECIMAL_AUTO, BT_DECIMAL_COMMA, NULL},
      {';',
       {"1,610", "1,598"},
       BT_DECIMAL_AUTO,
       BT_DECIMAL_AUTO,
       "\"1,610\" (line 2) can be a decimal fraction or thousands, and no other number of the log "
       "settles it; say which it is with --decimal point or --decimal comma"},
      {',', {"\"1,610\"", "2"}, BT_DECIMAL_AUTO, BT_DECIMAL_AUTO, "\"1,610\" (line 2) can be"},
      {'\t', {"1.610", "2"}, BT_DECIMAL_AUTO, BT_DECIMAL_AUTO, "\"1.610\" (line 2) can be"},
      {';', {"1,610", "1,598"}, BT_DECIMAL_COMMA, BT_DECIMAL_COMMA, NULL},
      {';',
       {"1.5", "2", "1,5"},
       BT_DECIMAL_AUTO,
       BT_DECIMAL_AUTO,
       "line 2 has a decimal point (1.5), line 4 a decimal comma (1,5); correct the log, or say "
       "which it is with --decimal point or --decimal comma"},
  };
  for (size_t i = 0; i < sizeof table / sizeof table[0]; i++) {
    bt_text text = {0};
    bt_reading_choices choices = {.decimal = table[i].stated, .unit = (char *)(uintptr_t) "A"};
    kept k;
    bt_text_format(&text, "date%cenergy_mj\n", table[i].delimiter);
    for (size_t d = 0; d < 3 && table[i].numbers[d] != NULL; d++)
      bt_text_format(&text, "2026-08-1%zu%c%s\n", d, table[i].delimiter, table[i].numbers[d]);
    gather(file_of_text(bt_text_get(&text)), &choices, &k);
    if (table[i].says == NULL) {
      cr_expect_eq(k.status, BT_OK, "%zu: %s", i, k.error.text);
      cr_expect(k.survey != NULL && k.survey->decimal == table[i].mark, "%zu", i);
      cr_expect_eq(k.refusals_n, 0, "%zu: %s", i, k.reasons[0]);
    } else {
      cr_expect_eq(k.status, BT_INPUT, "%zu", i);
      cr_expect_not_null(strstr(k.error.text, table[i].says), "%zu: %s", i, k.error.text);
    }
    gather_free(&k);
    bt_text_free(&text);
  }
}

/* 00:00 behind every date is a spreadsheet's way to write days; where one row has another time of
 * day, in the date or in a column of its own, midnight is one too. */
Test(intake_moments, midnight_behind_every_date_is_no_time_of_day) {
  static const struct {
    const char *log;
    bool has_clock;
  } table[] = {
      {"date,unit,energy_mj\n2026-08-17 00:00:00,A,1\n2026-08-18T00:00,A,1\n", false},
      {"date,unit,energy_mj\n17/08/2026 12:00 AM,A,1\n18/08/2026,A,1\n", false},
      {"date,unit,energy_mj\n2026-08-17 00:00:00,A,1\n2026-08-18 00:00:01,A,1\n", true},
      {"date,time,unit,energy_mj\n2026-08-17 00:00,,A,1\n2026-08-18 00:00,-,A,1\n", false},
      {"date,time,unit,energy_mj\n2026-08-17 00:00,,A,1\n2026-08-18 00:00,00:00,A,1\n", true},
      {"date,unit,event\n2026-08-17 00:00:00,A,service\n", false},
      {"date,unit,event\n2026-08-17 00:00:00,A,service\n2026-08-18 07:00,A,service\n", true},
  };
  for (size_t i = 0; i < sizeof table / sizeof *table; i++) {
    kept k;
    gather(file_of_text(table[i].log), NULL, &k);
    cr_assert_eq(k.status, BT_OK, "%zu: %s", i, k.error.text);
    cr_assert_geq(k.checks_n + k.events_n, 1, "%zu", i);
    bool has_clock = k.events_n > 0 ? k.events[0].has_clock : k.checks[0].has_clock;
    bt_time first = k.events_n > 0 ? k.events[0].time : k.checks[0].time;
    cr_expect_eq(has_clock, table[i].has_clock, "%zu", i);
    cr_expect_eq(first, at("2026-08-17"), "%zu", i);
    gather_free(&k);
  }
}
