/* import: log files into the ledger, each in one transaction. */
#include "cli.h"
#include "help.h"
#include "import_said.h"

#include "beamtally/emit.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

static const double default_max_refused = 20;

typedef struct import_options {
  cli_reading reading;
  const char *max_refused, *rejects;
  bool new_unit, dry_run, again;
  bt_again by; /* whose word --again is */
  int words_n; /* the command as it was typed */
  char **words;
} import_options;

/* Where --rejects writes to; its stream is NULL without. */
typedef struct import_rejects {
  cli_new_file file;
  bool with_file; /* several logs: their names go into a column */
} import_rejects;

/* What the load's sink writes to: the ledger, and what the summary will say. */
typedef struct import_run {
  bt_import *import; /* NULL where nothing is stored */
  const import_rejects *rejects;
  const char *path;
  int64_t rows, refused;
  cli_refusals *kept;
  cli_sizes *sizes;
  cli_energies energies;
  cli_percents percents;
  cli_progress progress;
  int64_t surveyed;       /* rows that the survey counted */
  bt_time oldest, newest; /* of its checks; oldest > newest where there are none */
} import_run;

/* ---- The sink -------------------------------------------------------------------------------- */

/* The sentence is that of cli_stopped_end. */
static bt_status go_on(bt_error *error) {
  return cli_stopped_asked() ? bt_fail(error, BT_SYSTEM, "stopped by a signal") : BT_OK;
}

static bt_status take_check(void *context, const bt_check *check, bt_error *error) {
  import_run *run = context;
  run->rows++;
  if (run->rows % 1024 == 0)
    cli_progress_show(&run->progress, (size_t)run->rows, (size_t)run->surveyed);
  run->oldest = check->time < run->oldest ? check->time : run->oldest;
  run->newest = check->time > run->newest ? check->time : run->newest;
  cli_sizes_hear(run->sizes, check);
  cli_energies_hear(&run->energies, check);
  cli_percents_hear(&run->percents, check);
  bt_status status = go_on(error);
  return status != BT_OK || run->import == NULL ? status
                                                : bt_import_check(run->import, check, error);
}

static bt_status take_event(void *context, const bt_event *event, bt_error *error) {
  import_run *run = context;
  run->rows++;
  bt_status status = go_on(error);
  return status != BT_OK || run->import == NULL ? status
                                                : bt_import_event(run->import, event, error);
}

static bt_status take_refusal(void *context, const bt_refusal *refusal, bt_error *error) {
  import_run *run = context;
  run->rows++;
  run->refused++;
  bool before = false;
  bt_time first = 0;
  bt_status status = run->import == NULL
                         ? BT_OK
                         : bt_import_refused_before(run->import, refusal, &before, &first, error);
  cli_refusals_keep(run->kept, refusal, before ? &first : NULL);
  if (run->rejects->file.stream != NULL)
    bt_emit_refusal(refusal, run->rejects->with_file, run->path, run->rejects->file.stream);
  if (status == BT_OK)
    status = go_on(error);
  return status != BT_OK || run->import == NULL ? status
                                                : bt_import_refusal(run->import, refusal, error);
}

/* ---- One file -------------------------------------------------------------------------------- */

static bt_status too_many_refused(const import_run *run, double max_refused, bt_error *error) {
  if (run->rows == 0 || 100.0 * (double)run->refused <= max_refused * (double)run->rows)
    return BT_OK;
  bt_text most = {0};
  cli_refusals_most(run->kept, &most);
  bt_status status =
      bt_fail(error, BT_REFUSED,
              "%lld of %lld lines were refused, more than %g %%; nothing was stored.%s. See all "
              "reasons above: a map or an option may settle them (`beamtally columns` shows how "
              "the file is read)%s",
              (long long)run->refused, (long long)run->rows, max_refused, bt_text_get(&most),
              run->refused < run->rows ? ", or say --max-refused 100" : "");
  bt_text_free(&most);
  return status;
}

/* Loads a surveyed file into an import that was begun (or into none, in a dry run). */
static bt_status load(const cli_context *cli, const bt_survey *survey, import_run *run,
                      double max_refused, bt_error *error) {
  bt_sink sink = {
      .context = run, .check = take_check, .event = take_event, .refusal = take_refusal};
  bt_time latest = (bt_day_of(cli->now) + 2) * BT_DAY - 1;
  run->progress = cli_progress_begin(cli, "rows");
  run->surveyed = survey->rows;
  bt_status status = bt_load_file(survey, latest, &sink, error);
  cli_progress_clear(&run->progress);
  run->rows =
      survey->rows; /* in long form a check is many, and a row may note an event beside it */
  return status == BT_OK ? too_many_refused(run, max_refused, error) : status;
}

/* A log that has yet to be written: there is nothing to store, and no ledger is made for it. With
 * --again its rows are none instead of those that were. */
static bool has_no_row(const bt_survey *survey, const import_options *options) {
  return survey->rows == 0 && !options->again;
}

/* A ledger is made only when a file has been surveyed. */
static bt_status begin(const cli_context *cli, bt_ledger **ledger, const bt_survey *survey,
                       const import_options *options, import_run *run, bool *repeated,
                       bt_error *error) {
  bt_status status = BT_OK;
  if (options->dry_run)
    return status;
  if (*ledger == NULL) {
    cli_stopped_wait();
    status = cli_open_unheld(cli, BT_LEDGER_CREATE, ledger, error);
  }
  if (status == BT_OK)
    status = bt_import_begin(*ledger, &survey->source, options->again ? &options->by : NULL,
                             options->new_unit, cli->now, &run->import, repeated, error);
  return status;
}

static bt_status import_file(const cli_context *cli, bt_ledger **ledger, const char *path,
                             const bt_reading_choices *choices, const import_options *options,
                             const import_rejects *rejects, double max_refused,
                             bt_import_counts *counts, bt_error *error) {
  bt_survey *survey = NULL;
  import_run run = {.rejects = rejects,
                    .path = bt_input_name(path),
                    .kept = cli_refusals_new(),
                    .sizes = cli_sizes_new(),
                    .oldest = INT64_MAX,
                    .newest = INT64_MIN};
  *counts = (bt_import_counts){0};
  cli_stopped_begin(run.path);
  bt_status status = bt_survey_file(path, choices, &survey, error);
  path = run.path; /* in words */
  if (status != BT_OK)
    goto done;
  import_say_identity(survey, path);
  if (has_no_row(survey, options)) {
    cli_say("%s: the file has a header and no row; nothing is stored of it", path);
    goto done;
  }
  status = begin(cli, ledger, survey, options, &run, &counts->repeated, error);
  /* A file that is in the ledger is read again only for the refused lines that --rejects wants. */
  if (status != BT_OK || (counts->repeated && rejects->file.stream == NULL))
    goto done;
  if (!counts->repeated)
    import_say_hints(survey, path);
  if (!counts->repeated && !cli->quiet)
    import_say_left_out(survey, path);
  status = load(cli, survey, &run, counts->repeated ? 100 : max_refused, error);
  if (status != BT_OK || counts->repeated || options->dry_run)
    cli_refusals_show(run.kept, path, counts, status != BT_OK || cli->verbose);
  if (status != BT_OK || counts->repeated)
    goto done;
  if (options->dry_run) {
    (void)printf("%s: %lld row%s, %lld refused; nothing stored (--dry-run)\n", path,
                 (long long)run.rows, run.rows == 1 ? "" : "s", (long long)run.refused);
  } else {
    bt_import *import = run.import;
    run.import = NULL; /* commit frees it, whatever comes of it */
    cli_stopped_storing();
    status = bt_import_commit(import, counts, error);
    cli_refusals_show(run.kept, path, counts, cli->verbose);
  }
  if (status == BT_OK) {
    cli_sizes_say(run.sizes, path);
    cli_energies_say(&run.energies, path);
    cli_percents_say(&run.percents, path);
  }
done:
  bt_import_abandon(run.import);
  if (status != BT_OK) { /* one that was begun for this file goes with it */
    bt_ledger_close(*ledger);
    *ledger = NULL;
  }
  cli_stopped_end();
  cli_sizes_free(run.sizes);
  if (status == BT_OK && !options->dry_run && !has_no_row(survey, options))
    import_say_summary(cli, path, options->by.instead_of, counts, run.kept);
  if (status == BT_OK && counts->superseded > 0)
    import_say_again(*ledger, survey, path);
  if (status == BT_OK && counts->fresh > 0 && run.oldest <= run.newest)
    import_say_doubled(*ledger, survey, path, run.oldest, run.newest);
  cli_refusals_free(run.kept);
  bt_survey_free(survey);
  return status;
}

/* How a laser that the ledger does not know comes in. */
static void say_new_unit(const import_options *options) {
  bt_text command = {0};
  for (int i = 1; i < options->words_n; i++) {
    const char *word = options->words[i];
    bt_text_add(&command, " ");
    for (; word[0] == '-' && word[1] != '\0'; word++) /* of an option */
      bt_text_add(&command, "-");
    bt_text_add_shell_word(&command, word);
  }
  cli_say("nothing of this file was stored; where it is another laser: `beamtally import "
          "--new-unit%s`",
          bt_text_get(&command));
  bt_text_free(&command);
}

static cli_exit import_files(const cli_context *cli, bt_ledger **ledger, int n, char **paths,
                             const bt_reading_choices *choices, const import_options *options,
                             const import_rejects *rejects, double max_refused) {
  cli_exit result = CLI_DONE;
  for (int i = 0; i < n; i++) {
    bt_error error = {0};
    bt_import_counts counts;
    bt_status status =
        import_file(cli, ledger, paths[i], choices, options, rejects, max_refused, &counts, &error);
    if (status != BT_OK) {
      bt_error_prefix(&error, "%s", bt_input_name(paths[i]));
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
static cli_exit import_all(const cli_context *cli, int n, char **paths,
                           const bt_reading_choices *choices, const import_options *options,
                           double max_refused) {
  bt_error error = {0};
  bt_ledger *ledger = NULL;
  import_rejects rejects = {.with_file = n > 1};
  cli_exit result = CLI_DONE;
  bt_status status =
      options->rejects == NULL ? BT_OK : cli_new_file_open(&rejects.file, options->rejects, &error);
  if (status == BT_OK && options->rejects != NULL)
    bt_emit_refusals_header(rejects.with_file, rejects.file.stream);
  if (status == BT_OK && !options->dry_run && access(cli->ledger, F_OK) == 0)
    status = cli_open_unheld(cli, BT_LEDGER_CREATE, &ledger, &error); /* held for its settings */
  if (status == BT_OK)
    result = import_files(cli, &ledger, n, paths, choices, options, &rejects, max_refused);
  if (status == BT_OK && options->rejects != NULL)
    status = cli_new_file_keep(&rejects.file, &error);
  if (status != BT_OK)
    result = cli_error(&error);
  cli_new_file_close(&rejects.file);
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
static bool options_fit(const cli_context *cli, const import_options *options,
                        double *max_refused) {
  if (options->max_refused != NULL &&
      (!cli_number("max-refused", options->max_refused, max_refused) || *max_refused < 0 ||
       *max_refused > 100)) {
    cli_say("--max-refused is a share from 0 to 100");
    return false;
  }
  if (options->again)
    return cli_needs(cli, "by", options->by.by) && cli_needs(cli, "why", options->by.why);
  if (options->by.by == NULL && options->by.why == NULL && options->by.instead_of == NULL)
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
      {"new-unit", NULL, &options.new_unit, 0},
      {"dry-run", NULL, &options.dry_run, 0},
      {"rejects", &options.rejects, NULL, 0},
      {"max-refused", &options.max_refused, NULL, 0},
      {"again", NULL, &options.again, 0},
      {"by", &options.by.by, NULL, 0},
      {"why", &options.by.why, NULL, 0},
      {"instead-of", &options.by.instead_of, NULL, 0},
  };
  int first;
  double max_refused = default_max_refused;
  if (!cli_options(cli, argc, argv, table, sizeof table / sizeof *table, &first))
    return CLI_USAGE;
  if (cli->help)
    return cli_print(help_import);
  if (!options_fit(cli, &options, &max_refused))
    return CLI_USAGE;
  if (first == argc) {
    cli_say("import needs a log file; see `beamtally import --help`");
    return CLI_USAGE;
  }
  options.by.instead_of = name_alone(options.by.instead_of);
  if (options.by.instead_of != NULL && argc - first > 1) {
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
  if (options.again && !options.dry_run)
    result = ask_again(cli, argc - first, argv + first, options.by.instead_of);
  if (result != CLI_DONE)
    return result;
  if (cli_settings_if_any(cli, &settings, &error) != BT_OK)
    return cli_error(&error);
  if (cli_reading_choices(&options.reading, &settings, &choices, &result)) {
    choices.spool_beside = cli->ledger;
    result = import_all(cli, argc - first, argv + first, &choices, &options, max_refused);
  }
  bt_reading_choices_free(&choices);
  bt_settings_free(&settings);
  return result;
}
