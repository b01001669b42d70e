/* The monthly PDF of one laser: a draft, or an issue, which the ledger is told of. */
#include "ended.h"
#include "new_file.h"
#include "report.h"

#include "beamtally/emit.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

void report_file_name(const report_run *run, const char *part, int64_t revision, bt_text *path) {
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
  /* From here on a PDF may be left without its entry, which the next issue finds and says, but no
   * entry without its PDF. */
  bt_passing_forget(path);
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
    cli_ended_wait(); /* the PDF and its entry, or neither */
    status = bt_draw_new_file(run->draw, &document, BT_FORMAT_PDF, path, error);
    bool ours = status == BT_OK; /* what is there else is another run's, issued or about to be */
    if (ours)
      status = enter_issue(run, study, path, error);
    if (ours && status != BT_OK)
      (void)unlink(path); /* a PDF that the ledger knows nothing of is no issue */
    cli_ended_go_on();
    if (status != BT_OK)
      bt_error_prefix(error, "nothing was issued");
  }
  bt_document_free(&document);
  return status;
}

bt_status report_hold_whole(bt_ledger *ledger, bt_error *error) {
  bt_status status = bt_ledger_hold_whole(ledger, error);
  if (status == BT_DAMAGED)
    bt_error_prefix(error, "nothing is issued from a ledger that is not whole");
  return status;
}

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

bt_status report_unit(report_run *run, const char *unit, const char *part, bt_error *error) {
  bt_study_request request = {.unit = unit, .until = run->until, .concluded_until = INT64_MAX};
  bt_unit_study *study = NULL;
  report_sources sources = {0};
  bt_text path = {0};
  bt_status status = run->issued_by == NULL ? BT_OK : report_hold_whole(run->ledger, error);
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
    report_file_name(run, part, run->page.revision, &path);
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
      cli_tell("%s\n", bt_text_get(&path));
  }
  bt_text_free(&path);
  bt_unit_study_free(study);
  free_sources(&sources);
  return status;
}
