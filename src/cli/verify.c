/* verify: is the ledger as it was written, and does a printed state stand in it? */
#include "cli.h"
#include "help.h"

#include <stdio.h>

enum { NAME_WIDTH = 60 };

static const char *plural(int64_t n) {
  return n == 1 ? "" : "s";
}

static void add_whole(const bt_verification *found, bt_text *out) {
  bt_text_format(out, "whole: %lld entr%s, %lld check%s, %lld event%s", (long long)found->entries,
                 found->entries == 1 ? "y" : "ies", (long long)found->checks, plural(found->checks),
                 (long long)found->events, plural(found->events));
  if (found->held > 0)
    bt_text_format(out, ", %lld row%s held back", (long long)found->held, plural(found->held));
  if (found->removed_texts > 0)
    bt_text_format(out, ", %lld text%s removed by a person's word", (long long)found->removed_texts,
                   plural(found->removed_texts));
  bt_text_add(out, "; state");
  for (const char *at = found->state; *at != '\0'; at += 4) /* in groups, as reports print it */
    bt_text_format(out, " %.4s", at);
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

/* Notes, no differences of the ledger: the record stands whatever became of the logs. */
static void say_files(const bt_source_files *files) {
  for (size_t i = 0; i < files->different_n; i++) {
    bt_text name = {0};
    (void)cli_plain(&name, files->different[i], NAME_WIDTH);
    cli_say("note: %s in this folder is not the file that was imported under that name",
            bt_text_get(&name));
    bt_text_free(&name);
  }
}

static bt_status verify(const cli_context *cli, bt_ledger *ledger, const char *state, bt_text *out,
                        bt_error *error) {
  bt_verification found;
  bt_state_place place;
  bt_source_files files = {0};
  bt_status status = bt_ledger_verify(ledger, &found, error);
  if (status == BT_DAMAGED && state != NULL)
    cli_say("the state given was not looked for, because the ledger is not whole:");
  if (status != BT_OK)
    return status;
  add_whole(&found, out);
  status = bt_ledger_compare_files(ledger, ".", &files, error);
  if (status == BT_OK && files.same > 0)
    bt_text_format(out, "%lld file%s in this folder %s as imported\n", (long long)files.same,
                   plural(files.same), files.same == 1 ? "is" : "are");
  if (status == BT_OK && !cli->quiet)
    say_files(&files);
  bt_names_free(files.different, files.different_n);
  if (status == BT_OK && state != NULL) {
    status = bt_ledger_find_state(ledger, state, &place, error);
    if (status == BT_OK)
      add_place(&place, out);
  }
  return status;
}

cli_exit cli_verify(cli_context *cli, int argc, char **argv) {
  const char *state = NULL;
  const cli_option table[] = {{"state", &state, NULL, 0}};
  int first;
  if (!cli_options(cli, argc, argv, table, sizeof table / sizeof *table, &first))
    return CLI_USAGE;
  if (cli->help)
    return cli_print(help_verify);
  if (first != argc) {
    cli_say("verify takes no further words; put the digits of --state between quotes");
    return CLI_USAGE;
  }

  bt_error error = {0};
  bt_ledger *ledger = NULL;
  bt_text out = {0};
  bt_state_place place;
  bt_status status = cli_open(cli, BT_LEDGER_READ, &ledger, &error);
  /* A state that can't be one is said before the ledger is read through. */
  if (status == BT_OK && state != NULL &&
      bt_ledger_find_state(ledger, state, &place, &error) == BT_USAGE)
    status = BT_USAGE;
  if (status == BT_OK)
    status = verify(cli, ledger, state, &out, &error);
  cli_exit result = status == BT_OK ? CLI_DONE : cli_error(&error);
  if (!bt_text_ok(&out)) {
    status = bt_fail_memory(&error);
    result = cli_error(&error);
  } else if (!cli->quiet && cli_print(bt_text_get(&out)) != CLI_DONE) {
    result = CLI_FAILED;
  }
  bt_text_free(&out);
  bt_ledger_close(ledger);
  return result;
}
