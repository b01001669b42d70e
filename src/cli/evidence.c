/* evidence: a folder for the manufacturer's engineer, complete in itself and to be checked without
 * Beamtally.
 *
 * R1 The folder is written whole or not at all, never over one that is there.
 * R2 All of it is of one moment of the ledger; the same ledger gives the same bytes. Without --to
 *    the span ends with the last day that the unit's log holds, whatever day it is made on.
 * R3 The ledger is verified first; one that is not whole gives no folder.
 * R4 A span without a check is no case: no folder is made.
 * R5 Remarks, names of people, the look-back list and the log files go in only when asked for. */
#include "evidence.h"

#include "help.h"
#include "pages.h"
#include "verify_case.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

typedef struct evidence_run {
  const cli_context *cli;
  bt_ledger *ledger;
  const evidence_options *options;
  bt_case one;
  bt_unit_study *study;
  cli_new_folder folder;
  cli_progress progress; /* in files */
  bt_text digest;        /* what is said of the manifest */
  evidence_logs logs;
  char **log_names; /* of logs, in order; borrowed */
  char **names;     /* of the files in the folder */
  size_t names_n, names_room;
} evidence_run;

/* ---- Files ----------------------------------------------------------------------------------- */

static bt_status remember(evidence_run *run, const char *name, bt_error *error) {
  char *copy = bt_copy(name);
  if (copy == NULL ||
      !bt_grow(&run->names, &run->names_room, run->names_n + 1, sizeof *run->names)) {
    free(copy);
    return bt_fail_memory(error);
  }
  run->names[run->names_n++] = copy;
  return BT_OK;
}

/* The manifest is one more. */
static void show_progress(evidence_run *run) {
  cli_progress_show(&run->progress, run->names_n, EVIDENCE_FILES + run->logs.n + 1);
}

static bt_status put(void *context, const char *name, cli_write write, void *what,
                     bt_error *error) {
  evidence_run *run = context;
  show_progress(run);
  bt_status status = cli_new_folder_put(&run->folder, name, write, what, error);
  return status == BT_OK ? remember(run, name, error) : status;
}

static bt_status put_pdf(evidence_run *run, bt_error *error) {
  static const char name[] = "evidence.pdf";
  bt_text path = {0};
  show_progress(run);
  bt_text_format(&path, "%s/%s", run->folder.temporary, name);
  bool noted = bt_text_ok(&path) && bt_passing_note(bt_text_get(&path));
  bt_status status = noted ? BT_OK : bt_fail_memory(error);
  if (status == BT_OK) {
    status = evidence_pdf(run->cli, run->ledger, &run->one, true, bt_text_get(&path), error);
    if (status != BT_OK)
      cli_new_folder_unname(&run->folder, error);
  }
  if (status == BT_OK)
    status = remember(run, name, error);
  if (status != BT_OK) /* whatever became of the page: the folder goes */
    bt_error_prefix(error, "%s was not made", run->folder.path);
  bt_text_free(&path);
  return status;
}

/* ---- Manifest -------------------------------------------------------------------------------- */

static int by_name(const void *a, const void *b) {
  return strcmp(*(char *const *)a, *(char *const *)b);
}

/* As sha256sum reads it. */
static bt_status write_manifest(void *context, FILE *stream, bt_error *error) {
  const evidence_run *run = context;
  bt_text path = {0};
  bt_status status = BT_OK;
  for (size_t i = 0; i < run->names_n && status == BT_OK; i++) {
    unsigned char sha256[BT_SHA256_BYTES] = {0};
    char hex[BT_SHA256_TEXT];
    bt_text_clear(&path);
    bt_text_format(&path, "%s/%s", run->folder.temporary, run->names[i]);
    status = bt_text_ok(&path) ? bt_emit_file_digest(bt_text_get(&path), sha256, error)
                               : bt_fail_memory(error);
    if (status == BT_OK)
      (void)fprintf(stream, "%s  %s\n", bt_sha256_text(sha256, hex), run->names[i]);
  }
  bt_text_free(&path);
  return status;
}

/* ---- The folder ------------------------------------------------------------------------------ */

static bt_status write_folder(evidence_run *run, bt_error *error) {
  bt_status status = cli_new_folder_open(&run->folder, run->options->output, error);
  if (status == BT_OK)
    status = evidence_files(run->ledger, &run->one, put, run, error);
  for (size_t i = 0; i < run->logs.n && status == BT_OK; i++) {
    run->logs.writing = i;
    status = put(run, run->logs.log[i].name, evidence_log_write, &run->logs, error);
  }
  if (status == BT_OK)
    status = put_pdf(run, error);
  if (status == BT_OK) {
    qsort(run->names, run->names_n, sizeof *run->names, by_name);
    status = cli_new_folder_put(&run->folder, "MANIFEST.sha256", write_manifest, run, error);
  }
  if (status == BT_OK) {
    status = verify_manifest_digest(run->folder.temporary, &run->digest, error);
    if (status != BT_OK) {
      cli_new_folder_unname(&run->folder, error);
      bt_error_prefix(error, "%s", run->folder.path);
    }
  }
  if (status == BT_OK && !bt_text_ok(&run->digest))
    status = bt_fail_memory(error);
  if (status == BT_OK)
    status = cli_still_as_read(run->ledger, run->study->provenance.state, error); /* R2 */
  return status == BT_OK ? cli_new_folder_keep(&run->folder, error) : status;
}

/* R2: the end of the last day that the unit's log holds. */
static bt_status find_end(evidence_run *run, const char *unit, bt_error *error) {
  bt_time last = 0;
  if (run->one.to != 0)
    return BT_OK;
  bt_status status = evidence_last_of_log(run->ledger, unit, &last, error);
  run->one.to = (bt_day_of(last) + 1) * BT_DAY;
  if (status == BT_OK && run->one.to <= run->one.from)
    status = bt_fail(error, BT_NOTFOUND,
                     "the log of \"%s\" ends before --from; give an earlier day", unit);
  return status;
}

/* The event's number, 0 without one. */
static bt_status event_number(const evidence_run *run, int64_t *number, bt_error *error) {
  double read = 0;
  if (run->options->event != NULL &&
      (!bt_number_parse(run->options->event, BT_DECIMAL_POINT, &read) || !(read >= 1) ||
       read > 1e15 || read != (double)(int64_t)read))
    return bt_fail(error, BT_USAGE,
                   "--event is \"%s\"; `beamtally event --list` lists their numbers",
                   run->options->event);
  *number = (int64_t)read;
  return BT_OK;
}

/* R4. */
static bt_status has_check(const evidence_run *run, bt_error *error) {
  const bt_unit_study *unit = run->study;
  char from[BT_TIME_TEXT], to[BT_TIME_TEXT], last[BT_TIME_TEXT];
  if (unit->has_check && unit->last_check >= run->one.from)
    return BT_OK;
  (void)bt_time_day_iso(run->one.from, from);
  (void)bt_time_day_iso(run->one.to - 1, to);
  if (!unit->has_check)
    return bt_fail(error, BT_NOTFOUND,
                   "the log of \"%s\" holds no check up to %s, so there is no case to make; "
                   "`beamtally import FILE` brings its checks in",
                   unit->history.unit, to);
  return bt_fail(error, BT_NOTFOUND,
                 "the log of \"%s\" holds no check from %s to %s, so there is no case to make; the "
                 "last one before is of %s: give an earlier --from%s",
                 unit->history.unit, from, to, bt_time_day_iso(unit->last_check, last),
                 run->options->to != NULL ? ", or a later --to" : "");
}

static bt_status study(evidence_run *run, const char *unit, bt_error *error) {
  int64_t event = 0;
  bt_status status = event_number(run, &event, error);
  if (status == BT_OK)
    status = evidence_study(run->ledger, unit, event, &run->one, &run->study, error);
  return status == BT_OK ? has_check(run, error) : status;
}

static bt_status name_logs(evidence_run *run, bt_error *error) {
  run->log_names = bt_new(run->logs.n, sizeof *run->log_names);
  if (run->log_names == NULL)
    return bt_fail_memory(error);
  for (size_t i = 0; i < run->logs.n; i++)
    run->log_names[i] = run->logs.log[i].name;
  qsort(run->log_names, run->logs.n, sizeof *run->log_names, by_name);
  run->one.logs = run->logs.n;
  run->one.log_names = (const char *const *)run->log_names;
  return BT_OK;
}

static void say_done(const evidence_run *run) {
  const bt_unit_study *unit = run->study;
  if (run->cli->quiet)
    return;
  char grouped[BT_IN_FOURS_TEXT];
  cli_tell("%s: %zu files (MANIFEST.sha256 and the %zu that it lists); ledger state %s\n",
           run->options->output, run->names_n + 1, run->names_n,
           bt_in_fours(unit->provenance.state, grouped));
  (void)cli_put_seen(bt_text_get(&run->digest), stdout); /* a failure stays with the stream */
  cli_tell("\n");
  cli_tell("Put these digits on the paper that goes with the folder: whoever alters a file has to "
           "make another manifest.\n");
  if (run->logs.n > 0)
    cli_say("the log files went along whole, with all their columns and the rows of other lasers");
  if (!run->options->remarks || !run->options->operators)
    cli_say("left out%s%s%s; see `beamtally evidence --help`", run->logs.n > 0 ? " elsewhere" : "",
            run->options->remarks ? "" : ": remarks and notes",
            run->options->operators ? ""
            : run->options->remarks ? ": names of people"
                                    : ", names of people");
}

static cli_exit make(evidence_run *run, char *const *folders, size_t folders_n) {
  bt_error error = {0};
  char *unit = NULL;
  cli_exit asked = CLI_DONE;
  run->progress = cli_progress_begin(run->cli, "files");
  bt_status status = cli_open_whole(run->cli, &run->ledger,
                                    "no case is made from a ledger that is not whole", &error);
  if (status == BT_OK)
    status = bt_ledger_find_unit(run->ledger, run->options->unit, &unit, &error);
  if (status == BT_OK)
    status = find_end(run, unit, &error);
  if (status == BT_OK)
    status = study(run, unit, &error);
  if (status == BT_OK && run->options->sources) {
    status = evidence_logs_find(run->cli, run->ledger, &run->one, folders, folders_n, &run->logs,
                                &error);
    if (status == BT_OK)
      asked = evidence_logs_confirm(run->cli, &run->logs);
    if (status == BT_OK)
      status = name_logs(run, &error);
  }
  if (status == BT_OK && asked == CLI_DONE)
    status = write_folder(run, &error);
  cli_progress_clear(&run->progress);
  cli_exit result = status != BT_OK ? cli_error(&error) : asked;
  if (result == CLI_DONE)
    say_done(run);
  if (result == CLI_DONE && run->cli->strict && cli_wants_a_look(run->study))
    result = CLI_ATTENTION;
  cli_new_folder_close(&run->folder);
  free(run->log_names);
  evidence_logs_free(&run->logs);
  bt_names_free(run->names, run->names_n);
  bt_text_free(&run->digest);
  bt_case_free(&run->one);
  bt_unit_study_free(run->study);
  free(unit);
  bt_ledger_close(run->ledger);
  return result;
}

cli_exit cli_evidence(cli_context *cli, int argc, char **argv) {
  evidence_options options = {.paper = "a4"};
  bt_paper paper = BT_PAPER_A4;
  const cli_option table[] = {
      {"unit", &options.unit, NULL, 0},
      {"from", &options.from, NULL, 0},
      {"to", &options.to, NULL, 0},
      {"event", &options.event, NULL, 0},
      {"paper", &options.paper, NULL, 0},
      {"output", &options.output, NULL, 'o'},
      {"with-sources", NULL, &options.sources, 0},
      {"with-remarks", NULL, &options.remarks, 0},
      {"with-operator", NULL, &options.operators, 0},
      {"with-look-back", NULL, &options.look_back, 0},
  };
  evidence_run run = {.cli = cli, .options = &options};
  int first;
  if (!cli_options(cli, argc, argv, table, sizeof table / sizeof *table, &first))
    return CLI_USAGE;
  if (cli->help)
    return cli_print_help(help_evidence);
  if (!evidence_is_complete(&options))
    return evidence_suggest(cli, &options);
  if (!cli_day("from", options.from, &run.one.from) ||
      (options.to != NULL && !cli_end("to", options.to, &run.one.to)) ||
      !pages_paper(options.paper, &paper))
    return CLI_USAGE;
  if (options.to != NULL && run.one.to <= run.one.from) {
    cli_say("--to is before --from");
    return CLI_USAGE;
  }
  if (first != argc && !options.sources) {
    cli_say("further words are folders that --with-sources looks for logs in; give it too");
    return CLI_USAGE;
  }
  run.one.format = BT_CASE_FORMAT;
  run.one.made_by = evidence_maker;
  run.one.letter = paper == BT_PAPER_LETTER;
  run.one.with_remarks = options.remarks;
  run.one.with_operator = options.operators;
  run.one.with_look_back = options.look_back;
  return make(&run, argv + first, (size_t)(argc - first));
}
