/* One log into the ledger: it is surveyed, loaded row by row into an import that was begun, and all
 * of it is committed or nothing. */
#include "import.h"
#include "import_said.h"
#include "stopped.h"

#include "beamtally/emit.h"

#include <stdio.h>
#include <stdlib.h>

/* What the load's sink writes to: the ledger, and what the summary will say. */
typedef struct import_run {
  bt_import *import; /* NULL where nothing is stored */
  const import_rejects *rejects;
  const char *path; /* or what standard input is called */
  bt_text shown;    /* the same, for a line of a terminal */
  int64_t rows, refused;
  import_refusals *kept;
  import_sizes *sizes;
  import_energies energies;
  import_percents percents;
  import_targets targets;
  import_clocks clocks;
  import_made made;
  int64_t check_line, event_line; /* of the last that came */
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
  import_sizes_hear(run->sizes, check);
  import_energies_hear(&run->energies, check);
  import_percents_hear(&run->percents, check);
  import_targets_hear(&run->targets, check);
  import_clocks_hear(&run->clocks, check->time, check->line);
  import_made_hear(&run->made, check);
  run->check_line = check->line;
  bt_status status = go_on(error);
  return status != BT_OK || run->import == NULL ? status
                                                : bt_import_check(run->import, check, error);
}

static bt_status take_event(void *context, const bt_event *event, bt_error *error) {
  import_run *run = context;
  run->rows++;
  run->made.events++;
  run->made.alone += event->line != run->check_line && event->line != run->event_line;
  if (event->line != run->check_line)
    import_clocks_hear(&run->clocks, event->time, event->line);
  run->event_line = event->line;
  bt_status status = go_on(error);
  return status != BT_OK || run->import == NULL ? status
                                                : bt_import_event(run->import, event, error);
}

static bt_status take_refusal(void *context, const bt_refusal *refusal, bt_error *error) {
  import_run *run = context;
  run->rows++;
  run->refused++;
  bt_refused_before before = BT_REFUSED_NEW;
  bt_time first = 0;
  bt_status status = run->import == NULL
                         ? BT_OK
                         : bt_import_refused_before(run->import, refusal, &before, &first, error);
  import_clocks_hear_refusal(&run->clocks, refusal, before == BT_REFUSED_SAME);
  import_refusals_keep(run->kept, refusal, before, first);
  if (run->rejects->file.stream != NULL)
    bt_emit_refusal(refusal, run->rejects->with_file, run->path, run->rejects->file.stream);
  if (status == BT_OK)
    status = go_on(error);
  return status != BT_OK || run->import == NULL ? status
                                                : bt_import_refusal(run->import, refusal, error);
}

/* ---- The file -------------------------------------------------------------------------------- */

static bt_status too_many_refused(const import_run *run, double max_refused, bt_error *error) {
  if (run->rows == 0 || 100.0 * (double)run->refused <= max_refused * (double)run->rows)
    return BT_OK;
  bt_text most = {0};
  import_refusals_most(run->kept, &most);
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
  run->rows = run->made.rows =
      survey->rows; /* in long form a check is many, and a row may note an event beside it */
  run->made.of_events = survey->source.kind == BT_SOURCE_EVENTS;
  return status == BT_OK ? too_many_refused(run, max_refused, error) : status;
}

/* A log that has yet to be written: there is nothing to store, and no ledger is made for it. With
 * --again its rows are none instead of those that were. */
static bool has_no_row(const bt_survey *survey, const import_request *request) {
  return survey->rows == 0 && !request->again;
}

static bool is_mapless(const import_request *request) {
  return request->choices->map == NULL && !request->again;
}

/* A ledger is made only when a file has been surveyed. */
static bt_status begin(const cli_context *cli, bt_ledger **ledger, const bt_survey *survey,
                       const import_request *request, import_run *run, bool *repeated,
                       bt_error *error) {
  bt_status status = BT_OK;
  if (request->dry_run)
    return status;
  if (*ledger == NULL) {
    cli_stopped_wait();
    status = cli_open_unheld(cli, BT_LEDGER_CREATE, ledger, error);
  }
  if (status == BT_OK && is_mapless(request))
    status = import_ask_for_map(*ledger, survey, run->path, error);
  if (status == BT_OK)
    status = bt_import_begin(*ledger, &survey->source, request->again ? &request->by : NULL,
                             request->new_unit, cli->now, &run->import, repeated, error);
  return status;
}

static void print_dry_run(const import_run *run, const import_request *request) {
  bt_text made = {0}, map = {0};
  import_add_made(&run->made, run->refused, &made);
  import_add_by_map(request, &map);
  cli_tell("%s: %lld row%s%s, %lld refused%s; nothing stored (--dry-run)\n",
           bt_text_get(&run->shown), (long long)run->rows, run->rows == 1 ? "" : "s",
           bt_text_get(&made), (long long)run->refused, bt_text_get(&map));
  bt_text_free(&made);
  bt_text_free(&map);
}

/* What a person should look at among the rows that were kept. */
static void say_heard(const import_run *run, bool known) {
  import_sizes_say(run->sizes, known, bt_text_get(&run->shown));
  import_energies_say(&run->energies, bt_text_get(&run->shown));
  import_percents_say(&run->percents, bt_text_get(&run->shown));
  import_targets_say(&run->targets, bt_text_get(&run->shown));
}

static import_run run_begin(const cli_context *cli, const import_request *request,
                            const char *path) {
  import_run run = {.rejects = &request->rejects,
                    .path = bt_input_name(path),
                    .kept = import_refusals_new(),
                    .sizes = import_sizes_new(),
                    .clocks.today = bt_day_of(cli->now),
                    .oldest = INT64_MAX,
                    .newest = INT64_MIN};
  (void)cli_plain(&run.shown, run.path, SIZE_MAX);
  return run;
}

static void run_end(import_run *run) {
  import_sizes_free(run->sizes);
  import_refusals_free(run->kept);
  free(run->made.laser);
  bt_text_free(&run->shown);
}

bt_status import_file(const cli_context *cli, bt_ledger **ledger, const char *path,
                      const import_request *request, bt_import_counts *counts, bt_error *error) {
  bt_survey *survey = NULL;
  import_run run = run_begin(cli, request, path);
  *counts = (bt_import_counts){0};
  cli_stopped_begin(run.path);
  bt_status status = bt_survey_file(path, request->choices, &survey, error);
  if (status != BT_OK && is_mapless(request) && *ledger != NULL)
    status = import_add_map(*ledger, path, request->choices, error);
  path = bt_text_get(&run.shown);
  if (status != BT_OK)
    goto done;
  import_say_identity(survey, path);
  if (has_no_row(survey, request)) {
    cli_say("%s: the file has a header and no row; nothing is stored of it", path);
    goto done;
  }
  status = begin(cli, ledger, survey, request, &run, &counts->repeated, error);
  /* A file that is in the ledger is read again only for the refused lines that --rejects wants. */
  if (status != BT_OK || (counts->repeated && request->rejects.file.stream == NULL))
    goto done;
  if (!counts->repeated)
    import_say_hints(survey, path);
  if (!counts->repeated && !cli->quiet)
    import_say_left_out(survey, path);
  status = load(cli, survey, &run, counts->repeated ? 100 : request->max_refused, error);
  if (status != BT_OK || counts->repeated || request->dry_run)
    import_refusals_show(run.kept, path, counts, status != BT_OK || cli->verbose);
  if (!counts->repeated && (status != BT_OK || request->dry_run))
    import_clocks_say(&run.clocks, path);
  if (status != BT_OK || counts->repeated)
    goto done;
  if (request->dry_run) {
    print_dry_run(&run, request);
  } else {
    bt_import *import = run.import;
    run.import = NULL; /* commit frees it, whatever comes of it */
    cli_stopped_storing();
    status = bt_import_commit(import, counts, error);
    if (counts->another_log) {
      import_refusals_forget(run.kept);
      import_clocks_forget(&run.clocks);
    }
    import_clocks_say(&run.clocks, path);
    import_refusals_show(run.kept, path, counts, cli->verbose);
  }
  if (status == BT_OK)
    say_heard(&run, counts->known > 0);
done:
  bt_import_abandon(run.import);
  if (status != BT_OK) { /* one that was begun for this file goes with it */
    bt_ledger_close(*ledger);
    *ledger = NULL;
  }
  cli_stopped_end();
  if (status == BT_OK && !request->dry_run && !has_no_row(survey, request))
    import_say_summary(cli, path, request, counts, &run.made, run.kept);
  if (status == BT_OK && *ledger != NULL && !counts->repeated && counts->rows > 0)
    import_say_still_refused(*ledger, survey, path, counts);
  if (status == BT_OK && counts->superseded > 0)
    import_say_again(*ledger, survey, path);
  if (status == BT_OK && counts->fresh > 0 && run.oldest <= run.newest)
    import_say_doubled(*ledger, survey, path, run.oldest, run.newest);
  run_end(&run);
  bt_survey_free(survey);
  return status;
}
