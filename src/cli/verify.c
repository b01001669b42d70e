/* verify: is the ledger as it was written, and does a printed state stand in it? */
#include "cli.h"
#include "help.h"
#include "verify_case.h"

#include <errno.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>

enum { NAME_WIDTH = 60 };

static const char *plural(int64_t n) {
  return n == 1 ? "" : "s";
}

/* ", 242 checks (241 stand, as pages count them; 1 was corrected, withdrawn or read again)". */
static void add_stored(const char *what, int64_t all, int64_t standing, bt_text *out) {
  int64_t others = all - standing;
  bt_text_format(out, ", %lld %s%s", (long long)all, what, plural(all));
  if (others > 0)
    bt_text_format(
        out, " (%lld stand%s, as pages count them; %lld %s corrected, withdrawn or read again)",
        (long long)standing, standing == 1 ? "s" : "", (long long)others,
        others == 1 ? "was" : "were");
}

static void add_whole(const bt_verification *found, const bt_provenance *pages, bt_text *out) {
  char grouped[BT_IN_FOURS_TEXT];
  bt_text_format(out, "whole: %lld entr%s", (long long)found->entries,
                 found->entries == 1 ? "y" : "ies");
  add_stored("check", found->checks, pages->checks, out);
  add_stored("event", found->events, pages->events, out);
  if (found->held > 0)
    bt_text_format(out, ", %lld row%s held back", (long long)found->held, plural(found->held));
  if (found->removed_texts > 0)
    bt_text_format(out, ", %lld text%s removed by a person's word", (long long)found->removed_texts,
                   plural(found->removed_texts));
  bt_text_format(out, "; state %s\n", bt_in_fours(found->state, grouped));
}

/* What the chain alone can't show, and what is no difference but wants to be known. */
static void add_limits(const bt_verification *found, bt_text *out) {
  char at[BT_TIME_TEXT], date[BT_TIME_TEXT], before[BT_TIME_TEXT];
  bt_text_format(out, "this is up to entry %lld", (long long)found->entries);
  if (found->entries > 1)
    bt_text_format(out, ", of %s", bt_time_iso(found->last, true, at));
  bt_text_add(out, ": that no later entry was taken off the end shows only against a state printed "
                   "since, with --state DIGITS\n");
  if (found->backward == 0)
    return;
  bt_text_format(
      out,
      "remark: entry %lld is dated %s, before entry %lld, of %s; the clock was set back, "
      "or SOURCE_DATE_EPOCH set it",
      (long long)found->backward_at, bt_time_iso(found->backward_date, true, date),
      (long long)found->backward_at - 1, bt_time_iso(found->backward_before, true, before));
  if (found->backward > 1)
    bt_text_format(out, " (and %lld more such entr%s)", (long long)found->backward - 1,
                   found->backward == 2 ? "y" : "ies");
  bt_text_add(out, "\n");
}

static void add_place(const bt_state_place *place, bt_text *out) {
  char at[BT_TIME_TEXT];
  if (place->entry == 1)
    bt_text_format(out, "the state given is that of every new ledger, before anything was entered");
  else
    bt_text_format(out, "the state given stands at entry %lld, of %s", (long long)place->entry,
                   bt_time_iso(place->at, true, at));
  if (place->after == 0)
    bt_text_add(out, "; nothing was entered since\n");
  else
    bt_text_format(out, "; %lld entr%s came after it\n", (long long)place->after,
                   place->after == 1 ? "y" : "ies");
}

/* Files of one name stand in the order of their imports: a log that was mended, or has grown, is
 * there in several versions, and a folder holds one of them. */
static bool is_earlier(const bt_source_file *files, size_t n, size_t i) {
  return files[i].at_hand == BT_NOT_AT_HAND && i + 1 < n &&
         strcmp(files[i].name, files[i + 1].name) == 0;
}

/* "3 log files in 4 versions, looked for in this folder: 1 as imported, 3 not here", and with
 * --verbose each by its name. */
static void add_files(const bt_source_file *files, size_t n, bool verbose, bt_text *out) {
  enum { EARLIER = BT_NOT_AT_HAND + 1 };
  static const char *const words[] = {[BT_AT_HAND_SAME] = "as imported",
                                      [BT_AT_HAND_DIFFERENT] = "another file of that name",
                                      [BT_NOT_AT_HAND] = "not here",
                                      [EARLIER] =
                                          "not here, of which a later version was imported"};
  size_t count[sizeof words / sizeof *words] = {0};
  const char *between = ":";
  size_t names = 0;
  for (size_t i = 0; i < n; i++)
    names += i == 0 || strcmp(files[i].name, files[i - 1].name) != 0;
  for (size_t i = 0; i < n; i++)
    count[is_earlier(files, n, i) ? (size_t)EARLIER : (size_t)files[i].at_hand]++;
  if (n == 0)
    return;
  bt_text_format(out, "%zu log file%s", names, plural((int64_t)names));
  if (names < n)
    bt_text_format(out, " in %zu versions", n);
  bt_text_add(out, ", looked for in this folder");
  for (size_t w = 0; w < sizeof words / sizeof *words; w++)
    if (count[w] > 0) {
      bt_text_format(out, "%s %zu %s", between, count[w], words[w]);
      between = ",";
    }
  bt_text_add(out, "\n");
  if (count[BT_NOT_AT_HAND] > 0)
    bt_text_add(out,
                "  not here is no fault: the ledger holds what they said; to hold it against them, "
                "run this\n  in the folder where they lie, with --ledger FILE\n");
  for (size_t i = 0; i < n && verbose; i++) {
    bt_text_add(out, "  ");
    (void)cli_plain(out, files[i].name, NAME_WIDTH);
    bt_text_format(out, ": %s\n",
                   words[is_earlier(files, n, i) ? (size_t)EARLIER : (size_t)files[i].at_hand]);
  }
}

/* Notes, no differences of the ledger: the record stands whatever became of the logs. */
static void say_files(const bt_source_file *files, size_t n) {
  for (size_t i = 0; i < n; i++) {
    bool repeated = i > 0 && strcmp(files[i].name, files[i - 1].name) == 0;
    if (files[i].at_hand != BT_AT_HAND_DIFFERENT || repeated)
      continue;
    bt_text name = {0};
    (void)cli_plain(&name, files[i].name, NAME_WIDTH);
    cli_say("note: %s in this folder is not the file that was imported under that name",
            bt_text_get(&name));
    bt_text_free(&name);
  }
}

static bt_status verify(const cli_context *cli, bt_ledger *ledger, const char *state, bt_text *out,
                        bt_error *error) {
  bt_verification found;
  bt_state_place place;
  bt_source_file *files = NULL;
  size_t files_n = 0;
  cli_progress progress = cli_progress_begin(cli, "verifying");
  bt_watcher watcher = {cli_progress_tick, &progress};
  bt_ledger_watch(ledger, &watcher);
  bt_status status = bt_ledger_verify(ledger, &found, error);
  bt_ledger_watch(ledger, NULL);
  cli_progress_clear(&progress);
  if (status == BT_DAMAGED && state != NULL)
    cli_say("the state given was not looked for, because the ledger is not whole:");
  if (status != BT_OK)
    return status;
  bt_provenance pages;
  status = bt_ledger_provenance(ledger, NULL, &pages, error);
  if (status != BT_OK)
    return status;
  add_whole(&found, &pages, out);
  add_limits(&found, out);
  status = bt_ledger_compare_files(ledger, ".", &files, &files_n, error);
  if (status == BT_OK)
    add_files(files, files_n, cli->verbose, out);
  if (status == BT_OK && !cli->quiet)
    say_files(files, files_n);
  bt_source_files_free(files, files_n);
  if (status == BT_OK && state != NULL) {
    status = bt_ledger_find_state(ledger, state, &place, error);
    if (status == BT_OK)
      add_place(&place, out);
  }
  return status;
}

/* Where triggers are gone that forbid edits, says as well what was edited. */
static void say_edit(const cli_context *cli) {
  bt_error error = {0};
  bt_ledger *ledger = NULL;
  bt_verification found;
  bt_status status = bt_ledger_open_unguarded(cli->ledger, &ledger, &error);
  if (status == BT_OK && bt_ledger_verify(ledger, &found, &error) == BT_DAMAGED)
    (void)cli_error(&error);
  bt_ledger_close(ledger);
}

cli_exit cli_verify(cli_context *cli, int argc, char **argv) {
  const char *state = NULL;
  const cli_option table[] = {{"state", &state, NULL, 0}};
  int first;
  if (!cli_options(cli, argc, argv, table, sizeof table / sizeof *table, &first))
    return CLI_USAGE;
  if (cli->help)
    return cli_print_help(help_verify);
  if (first + 1 < argc || (first < argc && state != NULL)) {
    cli_say(state != NULL ? "verify --state takes no further words; put the digits between quotes"
                          : "verify takes one folder or one report");
    return CLI_USAGE;
  }
  struct stat there;
  if (first < argc && stat(argv[first], &there) != 0 && errno == ENOENT) {
    cli_say("%s: there is no such file or folder; give a report, or a folder that `evidence` made",
            argv[first]);
    return CLI_FAILED;
  }
  if (first < argc)
    return stat(argv[first], &there) == 0 && S_ISREG(there.st_mode)
               ? verify_issued(cli, argv[first])
               : verify_folder(cli, argv[first]);

  bt_error error = {0};
  bt_ledger *ledger = NULL;
  bt_text out = {0};
  bt_state_place place;
  bt_status status = cli_open_unheld(cli, BT_LEDGER_READ, &ledger, &error);
  bool opened = status == BT_OK;
  /* A state that can't be one is said before the ledger is read through. */
  if (status == BT_OK && state != NULL &&
      bt_ledger_find_state(ledger, state, &place, &error) == BT_USAGE)
    status = BT_USAGE;
  if (status == BT_OK)
    status = verify(cli, ledger, state, &out, &error);
  cli_exit result = status == BT_OK ? CLI_DONE : cli_error(&error);
  if (!opened && status == BT_DAMAGED)
    say_edit(cli);
  if ((!cli->quiet || !bt_text_ok(&out)) && cli_print_text(&out) != CLI_DONE)
    result = CLI_FAILED;
  bt_text_free(&out);
  bt_ledger_close(ledger);
  return result;
}
