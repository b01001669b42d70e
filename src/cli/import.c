/* import: log files into the ledger, each in one transaction. */
#include "import.h"
#include "help.h"
#include "reading.h"

#include "beamtally/emit.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

static const double default_max_refused = 20;

typedef struct import_options {
  cli_reading reading;
  const char *max_refused, *rejects;
  import_request request;
  int words_n; /* the command as it was typed */
  char **words;
} import_options;

/* How a laser that the ledger does not know comes in. */
static void say_new_unit(const import_options *options) {
  bt_text command = {0}, shown = {0};
  for (int i = 1; i < options->words_n; i++) {
    const char *word = options->words[i];
    bt_text_add(&command, " ");
    for (; word[0] == '-' && word[1] != '\0'; word++) /* of an option */
      bt_text_add(&command, "-");
    bt_text_add_shell_word(&command, word);
  }
  (void)cli_plain(&shown, bt_text_get(&command), SIZE_MAX);
  cli_say("nothing of this file was stored; where it is another laser: `beamtally import "
          "--new-unit%s`",
          bt_text_get(&shown));
  bt_text_free(&command);
  bt_text_free(&shown);
}

static cli_exit import_files(const cli_context *cli, bt_ledger **ledger, int n, char **paths,
                             const import_options *options) {
  cli_exit result = CLI_DONE;
  for (int i = 0; i < n; i++) {
    bt_error error = {0};
    bt_import_counts counts;
    bt_status status = import_file(cli, ledger, paths[i], &options->request, &counts, &error);
    if (status != BT_OK) {
      bt_text name = {0};
      (void)cli_plain(&name, bt_input_name(paths[i]), SIZE_MAX);
      bt_error_prefix(&error, "%s", bt_text_get(&name));
      bt_text_free(&name);
      (void)cli_error(&error);
      if (counts.unknown_units)
        say_new_unit(options);
      result = CLI_FAILED;
    } else if (cli->strict && result == CLI_DONE &&
               (counts.refused > counts.left_out || counts.conflicts > 0)) {
      result = CLI_ATTENTION;
    }
  }
  return result;
}

/* Says what reading anew does, and asks. */
static cli_exit ask_again(const cli_context *cli, int n, char **paths, const char *instead_of) {
  bt_text effect = {0};
  for (int i = 0; i < n; i++) {
    (void)cli_plain(&effect, bt_input_name(paths[i]), SIZE_MAX);
    bt_text_add(&effect, "\n");
  }
  if (instead_of != NULL) {
    bt_text_add(&effect, "Its rows supersede the rows of ");
    (void)cli_plain(&effect, instead_of, SIZE_MAX);
    bt_text_add(&effect,
                " that stand, but for what a person corrected or settled. All\nof them stay "
                "on record.\n");
  } else
    bt_text_format(
        &effect,
        "Where the ledger has %s: the rows as they are read now supersede the rows from "
        "it that stand,\nbut for what a person corrected or settled. All of them stay on "
        "record; --dry-run shows how it is read.\n",
        n == 1 ? "this file" : "such a file");
  cli_exit answer = cli_confirm_effect(cli, &effect);
  bt_text_free(&effect);
  return answer;
}

/* All files, with the ledger and the file of refused lines opened and closed around them. */
static cli_exit import_all(const cli_context *cli, int n, char **paths, import_options *options) {
  bt_error error = {0};
  bt_ledger *ledger = NULL;
  import_rejects *rejects = &options->request.rejects;
  rejects->with_file = n > 1;
  cli_exit result = CLI_DONE;
  bt_status status = options->rejects == NULL
                         ? BT_OK
                         : cli_new_file_open(&rejects->file, options->rejects, &error);
  if (status == BT_OK && options->rejects != NULL)
    bt_emit_refusals_header(rejects->with_file, rejects->file.stream);
  if (status == BT_OK && !options->request.dry_run && access(cli->ledger, F_OK) == 0)
    status = cli_open_unheld(cli, BT_LEDGER_CREATE, &ledger, &error); /* held for its settings */
  if (status == BT_OK)
    result = import_files(cli, &ledger, n, paths, options);
  if (status == BT_OK && options->rejects != NULL)
    status = cli_new_file_keep(&rejects->file, &error);
  if (status != BT_OK)
    result = cli_error(&error);
  cli_new_file_close(&rejects->file);
  bt_ledger_close(ledger);
  return result;
}

/* A ledger knows a log by its name without folders: that of a path is meant, and said. */
static const char *name_alone(const char *path) {
  const char *slash = path == NULL ? NULL : strrchr(path, '/');
  if (slash == NULL || slash[1] == '\0')
    return path;
  cli_say("--instead-of %s: taken as %s, the name that a log is stored by", path, slash + 1);
  return slash + 1;
}

/* False, after a sentence, where the options don't go together. */
static bool options_fit(const cli_context *cli, import_options *options) {
  import_request *request = &options->request;
  request->max_refused = default_max_refused;
  if (options->max_refused != NULL &&
      (!cli_number("max-refused", options->max_refused, &request->max_refused) ||
       request->max_refused < 0 || request->max_refused > 100)) {
    cli_say("--max-refused is a share from 0 to 100");
    return false;
  }
  if (request->again)
    return cli_needs(cli, "by", request->by.by) && cli_needs(cli, "why", request->by.why);
  if (request->by.by == NULL && request->by.why == NULL && request->by.instead_of == NULL)
    return true;
  cli_say(
      "--by, --why and --instead-of belong to --again, which reads a file anew in another way, or "
      "a mended one in the place of another");
  return false;
}

cli_exit cli_import(cli_context *cli, int argc, char **argv) {
  import_options options = {.words_n = argc, .words = argv};
  const cli_option table[] = {
      CLI_READING_OPTIONS(options.reading),
      {"new-unit", NULL, &options.request.new_unit, 0},
      {"dry-run", NULL, &options.request.dry_run, 0},
      {"rejects", &options.rejects, NULL, 0},
      {"max-refused", &options.max_refused, NULL, 0},
      {"again", NULL, &options.request.again, 0},
      {"by", &options.request.by.by, NULL, 0},
      {"why", &options.request.by.why, NULL, 0},
      {"instead-of", &options.request.by.instead_of, NULL, 0},
  };
  int first;
  if (!cli_options(cli, argc, argv, table, sizeof table / sizeof *table, &first))
    return CLI_USAGE;
  if (cli->help)
    return cli_print_help(help_import);
  if (!options_fit(cli, &options))
    return CLI_USAGE;
  if (first == argc) {
    cli_say("import needs a log file; see `beamtally import --help`");
    return CLI_USAGE;
  }
  options.request.by.instead_of = name_alone(options.request.by.instead_of);
  if (options.request.by.instead_of != NULL && argc - first > 1) {
    cli_say(
        "--instead-of names the log whose place one file takes; import the others by themselves");
    return CLI_USAGE;
  }

  if (!cli_reads_input_once(options.reading.map, argc - first, argv + first))
    return CLI_USAGE;

  bt_error error = {0};
  bt_settings settings;
  bt_reading_choices choices;
  cli_exit result = CLI_DONE;
  if (options.request.again && !options.request.dry_run)
    result = ask_again(cli, argc - first, argv + first, options.request.by.instead_of);
  if (result != CLI_DONE)
    return result;
  if (cli_settings_if_any(cli, &settings, &error) != BT_OK)
    return cli_error(&error);
  if (cli_reading_choices(&options.reading, &settings, &choices, &result)) {
    choices.spool_beside = cli->ledger;
    options.request.choices = &choices;
    result = import_all(cli, argc - first, argv + first, &options);
  }
  bt_reading_choices_free(&choices);
  bt_settings_free(&settings);
  return result;
}
