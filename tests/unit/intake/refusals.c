/* Lines and files that can't be taken: exact line, column, value and sentence. */
#include "gather.h"

#include <criterion/criterion.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#define HEADER "date,time,unit,energy_mj,target_mj,selftest_passed,selftest_total,state,remark\n"
#define GOOD   "2026-08-17,08:05,A,1.5,1.6,5,5,,\n"

Test(intake_refusals, one_bad_row) {
  static const struct {
    const char *row, *column, *field, *value, *reason; /* reason: how it begins */
    unsigned lost;
  } table[] = {
      {"2026-08-18,08:05,A,1.5x,1.6,5,5,,", "energy_mj", "energy_mj", "1.5x",
       "expected a number with a decimal point; correct the cell or map the column", 0},
      {"2026-08-18,08:05,A,-1.5,1.6,5,5,,", "energy_mj", "energy_mj", "-1.5",
       "a value below zero is not possible here; correct the cell", 0},
      {"2026-08-18,08:05,A,1e12,1.6,5,5,,", "energy_mj", "energy_mj", "1e12",
       "the number is larger than any instrument reads; correct the cell", 0},
      {"2026-08-18,08:05,A,1e308,1.6,5,5,,", "energy_mj", "energy_mj", "1e308",
       "the number is larger than any instrument reads; correct the cell", 0},
      {"2026-08-18,08:05,A,\"1,5\",1.6,4,5,,", "energy_mj", "energy_mj", "1,5",
       "expected a number with a decimal point; correct", BT_LOST_SELFTEST},
      {"2026-08-18,08:05,A,1.5,x,5,5,,odd noise", "target_mj", "target_mj", "x",
       "expected a number with a decimal point; correct the cell", BT_LOST_REMARK},
      {"2026-02-30,08:05,A,1.5,1.6,5,5,,", "date", "date", "2026-02-30",
       "read as year, month, day this is no day of the calendar; correct the cell", 0},
      {"18/08/2026x,08:05,A,1.5,1.6,5,5,,", "date", "date", "18/08/2026x",
       "expected a date as year, month, day (2026-08-17); correct the cell", 0},
      {"2026-08-18,8 h,A,1.5,1.6,5,5,,", "time", "time", "8 h",
       "expected a time of day such as 08:05, 08:05:30 or 8:05 AM; correct the cell", 0},
      {"Date,time,unit,energy_mj,target_mj,selftest_passed,selftest_total,state,remark", "date",
       "date", "Date", "the header stands here once more, as where logs were joined; take the line",
       0},
      {"Promedio,,A,1.5,1.6,,,,", "date", "date", "Promedio",
       "it looks like a total or a mean of the rows above, which is no check; take the line out",
       0},
      {"TOTAL: 3,,,4.5,4.8,,,,", "date", "date", "TOTAL: 3", "it looks like a total or a mean", 0},
      {"Totalled,,A,1.5,1.6,,,,", "date", "date", "Totalled", "expected a date as", 0},
      {"2027-01-01,08:05,A,1.5,1.6,5,5,,", "date", "date", "2027-01-01",
       "2027-01-01 is in the future; correct the date", 0},
      {"1984-12-31,08:05,A,1.5,1.6,5,5,,", "date", "date", "1984-12-31",
       "1984-12-31 is before 1985", 0},
      {"17/08/26,08:05,A,1.5,1.6,5,5,,", "date", "date", "17/08/26",
       "the year has two digits; state the order of the date with --dates dmy, mdy or ymd", 0},
      {"-,08:05,A,1.5,1.6,5,5,,", "date", "date", "-", "the row has no date; fill it in", 0},
      {"2026-08-18,08:05,n/a,1.5,1.6,5,5,,", "unit", "unit", "n/a",
       "the row has no unit; fill it in", 0},
      {"2026-08-18,08:05,A,1.5,1.6,5,5,maybe,", "state", "state", "maybe",
       "expected as_found or as_left", 0},
      {"2026-08-18,08:05,A,NA,,-,n/a,,", "(none)", "(none)", "(none)",
       "the row has a date but no reading; complete it", 0},
      {"2026-08-18,08:05,A,1.5", "(none)", "(none)", "(none)",
       "the row has 4 fields where the header has 9", 0},
      {"2026-08-18,08:05,A,1,5,1,6,5,5,,", "(none)", "(none)", "(none)",
       "the row has 11 fields where the header has 9; look for a missing or an unquoted delimiter",
       BT_LOST_SELFTEST | BT_LOST_REMARK},
      {"2026-08-18,08:05,A,1e999,1.6,5,5,,", "energy_mj", "energy_mj", "1e999",
       "expected a number with a decimal point; correct the cell", 0},
      {"2026-08-18,08:05,A,1.5,1.6,5,5,,a \"quoted\" word", "(none)", "(none)", "(none)",
       "a quotation mark stands where none may", 0},
      {"2026-08-18,08:05,A,1.5,1.6,5,5,,\"not closed", "(none)", "(none)", "(none)",
       "a quotation mark that opens here is not closed; close it, or double it if it is meant", 0},
      {"2026-08-18,08:05,A,1.5\r,1.6,5,5,,", "(none)", "(none)", "(none)",
       "the line holds a second line end inside it", 0},
      {"2026-08-18,08:05,A,1.5,1.6,5,5,,\xFF\xFE", "(none)", "(none)", "(none)",
       "the line is not UTF-8; export the log again, or name its encoding with --encoding", 0},
  };
  for (size_t i = 0; i < sizeof table / sizeof table[0]; i++) {
    /* Stated, so that a bad byte or a comma is one bad line, and no question to the person. */
    bt_reading_choices choices = {.encoding = (char *)(uintptr_t) "utf-8",
                                  .decimal = BT_DECIMAL_POINT};
    bt_text text = {0};
    kept k;
    bt_text_format(&text, HEADER GOOD "%s\n" GOOD GOOD, table[i].row);
    gather(file_of_text(bt_text_get(&text)), &choices, &k);
    cr_assert_eq(k.status, BT_OK, "%zu: %s", i, k.error.text);
    cr_assert_eq(k.refusals_n, 1, "%zu: %zu refused", i, k.refusals_n);
    cr_expect_eq(k.checks_n, 3, "%zu: %zu checks", i, k.checks_n);
    cr_expect_eq(k.refusals[0].line, 3, "%zu: line %lld", i, (long long)k.refusals[0].line);
    cr_expect_str_eq(k.columns[0], table[i].column, "%zu", i);
    cr_expect_str_eq(k.fields[0], table[i].field, "%zu", i);
    cr_expect_str_eq(k.values[0], table[i].value, "%zu", i);
    cr_expect_eq(strncmp(k.reasons[0], table[i].reason, strlen(table[i].reason)), 0, "%zu: %s", i,
                 k.reasons[0]);
    cr_expect_eq(k.refusals[0].lost, table[i].lost, "%zu", i);
    gather_free(&k);
    bt_text_free(&text);
  }
}

Test(intake_refusals, delimiters_at_the_end_of_the_header) {
  kept k;
  gather(file_of_text("date,unit,energy_mj,,\n2026-08-17,A,1,,\n2026-08-18,A,2\n"
                      "2026-08-19,A,3,,,\n2026-08-20,A\n"),
         NULL, &k);
  cr_assert_eq(k.checks_n, 2, "%s", k.error.text);
  cr_assert_eq(k.refusals_n, 2);
  cr_expect_eq(strncmp(k.reasons[0], "the row has 6 fields where the header has 3", 43), 0, "%s",
               k.reasons[0]);
  cr_expect_eq(k.refusals[1].line, 5);
  gather_free(&k);
}

/* A decimal comma without quotes pushes the last field out behind the last name: 1,61 is not 1. */
Test(intake_refusals, a_decimal_comma_under_a_header_that_ends_in_a_delimiter) {
  kept k;
  gather(file_of_text("date,unit,energy_mj,remark,\n2026-08-17,A,1.5,fine,\n"
                      "2026-08-18,A,1,61,fine\n2026-08-19,A,1.5,fine,\n2026-08-20,A,1.5,fine\n"),
         &(bt_reading_choices){.decimal = BT_DECIMAL_POINT}, &k);
  cr_assert_eq(k.checks_n, 3, "%s", k.error.text);
  cr_assert_eq(k.refusals_n, 1);
  cr_expect_eq(k.refusals[0].line, 3);
  cr_expect_eq(strncmp(k.reasons[0], "the row has 5 fields where the header has 4", 43), 0, "%s",
               k.reasons[0]);
  gather_free(&k);
  gather(file_of_text("date;unit;energy_mj;\n2026-08-17;A;1,5;beside the table\n"), NULL, &k);
  cr_expect_eq(k.checks_n, 1, "%s", k.error.text); /* here no comma can have done it */
  gather_free(&k);
}

/* A byte that the encoding doesn't have is found by its line, wherever the reader's pieces end. */
Test(intake_refusals, a_byte_not_of_the_encoding_is_told_with_its_line) {
  const bt_reading_choices stated = {.encoding = (char[]){"WINDOWS-1252"}};
  for (int rows = 1; rows <= 4001; rows += 4000) {
    char says[64];
    bt_text text = {0};
    kept k;
    bt_text_add(&text, "date,unit,energy_mj,remark\n");
    for (int i = 0; i < rows; i++)
      bt_text_add(&text, "2026-08-17,A,1.5,\xB5 as every morning\n");
    bt_text_add(&text, "2026-08-18,A,1.5,\x81\n");
    (void)snprintf(says, sizeof says, "line %d: the byte 0x81 is not of", rows + 2);
    const char *path = file_of_text(bt_text_get(&text));
    for (int named = 0; named < 2; named++) {
      gather(path, named ? &stated : NULL, &k);
      cr_expect_eq(k.status, BT_INPUT);
      cr_expect_not_null(strstr(k.error.text, says), "%d rows: %s", rows, k.error.text);
      gather_free(&k);
    }
    bt_text_free(&text);
  }
}

/* A no-break space at the edge of a cell is a blank; within a number it is none of its digits. */
Test(intake_refusals, no_break_spaces) {
  kept k;
  gather(file_of_text("date,unit,Energy\xC2\xA0(mJ),hv_kv\xC2\xA0\n"
                      "2026-08-17,\xC2\xA0 A\xC2\xA0,\xC2\xA0\x31.5 \xC2\xA0\xC2\xA0,\xC2\xA0\n"
                      "2026-08-18,A,1.5,25\xC2\xA0\n2026-08-19,A,1\xC2\xA0\x36\x31\x30,25\n"),
         NULL, &k);
  cr_assert_eq(k.checks_n, 2, "%s", k.error.text);
  cr_expect_str_eq(k.units[0], "A");
  cr_expect_eq(k.checks[0].present, 1U << BT_READING_ENERGY_MJ);
  cr_expect_eq(k.checks[0].reading[BT_READING_ENERGY_MJ], 1.5);
  cr_expect_eq(k.checks[1].reading[BT_READING_HV_KV], 25.0);
  cr_assert_eq(k.refusals_n, 1);
  cr_expect_eq(k.refusals[0].line, 4);
  gather_free(&k);
}

/* Zero and wild values are kept: they may be the laser failing. */
Test(intake_refusals, wild_values_are_kept) {
  kept k;
  gather(
      file_of_text(HEADER "2026-08-17,08:05,A,0,1.6,0,5,,\n2026-08-17,08:05,A,99999,-0.0,7,5,,\n"),
      NULL, &k);
  cr_assert_eq(k.checks_n, 2, "%s", k.error.text);
  cr_expect_eq(k.checks[0].reading[BT_READING_ENERGY_MJ], 0.0);
  cr_expect(bt_check_has(&k.checks[0], BT_READING_ENERGY_MJ));
  cr_expect_eq(k.checks[1].reading[BT_READING_ENERGY_MJ], 99999.0);
  cr_expect(!signbit(k.checks[1].reading[BT_READING_TARGET_MJ]));
  gather_free(&k);
}

/* A long line, a long field over many lines, a NUL: one line each is lost, none behind it. */
Test(intake_refusals, large_and_broken_lines) {
  enum { LARGE = 1 << 20 };
  char *bytes = malloc(2 * LARGE);
  cr_assert_not_null(bytes);
  for (int shape = 0; shape < 4; shape++) {
    kept k;
    size_t n = 0, good = 0;
    memcpy(bytes, HEADER GOOD, sizeof HEADER GOOD - 1);
    n = sizeof HEADER GOOD - 1;
    const char *start = "2026-08-18,08:05,A,1.5,1.6,5,5,,";
    memcpy(bytes + n, start, strlen(start));
    n += strlen(start);
    const char *reason = "the line is longer than a log's line can be";
    if (shape == 0) { /* one field of a megabyte, unquoted */
      memset(bytes + n, 'x', LARGE);
      n += LARGE;
    } else if (shape == 1) { /* the same, over the field's bound only */
      memset(bytes + n, 'x', 100000);
      n += 100000;
      reason = "a field is larger than a log's field can be";
    } else if (shape == 2) { /* a quote that is never closed, then 40 good rows */
      bytes[n++] = '"';
      reason = "a quotation mark that opens here is not closed";
      good = 40;
    } else {
      bytes[n++] = '\0';
      reason = "the line holds a NUL byte";
    }
    bytes[n++] = '\n';
    for (size_t i = 0; i < good + 1; i++) {
      memcpy(bytes + n, GOOD, sizeof GOOD - 1);
      n += sizeof GOOD - 1;
    }
    gather(file_of(bytes, n), NULL, &k);
    cr_assert_eq(k.status, BT_OK, "%d: %s", shape, k.error.text);
    cr_assert_eq(k.refusals_n, 1, "%d", shape);
    cr_expect_eq(k.refusals[0].line, 3, "%d", shape);
    cr_expect_eq(strncmp(k.reasons[0], reason, strlen(reason)), 0, "%d: %s", shape, k.reasons[0]);
    cr_expect_eq(k.checks_n, good + 2, "%d: %zu", shape, k.checks_n);
    cr_expect_eq(k.checks[1].line, 4, "%d", shape);
    gather_free(&k);
  }
  free(bytes);
}

Test(intake_refusals, files_that_are_no_log) {
  static const struct {
    const char *bytes;
    size_t length;
    const char *says;
  } table[] = {
      {"", 0, "the file is empty"},
      {"PK\x03\x04\x14\0\x06\0", 8,
       "this is a spreadsheet workbook or an archive; open it, choose"},
      {"\xD0\xCF\x11\xE0\xA1\xB1\x1A\xE1", 8, "this is a spreadsheet workbook of an older kind"},
      {"%PDF-1.5\n", 9, "this is a PDF"},
      {"\x89PNG\r\n\x1A\n", 8, "this is a picture"},
      {"\x1F\x8B\x08\0", 4, "this is a compressed file"},
      {"d\0a\0t\0e\0,\0u\0n\0i\0t\0\n\0", 20, "UTF-16 without a byte-order mark"},
      {"\x01\x02\x03\x04\x05\x06\x07\x08", 8, "the file is not a text"},
      {"some words\nmore words\n", 22,
       "line 1 is the header, it seems, and has no name that is known by itself"},
      {"unit,energy_mj\nA,1.5\n", 21,
       "no column is read as the date; name it in a column map (date "
       "= HEADER). Its columns are: unit, energy_mj"},
      {"date,unit,door\n2026-08-17,A,1\n", 30, "no column is read as a reading or an event"},
      {"date,energy_mj,Energy (mJ)\n2026-08-17,1,1\n", 42,
       "the columns 2 and 3 would both be read as energy_mj"},
      {"date,refill,energy_mj\n2026-08-17,no,1\n2026-08-18,yes,1\n", 56,
       "the column \"refill\" notes a gas refill (line 3: \"yes\") but not whether it came before or "
       "after the row's reading; say it in a column map, under [values]: event.gas_refill = refill, "
       "yes, before (or after)"},
      {"date,energy_mj\n2026-08-17,1\n", 28, "the log doesn't say which laser it is of"},
      {"date,unit,energy_mj,remark\n2026-08-17,S\xC3\xBC"
       "d,1,\n2026-08-18,S,1,\xFC\n",
       63, "some lines are UTF-8 and others are not"},
  };
  for (size_t i = 0; i < sizeof table / sizeof table[0]; i++) {
    kept k;
    gather(file_of(table[i].bytes, table[i].length), NULL, &k);
    cr_expect_eq(k.status, BT_INPUT, "%zu", i);
    cr_expect_not_null(strstr(k.error.text, table[i].says), "%zu: %s", i, k.error.text);
    gather_free(&k);
  }
  kept k;
  /* 0x81 is no character of Windows-1252, and no UTF-8. */
  gather(file_of_text("date,unit,energy_mj,remark\n2026-08-17,A,1,\x81\n"), NULL, &k);
  cr_expect_eq(k.status, BT_INPUT);
  cr_expect_not_null(strstr(k.error.text, "the byte 0x81 is not of the file's encoding; name the "
                                          "file's encoding with --encoding"),
                     "%s", k.error.text);
  gather("/tmp", NULL, &k);
  cr_expect_eq(k.status, BT_INPUT);
  cr_expect_str_eq(k.error.text, "this is a folder; name the log files in it");
  gather("/tmp/no-such-log.csv", NULL, &k);
  cr_expect_eq(k.status, BT_SYSTEM);
  cr_expect_eq(strncmp(k.error.text, "the file can't be opened: ", 26), 0);
}

static bt_status take_check(void *context, const bt_check *check, bt_error *error) {
  (void)context;
  (void)check;
  (void)error;
  return BT_OK;
}

static bt_status stop_check(void *context, const bt_check *check, bt_error *error) {
  (void)context;
  (void)check;
  return bt_fail(error, BT_REFUSED, "enough");
}

Test(intake_refusals, a_file_that_changes_and_a_sink_that_stops) {
  bt_survey *survey = NULL;
  bt_error error = {0};
  bt_sink sink = {NULL, take_check, NULL, NULL}, stop = {NULL, stop_check, NULL, NULL};
  const char *path = file_of_text(HEADER GOOD);
  cr_assert_eq(bt_survey_file(path, NULL, &survey, &error), BT_OK);
  cr_expect_eq(bt_load_file(survey, at("2026-12-31"), &sink, &error), BT_OK, "%s", error.text);
  cr_expect_eq(bt_load_file(survey, at("2026-12-31"), &stop, &error), BT_REFUSED);
  cr_expect_str_eq(error.text, "enough");
  (void)file_of_text(HEADER GOOD GOOD);
  cr_expect_eq(bt_load_file(survey, at("2026-12-31"), &sink, &error), BT_INPUT);
  cr_expect_not_null(strstr(error.text, "the file changed while it was read"));
  bt_survey_free(survey);
}

/* Standard input, and a pipe by name, are read through a copy without a name. */
Test(intake_refusals, standard_input_and_pipes) {
  char folder[] = "/tmp/bt-intake-XXXXXX";
  kept k;
  cr_assert_not_null(freopen(file_of_text(HEADER GOOD GOOD), "rb", stdin));
  cr_assert_not_null(mkdtemp(folder));
  cr_assert_eq(chdir(folder), 0);
  gather("-", NULL, &k);
  cr_assert_eq(k.status, BT_OK, "%s", k.error.text);
  cr_expect_eq(k.checks_n, 2);
  cr_expect_str_eq(k.survey->source.name, "standard input");
  cr_expect_geq(k.survey->spool, 0);
  gather_free(&k);

  /* The copy stands in the folder of the ledger. */
  bt_error error = {0};
  bt_survey *survey = NULL;
  bt_reading_choices elsewhere = {.spool_beside = "nowhere/l.sqlite"};
  cr_assert_not_null(freopen(file_of_text(HEADER GOOD GOOD), "rb", stdin));
  cr_expect_eq(bt_survey_file("-", &elsewhere, &survey, &error), BT_SYSTEM);
  cr_expect_not_null(strstr(error.text, "put the ledger into a folder that you can write in"));
  char beside[sizeof folder + 16];
  (void)snprintf(beside, sizeof beside, "%s/l.sqlite", folder);
  elsewhere.spool_beside = beside;
  cr_expect_eq(bt_survey_file("-", &elsewhere, &survey, &error), BT_OK, "%s", error.text);
  bt_survey_free(survey);

  cr_assert_eq(mkfifo("pipe", 0600), 0);
  pid_t writer = fork();
  if (writer == 0) {
    FILE *pipe = fopen("pipe", "wb");
    _exit(pipe == NULL || fputs(HEADER GOOD, pipe) < 0 || fclose(pipe) != 0);
  }
  gather("pipe", NULL, &k);
  cr_assert_eq(k.status, BT_OK, "%s", k.error.text);
  cr_expect_eq(k.checks_n, 1);
  gather_free(&k);
  cr_expect_eq(unlink("pipe"), 0);
  cr_assert_eq(chdir("/"), 0);
  cr_expect_eq(rmdir(folder), 0, "a temporary file was left behind");
}

/* A reason is kept in the ledger and in the file of --rejects: no value of the log stands in it,
 * for a shifted row can bring anything into a column. */
Test(intake_refusals, reasons_hold_no_value) {
  static const char *const rows[] = {
      "secret,08:05,A,1.5,1.6,5,5,,",
      "2026-08-18,secret,A,1.5,1.6,5,5,,",
      "2026-08-18,08:05,A,secret,1.6,5,5,,",
      "2026-08-18,08:05,A,1.5,1.6,5,5,secret,",
      "2026-08-18,08:05,A,1.5,1.6,secret,5,,",
      "2026-08-18,08:05,A,\"secret\"x,1.6,5,5,,",
      "secret,secret",
  };
  for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
    char text[512];
    kept k;
    (void)snprintf(text, sizeof text, HEADER GOOD "%s\n", rows[i]);
    gather(file_of_text(text), NULL, &k);
    cr_assert_eq(k.refusals_n, 1, "%s", rows[i]);
    cr_expect_null(strstr(k.reasons[0], "secret"), "%s", k.reasons[0]);
    gather_free(&k);
  }
}
