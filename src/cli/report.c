/* report: the monthly PDF of each laser. */
#include "pages.h"

#include "help.h"

#include "beamtally/emit.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

typedef struct report_run {
  const cli_context *cli;
  bt_ledger *ledger;
  bt_draw *draw;
  const char *folder;
  const char *file; /* the PDF itself, of one unit; NULL: named by unit and month */
  bt_report_request page;
  bt_time until;
  const char *issued_by; /* NULL: drafts */
  bool look;             /* something wants a look under --strict */
  bool compare;          /* all units were asked for, and there are several */
  bool folder_made;      /* by this run: it goes again where nothing comes into it */
  pages_compared all;
  cli_progress progress;
  size_t steps, steps_n; /* done and all, of all units */
} report_run;

static bt_status make_folder(const char *folder, bool *made, bt_error *error) {
  struct stat there;
  *made = mkdir(folder, 0777) == 0;
  if (*made)
    return BT_OK;
  if (errno == EEXIST && stat(folder, &there) == 0 && S_ISDIR(there.st_mode))
    return BT_OK;
  return bt_fail(error, BT_SYSTEM, "the folder \"%s\" can't be made: %s; name another by -o",
                 folder, strerror(errno));
}

/* FOLDER/unit-name-2026-09.pdf, or FOLDER/unit-name-2026-09-rev1.pdf, or the file that was named.
 */
static void file_name(const report_run *run, const char *part, int64_t revision, bt_text *path) {
  if (run->file != NULL) {
    bt_text_add(path, run->file);
    return;
  }
  bt_civil month = bt_civil_of(run->page.month);
  bt_text_format(path, "%s/%s-%04d-%02d", run->folder, part, month.year, month.month);
  if (revision > 0)
    bt_text_format(path, "-rev%lld", (long long)revision);
  bt_text_add(path, ".pdf");
}

/* What a unit's report is made of besides today's study. */
typedef struct report_sources {
  bt_book book;
  bt_issued *issued;
  size_t issued_n;
  bt_unit_study *before; /* as the last issue of the month saw it; NULL without one */
} report_sources;

static void free_sources(report_sources *sources) {
  bt_book_free(&sources->book);
  bt_issued_free(sources->issued, sources->issued_n);
  bt_unit_study_free(sources->before);
}

/* The unit as it stood when that issue was made, up to the same day as today's report. */
static bt_status study_before(report_run *run, const bt_study_request *request,
                              const bt_issued *issue, report_sources *sources, int64_t *entry,
                              bt_error *error) {
  bt_state_place place;
  bt_status status = bt_ledger_find_state(run->ledger, issue->state, &place, error);
  if (status != BT_OK)
    return status;
  bt_ledger_as_of(run->ledger, place.entry);
  status = bt_study_unit(run->ledger, request, &sources->before, error);
  bt_drift_request drift = {.read_on = run->page.created};
  if (status == BT_OK)
    status = bt_study_drift(run->ledger, &drift, sources->before, error);
  bt_ledger_as_of(run->ledger, 0);
  *entry = place.entry;
  return status;
}

/* Months before are gone through only where a forecast stands, which their score is told beside. */
static bt_status look_for_drift(report_run *run, bt_unit_study *study, bt_error *error) {
  bt_drift_request drift = {.read_on = run->page.created};
  bt_status status = bt_study_drift(run->ledger, &drift, study, error);
  bool stands = false;
  for (size_t i = 0; status == BT_OK && i < study->drift->n; i++)
    stands = stands || study->drift->drift[i].forecast.use == BT_FORECAST_GIVEN;
  drift.past_months = CLI_PAST_MONTHS;
  return stands ? bt_study_drift(run->ledger, &drift, study, error) : status;
}

/* A draft after an issue shows what the next revision would say, too. */
static bt_status read_sources(report_run *run, const bt_study_request *request,
                              report_sources *sources, bt_error *error) {
  const bt_issued *last = NULL;
  int64_t entry = INT64_MAX;
  bt_status status = bt_ledger_issued(run->ledger, request->unit, run->page.month, &sources->issued,
                                      &sources->issued_n, error);
  for (size_t i = 0; status == BT_OK && i < sources->issued_n; i++)
    if (last == NULL || sources->issued[i].number > last->number)
      last = &sources->issued[i];
  if (status == BT_OK && last != NULL)
    status = study_before(run, request, last, sources, &entry, error);
  if (status == BT_OK)
    status = bt_ledger_book(run->ledger, request->unit, entry, &sources->book, error);
  run->page.revision = run->issued_by == NULL ? 0 : last == NULL ? 1 : last->number + 1;
  run->page.book = &sources->book;
  run->page.before = sources->before;
  run->page.before_issue = last;
  return status;
}

/* A file of that name that no entry knows of is somebody's, or what a failure left. */
static bt_status must_be_new(const char *path, bool named, bt_error *error) {
  struct stat there;
  if (lstat(path, &there) != 0)
    return BT_OK;
  if (named)
    return bt_fail(error, BT_REFUSED,
                   "%s is there already, and no issue goes over a file; name "
                   "another with -o",
                   path);
  return bt_fail(error, BT_REFUSED,
                 "%s is there, though the ledger knows of no such issue; move it away first", path);
}

/* The PDF stands under its name; now the ledger says so. */
static bt_status enter_issue(const report_run *run, const bt_unit_study *study, const char *path,
                             bt_error *error) {
  bt_issued issued = {.unit = bt_copy(study->history.unit),
                      .month = run->page.month,
                      .by = bt_copy(run->issued_by)};
  memcpy(issued.state, study->provenance.state, sizeof issued.state);
  bt_status status = issued.unit == NULL || issued.by == NULL ? bt_fail_memory(error) : BT_OK;
  if (status == BT_OK)
    status = cli_sync_folder(run->folder, run->folder, error);
  if (status == BT_OK)
    status = bt_emit_file_digest(path, issued.sha256, error);
  if (status == BT_OK)
    status = bt_ledger_add_issued(run->ledger, &issued, run->cli->now, error);
  free(issued.unit);
  free(issued.by);
  return status;
}

static bt_status compose(const void *of, const bt_report_request *request,
                         const bt_measure *measure, bt_document *document, bt_error *error) {
  return bt_report_month(of, request, measure, document, error);
}

static bt_status write_pdf(report_run *run, const bt_unit_study *study, const char *path,
                           bt_error *error) {
  bt_document document = {0};
  bt_status status = run->issued_by == NULL
                         ? pages_may_replace(run->ledger, path, BT_FORMAT_PDF, error)
                         : must_be_new(path, run->file != NULL, error);
  if (status == BT_OK)
    status = pages_compose(run->draw, &run->page, compose, study, &document, error);
  bool composed = status == BT_OK;
  if (composed && run->issued_by == NULL)
    status = bt_draw_file(run->draw, &document, BT_FORMAT_PDF, path, error);
  if (composed && run->issued_by != NULL) {
    status = bt_draw_new_file(run->draw, &document, BT_FORMAT_PDF, path, error);
    bool ours = status == BT_OK; /* what is there else is another run's, issued or about to be */
    if (ours)
      status = enter_issue(run, study, path, error);
    if (ours && status != BT_OK)
      (void)unlink(path); /* a PDF that the ledger knows nothing of is no issue */
    if (status != BT_OK)
      bt_error_prefix(error, "nothing was issued");
  }
  bt_document_free(&document);
  return status;
}

/* What a signed page shows was verified before it was read. */
static bt_status hold_whole(bt_ledger *ledger, bt_error *error) {
  bt_status status = bt_ledger_hold_whole(ledger, error);
  if (status == BT_DAMAGED)
    bt_error_prefix(error, "nothing is issued from a ledger that is not whole");
  return status;
}

enum { STEPS = 4 }; /* of a unit's report that the progress counts */

static void step(report_run *run) {
  cli_progress_show(&run->progress, run->steps++, run->steps_n);
}

/* A report of a month without a check is no slip of the pen only where it is said. */
static void say_empty(const report_run *run, const bt_unit_study *study) {
  bt_civil month = bt_civil_of(run->page.month);
  bt_time end = bt_month_start(run->page.month, 1);
  for (size_t i = 0; i < study->history.n; i++)
    if (study->history.at[i] >= run->page.month && study->history.at[i] < end)
      return;
  if (!run->cli->quiet)
    cli_say("%s: the ledger holds no check of %04d-%02d, and the report of that month says so",
            study->history.unit, month.year, month.month);
}

static bt_status report_unit(report_run *run, const char *unit, const char *part, bt_error *error) {
  bt_study_request request = {.unit = unit, .until = run->until, .concluded_until = INT64_MAX};
  bt_unit_study *study = NULL;
  report_sources sources = {0};
  bt_text path = {0};
  bt_status status = run->issued_by == NULL ? BT_OK : hold_whole(run->ledger, error);
  step(run);
  if (status == BT_OK)
    status = read_sources(run, &request, &sources, error);
  step(run);
  if (status == BT_OK)
    status = bt_study_unit(run->ledger, &request, &study, error);
  step(run);
  if (status == BT_OK)
    status = look_for_drift(run, study, error);
  step(run);
  if (status == BT_OK) {
    file_name(run, part, run->page.revision, &path);
    bt_time whole = run->page.from; /* which the comparison of all units shows */
    run->page.from = pages_from(study, run->page.to);
    status = bt_text_ok(&path) ? write_pdf(run, study, bt_text_get(&path), error)
                               : bt_fail_memory(error);
    run->page.from = whole;
  }
  if (status == BT_OK && run->compare)
    status = pages_compare(&run->all, study, &run->page, bt_text_get(&path), error);
  if (status == BT_OK) {
    run->look = run->look || cli_wants_a_look(study);
    cli_progress_clear(&run->progress);
    say_empty(run, study);
    if (!run->cli->quiet)
      (void)printf("%s\n", bt_text_get(&path));
  }
  bt_text_free(&path);
  bt_unit_study_free(study);
  free_sources(&sources);
  return status;
}

/* The sentence about the laser that is not whole says that nothing is made of the ledger. */
static void say_made_all_the_same(size_t made) {
  if (made > 0)
    cli_say("%zu other report%s made all the same: what %s of %s laser is as it was entered. Keep "
            "%s back until `beamtally verify` finds the ledger whole",
            made, made == 1 ? " was" : "s were", made == 1 ? "it shows" : "each shows",
            made == 1 ? "that" : "its", made == 1 ? "it" : "them");
}

/* Reports of the asked units. One that fails is named, and the others are made all the same. */
static bool report_units(report_run *run, char *const *all, char *const *parts, size_t all_n,
                         char *const *asked, size_t n) {
  size_t made = 0;
  bool done = true, whole = true;
  run->progress = cli_progress_begin(run->cli, n == 1 ? "report, steps" : "reports, steps");
  run->steps_n = STEPS * n;
  for (size_t i = 0; i < all_n; i++) {
    bt_error error = {0};
    if (!pages_is_among(asked, n, all[i]))
      continue;
    bt_status status = report_unit(run, all[i], parts[i], &error);
    made += status == BT_OK;
    whole = whole && status != BT_DAMAGED;
    if (status == BT_OK)
      continue;
    cli_progress_clear(&run->progress);
    bt_error_prefix(&error, "%s", all[i]);
    (void)cli_error(&error);
    done = false;
  }
  cli_progress_clear(&run->progress);
  if (!whole)
    say_made_all_the_same(made);
  return done;
}

/* A comparison without one of them would not be of all units: none is made. */
static bool compare_units(report_run *run) {
  bt_error error = {0};
  bt_text path = {0};
  file_name(run, pages_overview_part, 0, &path);
  bt_status status = bt_text_ok(&path)
                         ? pages_may_replace(run->ledger, bt_text_get(&path), BT_FORMAT_PDF, &error)
                         : bt_fail_memory(&error);
  if (status == BT_OK)
    status = pages_write_comparison(&run->all, &run->page, run->draw, bt_text_get(&path), &error);
  if (status != BT_OK)
    (void)cli_error(&error);
  else if (!run->cli->quiet)
    (void)printf("%s\n", bt_text_get(&path));
  bt_text_free(&path);
  return status == BT_OK;
}

static cli_exit make_reports(report_run *run, const char *unit) {
  bt_error error = {0};
  char **names = NULL, **all = NULL, **parts = NULL;
  size_t n = 0, all_n = 0;
  bt_settings settings = {0};
  cli_exit answer = CLI_DONE;
  bool made = false, begun = true;
  bt_status status = cli_open(run->cli, run->issued_by == NULL ? BT_LEDGER_READ : BT_LEDGER_WRITE,
                              &run->ledger, &error);
  if (status == BT_OK && run->issued_by != NULL)
    status = hold_whole(run->ledger, &error);
  if (status == BT_OK)
    status = cli_units(run->ledger, unit, &names, &n, &error);
  if (status == BT_OK && run->file != NULL && !pages_is_one(run->file, n)) {
    answer = CLI_USAGE;
    goto done;
  }
  if (status == BT_OK)
    status = cli_units(run->ledger, NULL, &all, &all_n, &error);
  if (status == BT_OK)
    status = pages_month_has_begun(run->ledger, names, n, run->page.month, &begun, &error);
  if (status == BT_OK && !begun) {
    answer = CLI_USAGE;
    goto done;
  }
  if (status == BT_OK)
    status = pages_created(run->cli, run->ledger, &run->page.created, &error);
  if (status == BT_OK)
    status = bt_ledger_settings(run->ledger, &settings, &error);
  if (status == BT_OK)
    status = pages_open_draw(&settings, &run->draw, &error);
  if (status == BT_OK && run->issued_by != NULL)
    status = pages_ask_issue(run->cli, run->ledger, names, n, run->page.month, run->until, &answer,
                             &error);
  if (answer != CLI_DONE)
    goto done;
  if (status == BT_OK && run->file == NULL)
    status = make_folder(run->folder, &run->folder_made, &error);
  /* A unit's file is named by its place among all units, so that --unit changes no name. */
  if (status == BT_OK && (parts = pages_file_parts(all, all_n)) == NULL)
    status = bt_fail_memory(&error);
  if (status == BT_OK) {
    run->compare = unit == NULL && n > 1;
    made = report_units(run, all, parts, all_n, names, n) && (!run->compare || compare_units(run));
    pages_say_missing(run->draw);
  } else {
    (void)cli_error(&error);
  }
done:
  if (run->folder_made && !made)
    (void)rmdir(run->folder); /* one that a report stands in stays */
  pages_compared_free(&run->all);
  bt_draw_close(run->draw);
  bt_settings_free(&settings);
  bt_names_free(names, n);
  bt_names_free(all, all_n);
  bt_names_free(parts, parts == NULL ? 0 : all_n);
  bt_ledger_close(run->ledger);
  if (answer != CLI_DONE)
    return answer;
  if (!made)
    return CLI_FAILED;
  return run->cli->strict && run->look ? CLI_ATTENTION : CLI_DONE;
}

/* -o names a folder, or one PDF. */
static cli_exit make_at(report_run *run, const char *unit, const char *output) {
  bt_error error = {0};
  char *folder = NULL;
  if (cli_names_output(output, &error) != BT_OK)
    return cli_error(&error);
  run->folder = output;
  if (pages_is_file(output)) {
    folder = bt_folder_of(output);
    if (folder == NULL && bt_fail_memory(&error) != BT_OK)
      return cli_error(&error);
    run->file = output;
    run->folder = folder;
  }
  cli_exit result = make_reports(run, unit);
  free(folder);
  return result;
}

cli_exit cli_report(cli_context *cli, int argc, char **argv) {
  const char *unit = NULL, *month = NULL, *paper = "a4", *output = "reports", *by = NULL;
  bool issue = false;
  const cli_option table[] = {
      {"unit", &unit, NULL, 0},       {"month", &month, NULL, 0}, {"paper", &paper, NULL, 0},
      {"output", &output, NULL, 'o'}, {"issue", NULL, &issue, 0}, {"by", &by, NULL, 0},
  };
  int first;
  report_run run = {.cli = cli};
  if (!cli_options(cli, argc, argv, table, sizeof table / sizeof *table, &first))
    return CLI_USAGE;
  if (cli->help)
    return cli_print(help_report);
  if (!cli_needs(cli, "month", month) || !cli_month("month", month, &run.page.month) ||
      !pages_paper(paper, &run.page.paper))
    return CLI_USAGE;
  if (issue && !cli_needs(cli, "by", by))
    return CLI_USAGE;
  if (!issue && by != NULL) {
    cli_say("--by belongs to --issue; without it the report is a draft that nobody signs");
    return CLI_USAGE;
  }
  if (first != argc) {
    cli_say("report takes no further words; see `beamtally report --help`");
    return CLI_USAGE;
  }
  bt_time today_ends = cli_today_ends(cli);
  if (run.page.month >= today_ends) {
    cli_say("--month %s has not begun yet", month);
    return CLI_USAGE;
  }
  run.issued_by = issue ? by : NULL;
  run.page.to = bt_month_start(run.page.month, 1);
  run.page.from = bt_month_start(run.page.month, 1 - PAGES_MONTHS_SHOWN);
  run.until = run.page.to < today_ends ? run.page.to : today_ends;
  return make_at(&run, unit, output);
}
