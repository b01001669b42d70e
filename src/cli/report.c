/* report: the monthly PDF of each laser. */
#include "report.h"
#include "help.h"
#include "new_file.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

static bt_status make_folder(const char *folder, bool *made, bt_error *error) {
  struct stat there;
  *made = bt_passing_folder(folder);
  if (*made)
    return BT_OK;
  if (errno == EEXIST && stat(folder, &there) == 0 && S_ISDIR(there.st_mode))
    return BT_OK;
  return bt_fail(error, BT_SYSTEM, "the folder \"%s\" can't be made: %s; name another by -o",
                 folder, strerror(errno));
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
  run->steps_n = REPORT_STEPS * n;
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
  report_file_name(run, pages_overview_part, 0, &path);
  bt_status status = bt_text_ok(&path)
                         ? pages_may_replace(run->ledger, bt_text_get(&path), BT_FORMAT_PDF, &error)
                         : bt_fail_memory(&error);
  if (status == BT_OK)
    status = pages_write_comparison(&run->all, &run->page, run->draw, bt_text_get(&path), &error);
  if (status != BT_OK)
    (void)cli_error(&error);
  else if (!run->cli->quiet)
    cli_tell("%s\n", bt_text_get(&path));
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
    status = report_hold_whole(run->ledger, &error);
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
  if (run->folder_made)
    bt_passing_forget(run->folder);
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
    return cli_print_help(help_report);
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
