/* Whatever file is named: a clear sentence and nothing stored, or read as it is meant. Through the
 * built program; the rooms' own tests have the finer cases. */
#include "program.h"

#include <criterion/criterion.h>
#include <fcntl.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <sys/time.h>
#include <unistd.h>

static void write_in(const char *folder, const char *name, const void *bytes, size_t n) {
  char *path = path_in(folder, name);
  file_write(path, bytes, n);
  free(path);
}

/* Import of that file fails with these words, and no unit is in the ledger. */
static void must_refuse(const char *folder, const char *name, const char *says) {
  run_result result = RUN(folder, "import", "--unit", "A", name);
  cr_expect_eq(result.status, FAILED, "%s", name);
  cr_expect_not_null(strstr(result.err, says), "%s: %s", name, result.err);
  cr_expect_str_eq(result.out, "", "%s", name);
  run_free(&result);
  result = RUN(folder, "status");
  cr_expect_neq(result.status, DONE, "%s was stored", name);
  run_free(&result);
}

#define BYTES(text) text, sizeof text - 1

Test(any_file, files_that_are_no_log) {
  static const struct {
    const char *name, *bytes;
    size_t n;
    const char *says;
  } table[] = {
      {"book.xlsx", BYTES("PK\x03\x04\x14\0\x06\0"), "spreadsheet workbook or an archive; open it"},
      {"book.xls", BYTES("\xD0\xCF\x11\xE0\xA1\xB1\x1A\xE1"), "workbook of an older kind; open it"},
      {"page.pdf", BYTES("%PDF-1.7\n1 0 obj\n"), "this is a PDF; export the log"},
      {"shot.png", BYTES("\x89PNG\r\n\x1A\n\0\0\0\rIHDR"), "this is a picture; export the log"},
      {"photo.jpg", BYTES("\xFF\xD8\xFF\xE0\0\x10JFIF"), "this is a picture"},
      {"table.xls", BYTES("<html><body><table>"), "this is a web page, as some programs export"},
      {"sheet.xml", BYTES("<?xml version=\"1.0\"?>\n"), "this is an XML document"},
      {"empty.csv", BYTES(""), "the file is empty"},
      {"words.txt", BYTES("some words\nof no log\n"), "line 1 is the header, it seems"},
      {"no-header.csv", BYTES("2026-08-17,1.5,7\n2026-08-18,1.6,7\n"),
       "the file has no header line, it seems"},
      {"nul.csv", BYTES("\0\0\0\0date\0\0\0\0,unit\0\0\0"), "the file is not a text"},
      {"orders.csv", BYTES("date,energy_mj\n13/04/2026,1.5\n04/13/2026,1.5\n"),
       "line 2 has its date as day, month, year (13/04/2026), line 3 as month, day, year"},
      {"years.csv", BYTES("date,energy_mj\n17/08/26,1.5\n"), "the years have two digits (line 2"},
      {"thousands.csv", BYTES("date;energy_mj\n2026-08-17;1,610\n"),
       "\"1,610\" (line 2) can be a decimal fraction or thousands"},
      {"grouped.csv", BYTES("date,pulses\n2026-08-17,\"1,234,567\"\n"), "lines were refused"},
      {"future.csv", BYTES("date,energy_mj\n2062-08-17,1.5\n"), "1 of 1 lines were refused"},
      {"past.csv", BYTES("date,energy_mj\n1984-12-31,1.5\n"), "1 of 1 lines were refused"},
  };
  char *folder = folder_begin();
  for (size_t i = 0; i < sizeof table / sizeof *table; i++) {
    write_in(folder, table[i].name, table[i].bytes, table[i].n);
    must_refuse(folder, table[i].name, table[i].says);
  }
  must_refuse(folder, ".", "this is a folder; name the log files in it");
  must_refuse(folder, "nowhere.csv", "the file can't be opened");
  folder_end(folder);
}

/* One bad line costs that line, not the log. */
Test(any_file, lines_that_cannot_be_read) {
  enum { LONG = 10 << 20 };
  static const char head[] = "printed by hand\n\ndate,time,energy_mj,remark\n"
                             "17/08/2026,8:05 AM,1.5,\"two\nlines\"\n18/08/2026,8:05 PM,NA,late\n";
  static const char *const bad[] = {"19/08/2026,8:05 AM,1.5,\"never closed\n",
                                    "date,time,energy_mj,remark\n"};
  static const char tail[] = "20/08/2026,8:05 AM,n/a,x\n21/08/2026,8:05 AM,1.6,-\n"
                             "22/08/2026,8:05 AM,1.6,\n23/08/2026,8:05 AM,1.6,\n"
                             "24/08/2026,8:05 AM,1.6,\n";
  char *folder = folder_begin(), *bytes = malloc(LONG + 1024);
  cr_assert_not_null(bytes);
  for (int shape = 0; shape < 4; shape++) {
    size_t n = sizeof head - 1;
    memcpy(bytes, head, n);
    if (shape < 2) {
      memcpy(bytes + n, bad[shape], strlen(bad[shape]));
      n += strlen(bad[shape]);
    } else if (shape == 2) {
      memset(bytes + n, 'x', LONG); /* a line of 10 MB */
      n += LONG;
      bytes[n++] = '\n';
    } else {
      memcpy(bytes + n, "19/08/2026,8:05 AM,1\0,\n", 23);
      n += 23;
    }
    memcpy(bytes + n, tail, sizeof tail - 1);
    write_in(folder, "log.csv", bytes, n + sizeof tail - 1);
    char name[32];
    (void)snprintf(name, sizeof name, "%d.sqlite", shape);
    char *summary = RUN_DONE(folder, "import", "--ledger", name, "--unit", "A", "log.csv");
    cr_expect_not_null(strstr(summary, "8 rows, 7 new, 0 already known, 0 conflicts, 1 refused"),
                       "%d: %s", shape, summary);
    free(summary);
  }
  free(bytes);
  folder_end(folder);
}

/* Standard input, and many files in one call. */
Test(any_file, standard_input_and_many_files) {
  char *folder = folder_begin(), *input = path_in(folder, "one.csv");
  write_in(folder, "one.csv", "date,energy_mj\n2026-08-17,1.5\n", 30);
  write_in(folder, "two.csv", "date;energy_mj\n18.08.2026;1,5\n", 30);
  write_in(folder, "bad.csv", "words\n", 6);
  run_setting from_input = {.folder = folder, .input = input};
  run_result result =
      run_with(&from_input, (const char *const[]){"import", "--unit", "A", "-", NULL});
  cr_expect_eq(result.status, DONE, "%s", result.err);
  cr_expect_not_null(strstr(result.out, "1 row, 1 new"), "%s", result.out);
  run_free(&result);
  result = RUN(folder, "import", "--unit", "A", "one.csv", "bad.csv", "two.csv");
  cr_expect_eq(result.status, FAILED);
  cr_expect_not_null(strstr(result.err, "bad.csv: line 1 is the header, it seems"), "%s",
                     result.err);
  cr_expect_not_null(strstr(result.out, "two.csv: 1 row, 1 new"), "%s", result.out);
  run_free(&result);
  free(input);
  folder_end(folder);
}

static double seconds_now(void) {
  struct timeval now;
  cr_assert_eq(gettimeofday(&now, NULL), 0);
  return (double)now.tv_sec + (double)now.tv_usec / 1e6;
}

/* A file of so many GB: so many megabytes of printable bytes without a line end, then a hole. */
static char *rubbish_in(const char *folder, int megabytes, int gigabytes) {
  enum { MEGABYTE = 1 << 20 };
  static char bytes[MEGABYTE];
  uint32_t state = 1;
  char *path = path_in(folder, "rubbish.csv");
  FILE *file = fopen(path, "wb");
  cr_assert_not_null(file);
  for (int m = 0; m < megabytes; m++) {
    for (size_t i = 0; i < MEGABYTE; i++) {
      state = state * 1664525U + 1013904223U;
      bytes[i] = (char)('!' + (int)((state >> 24) % 90));
    }
    cr_assert_eq(fwrite(bytes, 1, MEGABYTE, file), MEGABYTE);
  }
  cr_assert_eq(fclose(file), 0);
  cr_assert_eq(truncate(path, (off_t)gigabytes << 30), 0);
  return path;
}

/* Refused within seconds (a machine under load is given more) and within 100 MB. */
Test(any_file, gigabytes_of_rubbish) {
  static const struct {
    int megabytes, gigabytes;
    const char *says;
  } table[] = {{0, 5, "the file is not a text"},
               {64, 5, "it is longer than 1073741824 bytes"},
               {64, 1, "none of the first 100 lines can be read as a row of fields"}};
  char *folder = folder_begin();
  for (size_t i = 0; i < sizeof table / sizeof *table; i++) {
    char *path = rubbish_in(folder, table[i].megabytes, table[i].gigabytes);
    double before = seconds_now();
    must_refuse(folder, "rubbish.csv", table[i].says);
    cr_expect_lt(seconds_now() - before, 30.0, "%zu", i);
    free(path);
  }
  struct rusage usage;
  cr_assert_eq(getrusage(RUSAGE_CHILDREN, &usage), 0);
  cr_expect_lt(usage.ru_maxrss, 100 * 1024, "%ld kB", usage.ru_maxrss);
  folder_end(folder);
}
