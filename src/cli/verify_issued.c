/* verify FILE: is this, byte for byte, a report that was issued from this ledger?
 *
 * R1 The ledger is verified first: a report of one that is not whole is vouched for by nothing.
 * R2 The state that the report prints must be that of the entry before its own.
 * R3 A file that is none of the issued reports is exit status 1; of a draft it is said that it is
 *    one. */
#include "verify_case.h"

#include "beamtally/report.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { NAME_WIDTH = 60 };

/* What begins like a ledger was meant for --ledger. */
static bt_status look_at_file(const char *file, bt_error *error) {
  static const char mark[] = "SQLite format 3";
  char begin[sizeof mark] = "";
  FILE *stream = fopen(file, "rbe");
  if (stream == NULL)
    return bt_fail(error, BT_SYSTEM, "%s can't be read: %s", file, strerror(errno));
  size_t n = fread(begin, 1, sizeof mark, stream);
  (void)fclose(stream);
  if (n == sizeof mark && memcmp(begin, mark, sizeof mark) == 0)
    return bt_fail(error, BT_USAGE,
                   "%s is a database, no report; to verify a ledger, name it with --ledger", file);
  return BT_OK;
}

/* R3. By the subject that the report room gave the document, which stands in the file as it is. */
static bool is_draft(const char *file) {
  static const char mark[] = "/Subject (" BT_REPORT_SUBJECT ", " BT_REPORT_DRAFT ")";
  size_t matched = 0;
  int byte;
  FILE *stream = fopen(file, "rbe");
  if (stream == NULL)
    return false;
  while (matched < sizeof mark - 1 && (byte = getc(stream)) != EOF)
    matched = byte == mark[matched] ? matched + 1 : byte == mark[0] ? 1 : 0;
  (void)fclose(stream);
  return matched == sizeof mark - 1;
}

/* Of a log, say. What can't be read is not said to be none. */
static bool is_no_pdf(const char *file) {
  char begin[5] = "%PDF-";
  FILE *stream = fopen(file, "rbe");
  if (stream == NULL)
    return false;
  size_t n = fread(begin, 1, sizeof begin, stream);
  bool none = ferror(stream) == 0 && (n < sizeof begin || memcmp(begin, "%PDF-", n) != 0);
  (void)fclose(stream);
  return none;
}

/* R3. */
static bt_status is_none(const cli_context *cli, const char *file, int64_t reports,
                         bt_error *error) {
  if (is_draft(file))
    return bt_fail(error, BT_DAMAGED,
                   "%s is by its own words a draft: none was ever issued, so there is nothing to "
                   "compare it with; `beamtally report --issue --by NAME` makes a report that can "
                   "be verified",
                   file);
  if (is_no_pdf(file))
    return bt_fail(error, BT_DAMAGED,
                   "%s is none of the %lld reports that the ledger \"%s\" knows of, nor a PDF as "
                   "they are: if it is a log, run `beamtally verify --verbose` in the folder where "
                   "it lies, which says of each log whether it is as imported",
                   file, (long long)reports, cli->ledger);
  return bt_fail(error, BT_DAMAGED,
                 "%s is not, byte for byte, a report that was issued from the ledger \"%s\", which "
                 "knows of %lld: it was altered since, or is a draft or a page that nobody issues, "
                 "or was issued from another ledger; compare it with the file as it was issued",
                 file, cli->ledger, (long long)reports);
}

static void add_place(const bt_issued *issued, const bt_issued_place *place, const char *file,
                      int64_t entries, bt_text *out) {
  char at[BT_TIME_TEXT], grouped[BT_IN_FOURS_TEXT];
  bt_civil month = bt_civil_of(issued->month);
  bt_text_format(out, "%s is, byte for byte, a report issued from this ledger: ", file);
  (void)cli_plain(out, issued->unit == NULL ? "all units" : issued->unit, NAME_WIDTH);
  bt_text_format(out, ", %04d-%02d, revision %lld, issued %s by ", month.year, month.month,
                 (long long)issued->number, bt_time_iso(issued->at, true, at));
  (void)cli_plain(out, issued->by, NAME_WIDTH);
  bt_text_format(out,
                 "\nthe state before it, %s, stands in the chain at entry %lld, the issue at entry "
                 "%lld of %lld\n",
                 bt_in_fours(issued->state, grouped), (long long)place->before,
                 (long long)place->entry, (long long)entries);
  bt_text_add(out, "hold these digits against those that the report prints: others there mean that "
                   "the chain was computed anew since\n");
  if (place->later > 0)
    bt_text_format(out, "%lld later revision%s of it %s issued since\n", (long long)place->later,
                   place->later == 1 ? "" : "s", place->later == 1 ? "was" : "were");
}

static bt_status find(const cli_context *cli, bt_ledger *ledger, const char *file, bt_text *out,
                      bt_error *error) {
  unsigned char sha256[BT_SHA256_BYTES];
  bt_issued *issued = NULL;
  bt_issued_place place = {0};
  bt_verification found;
  bt_status status = bt_emit_file_digest(file, sha256, error);
  if (status == BT_OK) {
    status = bt_ledger_verify(ledger, &found, error);
    if (status == BT_DAMAGED)
      bt_error_prefix(error, "%s was not looked for, because the ledger is not whole", file);
  }
  if (status != BT_OK)
    return status;
  status = bt_ledger_find_issued(ledger, sha256, &issued, &place, error);
  if (status == BT_NOTFOUND)
    return is_none(cli, file, place.reports, error);
  if (status == BT_OK && place.before + 1 != place.entry)
    status = bt_fail(error, BT_DAMAGED,
                     "%s was issued from this ledger, but the state %s that it prints is not that "
                     "of the entry before it: the chain was computed anew; use a backup of the "
                     "ledger from before",
                     file, issued->state);
  if (status == BT_OK)
    add_place(issued, &place, file, found.entries, out);
  bt_issued_free(issued, issued == NULL ? 0 : 1);
  return status;
}

cli_exit verify_issued(cli_context *cli, const char *file) {
  bt_error error = {0};
  bt_ledger *ledger = NULL;
  bt_text out = {0};
  bt_status status = look_at_file(file, &error);
  if (status == BT_OK)
    status = cli_open_unheld(cli, BT_LEDGER_READ, &ledger, &error);
  if (status == BT_OK)
    status = find(cli, ledger, file, &out, &error);
  cli_exit result = status == BT_OK ? CLI_DONE : cli_error(&error);
  if (status == BT_OK && !cli->quiet)
    result = cli_print_text(&out);
  bt_text_free(&out);
  bt_ledger_close(ledger);
  return result;
}
