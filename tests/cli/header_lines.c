/* Headers that go over several lines of a log, from the import to the evidence folder; and ledgers
 * of older versions, which kept such a header as it stood. */
#include "beamtally/ledger.h"
#include "program.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const char head[] = "date,unit,\"Energy\n(mJ)\",\"Set\r\nvalue\"\n";

static void put_log(const char *folder, const char *name, int days) {
  bt_text log = {0};
  bt_text_add(&log, head);
  for (int day = 0; day < days; day++)
    bt_text_format(&log, "2026-09-%02d,Room 1,1.60%d,1.6\n", day + 1, day % 10);
  file_put(folder, name, bt_text_get(&log));
  bt_text_free(&log);
}

static void put_evidence(const char *folder, const char *said) {
  run_result result = RUN(folder, "evidence", "--unit", "Room 1", "--from", "2026-09-01",
                          "--with-sources", "-o", "case");
  cr_expect_eq(result.status, said == NULL ? DONE : USAGE, "%d: %s", result.status, result.err);
  cr_expect(said == NULL || strstr(result.err, said) != NULL, "%s", result.err);
  run_free(&result);
}

Test(header_lines, such_a_log_goes_along_and_comes_again) {
  char *folder = folder_begin();
  put_log(folder, "log.csv", 12);
  char *shown = RUN_DONE(folder, "columns", "log.csv");
  cr_expect_not_null(strstr(shown, "   3 Energy (mJ)             energy_mj           1.600"), "%s",
                     shown);
  free(shown);
  free(RUN_DONE(folder, "import", "log.csv"));
  put_evidence(folder, "in it: \"Set value\"\n");
  /* the map names them in one line, and all of the log is taken */
  file_put(folder, "map.ini",
           "[columns]\ndate = date\nunit = unit\nenergy_mj = Energy (mJ)\ntarget_mj = Set value\n");
  free(RUN_DONE(folder, "import", "--map", "map.ini", "--again", "--by", "KL", "--why", "target",
                "log.csv"));
  put_evidence(folder, NULL);
  free(RUN_DONE(folder, "verify", "case"));
  /* next month's has the same columns */
  put_log(folder, "next.csv", 20);
  MUST_BE(folder, FAILED, "was read by the map map.ini and has the same columns", "import",
          "next.csv");
  folder_end(folder);
}

/* The SHA-256 of log.csv. */
static void digest_of(const char *folder, unsigned char sha256[BT_SHA256_BYTES]) {
  char *digits = TOOL(folder, "sha256sum", "log.csv");
  for (size_t i = 0; i < BT_SHA256_BYTES; i++) {
    char two[3] = {digits[2 * i], digits[2 * i + 1], '\0'};
    sha256[i] = (unsigned char)strtoul(two, NULL, 16);
  }
  free(digits);
}

/* What an older version made of log.csv. */
static void import_as_before(const char *folder, int days) {
  bt_source source = {
      .name = "log.csv",
      .kind = BT_SOURCE_CHECKS,
      .reading = "encoding UTF-8\ndelimiter 44\ndecimal point\ndates ymd\nheader 3\ncolumn 1 date "
                 "\"date\"\ncolumn 2 unit \"unit\"\ncolumn 3 energy_mj \"Energy\n(mJ)\"\n"};
  bt_ledger *ledger = NULL;
  bt_import *import = NULL;
  bt_import_counts counts;
  bool repeated = false, has_clock = false;
  bt_error error = {0};
  char *path = path_in(folder, "beamtally.sqlite");
  digest_of(folder, source.sha256);
  cr_assert_eq(bt_ledger_open(path, BT_LEDGER_CREATE, &ledger, &error), BT_OK, "%s", error.text);
  cr_assert_eq(bt_import_begin(ledger, &source, NULL, true, 1790000000, &import, &repeated, &error),
               BT_OK, "%s", error.text);
  for (int day = 0; day < days; day++) {
    bt_check check = {.unit = "Room 1", .line = day + 4, .last_line = day + 4};
    char iso[24];
    (void)snprintf(iso, sizeof iso, "2026-09-%02d", day + 1);
    cr_assert(bt_time_parse(iso, &check.time, &has_clock));
    check.present = 1U << BT_READING_ENERGY_MJ;
    check.reading[BT_READING_ENERGY_MJ] = 1.6 + (day % 10) / 1000.0;
    cr_assert_eq(bt_import_check(import, &check, &error), BT_OK, "%s", error.text);
  }
  cr_assert_eq(bt_import_commit(import, &counts, &error), BT_OK, "%s", error.text);
  bt_ledger_close(ledger);
  free(path);
}

Test(header_lines, a_ledger_of_an_older_version) {
  enum { DAYS = 12 };
  char *folder = folder_begin();
  put_log(folder, "log.csv", DAYS);
  import_as_before(folder, DAYS);
  put_evidence(folder, "in it: \"Set value\"\n");
  MUST_BE(folder, DONE, "this file is in the ledger already; nothing added", "import", "log.csv");
  put_log(folder, "log.csv", DAYS + 1);
  MUST_BE(folder, DONE, "13 rows, 1 new, 12 already known", "import", "log.csv");
  free(RUN_DONE(folder, "verify"));
  folder_end(folder);
}
