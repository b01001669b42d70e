/* What the files of `report` share. */
#ifndef CLI_REPORT_H
#define CLI_REPORT_H

#include "pages.h"

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

/* Of one unit's report that the progress counts. */
enum { REPORT_STEPS = 4 };

/* report_unit.c: FOLDER/part-2026-09.pdf, or FOLDER/part-2026-09-rev1.pdf, or the file that was
 * named. */
void report_file_name(const report_run *run, const char *part, int64_t revision, bt_text *path);

/* report_unit.c: the PDF of one unit, a draft or an issue; `part` names it. */
bt_status report_unit(report_run *run, const char *unit, const char *part,
                      bt_error *error) BT_MUST_CHECK;

/* report_unit.c: what a signed page shows was verified before it was read. */
bt_status report_hold_whole(bt_ledger *ledger, bt_error *error) BT_MUST_CHECK;

#endif
