/* verify FOLDER: is an evidence folder as it was made?
 *
 * R1 The manifest and the files in it are whole (verify_manifest.c).
 * R2 Limits and signals follow from checks.csv alone; readings.csv tells of the same checks, and
 *    copies of logs are those of sources.csv.
 * R3 Where a ledger is at hand, it is whole, the state stands in its chain, and the files are those
 *    that it gives as of that state (verify_again.c).
 * R4 The first difference is named; exit status 1. */
#include "verify_case.h"

#include <string.h>
#include <unistd.h>

/* ---- R3 -------------------------------------------------------------------------------------- */

/* The ledger as named; where nobody named one and none is here, the one beside the folder: who has
 * gone into a folder to look at it finds it there. `path` then holds its name. */
static bt_status open_ledger(const cli_context *cli, const char *folder, bt_text *path,
                             bt_ledger **ledger, bt_error *error) {
  bt_status status = bt_ledger_open(cli->ledger, BT_LEDGER_READ, ledger, error);
  if (status != BT_NOTFOUND || strcmp(cli->ledger, CLI_LEDGER) != 0)
    return status;
  bt_text_format(path, "%s/../" CLI_LEDGER, folder);
  if (!bt_text_ok(path))
    return bt_fail_memory(error);
  if (access(bt_text_get(path), F_OK) != 0)
    return status;
  status = bt_ledger_open(bt_text_get(path), BT_LEDGER_READ, ledger, error);
  if (status == BT_OK && !cli->quiet)
    cli_say("note: held against the ledger beside the folder, %s", bt_text_get(path));
  return status;
}

static void say_made_again(bt_text *out, const bt_told_case *told, int64_t after) {
  const char *why_not = "";
  if (told->format != BT_CASE_FORMAT)
    why_not = " (evidence.pdf was not compared: an earlier version of this program drew it)";
  else if (after > 0)
    why_not = " (evidence.pdf was not compared: it counts what the whole ledger held then)";
  bt_text_format(out,
                 "the state stands in the ledger, %lld entr%s came after it; made again as of it, "
                 "every CSV, limits.json%s are the same, byte by byte%s%s\n",
                 (long long)after, after == 1 ? "y" : "ies",
                 *why_not == '\0' ? ", README.txt and evidence.pdf" : " and README.txt",
                 told->logs > 0 ? ", and the logs are those imported" : "", why_not);
}

/* The engineer has no ledger: that is no difference. */
static bt_status check_ledger(const cli_context *named, const char *folder,
                              const verify_manifest *files, const bt_told_case *told, bt_text *out,
                              bt_error *error) {
  bt_ledger *ledger = NULL;
  bt_state_place place = {0};
  bt_error none = {0};
  bt_text path = {0};
  cli_context with = *named, *cli = &with;
  bt_status status = open_ledger(named, folder, &path, &ledger, &none);
  if (bt_text_ok(&path) && !bt_text_empty(&path))
    with.ledger = bt_text_get(&path);
  if (status != BT_OK) {
    bt_text_free(&path);
    if (status == BT_NOTFOUND)
      bt_text_add(out,
                  "no ledger is at hand, so nothing was compared with the record; --ledger FILE "
                  "names one that lies elsewhere\n");
    else
      *error = none;
    return status == BT_NOTFOUND ? BT_OK : status;
  }
  status = bt_ledger_hold_whole(ledger, error);
  if (status == BT_OK)
    status = bt_ledger_find_state(ledger, told->state, &place, error);
  if (status == BT_NOTFOUND)
    status = bt_fail(error, BT_DAMAGED,
                     "the folder's ledger state does not stand in the ledger \"%s\"", cli->ledger);
  if (status == BT_OK)
    status = verify_again(cli, ledger, &place, folder, files->name, files->n, told, error);
  if (status == BT_OK)
    say_made_again(out, told, place.after);
  bt_ledger_close(ledger);
  bt_text_free(&path);
  return status;
}

/* ---- All of it ------------------------------------------------------------------------------- */

static bt_status verify_all(const cli_context *cli, const char *folder, bt_text *out,
                            bt_error *error) {
  verify_manifest files = {0};
  bt_told_case told = {0};
  size_t signals = 0, rows = 0;
  char grouped[BT_IN_FOURS_TEXT];
  bt_status status = verify_manifest_read(folder, &files, error);
  if (status == BT_OK)
    status = bt_told_read(folder, &told, error);
  if (status == BT_OK)
    status = verify_case(&told, &signals, error);
  if (status == BT_OK)
    status = bt_told_compare_readings(folder, &told, error);
  if (status == BT_OK)
    status = bt_told_compare_logs(folder, files.name, files.n, error);
  if (status == BT_OK) {
    for (size_t c = 0; c < told.charts_n; c++)
      rows += told.charts[c].checks_n;
    bt_text_format(out, "whole: %zu files (%s and the %zu that it lists); state %s\n", files.n + 1,
                   VERIFY_MANIFEST, files.n, bt_in_fours(told.state, grouped));
    bt_text_format(out, "limits and %zu signal%s follow from %zu rows of checks.csv\n", signals,
                   signals == 1 ? "" : "s", rows);
    status = check_ledger(cli, folder, &files, &told, out, error);
  }
  if (status == BT_OK)
    status = verify_manifest_digest(folder, out, error);
  if (status == BT_OK)
    bt_text_add(out,
                "\nThat the folder is the one that was given shows when these digits are those on "
                "the paper that came with it: an altered folder can have a new manifest.\n");
  bt_told_free(&told);
  verify_manifest_free(&files);
  return status;
}

cli_exit verify_folder(cli_context *cli, const char *folder) {
  bt_error error = {0};
  bt_text out = {0};
  bt_status status = verify_all(cli, folder, &out, &error);
  if (status != BT_OK)
    bt_error_prefix(&error, "%s", folder);
  cli_exit result = status == BT_OK ? CLI_DONE : cli_error(&error);
  if (status == BT_OK && !cli->quiet)
    result = cli_print_text(&out);
  bt_text_free(&out);
  return result;
}
