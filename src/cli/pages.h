/* What chart and report share: the span shown, the paper, and writing a document. */
#ifndef CLI_PAGES_H
#define CLI_PAGES_H

#include "cli.h"

#include "beamtally/draw.h"
#include "beamtally/report.h"

enum { PAGES_MONTHS_SHOWN = 6 };

bool pages_paper(const char *text, bt_paper *paper) BT_MUST_CHECK;

/* With the face that the settings name; where it can't be read a warning says so, and the pages are
 * set without. *draw is closed by the caller, after a failure too where it isn't NULL. */
bt_status pages_open_draw(const bt_settings *settings, bt_draw **draw,
                          bt_error *error) BT_MUST_CHECK;

/* When the document is said to be made: the ledger's last entry, or $SOURCE_DATE_EPOCH. */
bt_status pages_created(const cli_context *cli, bt_ledger *ledger, bt_time *created,
                        bt_error *error) BT_MUST_CHECK;

/* Where charts up to `to` begin where nobody said: six months back, in a younger log with the month
 * of the first check. */
bt_time pages_from(const bt_unit_study *study, bt_time to);

/* A unit's name as part of a file name: ASCII letters and digits in lower case, Latin letters with
 * marks as plain ones, the rest one hyphen. */
void pages_file_part(const char *name, bt_text *out);

/* That of each unit's report: with a number where an earlier unit has that part, or the comparison
 * has, whose own is pages_overview_part. Owned list of n (bt_names_free), NULL without memory. */
char **pages_file_parts(char *const *units, size_t n) BT_MUST_CHECK;
bool pages_is_among(char *const *names, size_t n, const char *name);
extern const char pages_overview_part[];

/* Says how many characters no font had, once the pages are drawn. */
void pages_say_missing(const bt_draw *draw);

/* One way of composing a document: what `of` is, its own caller knows. */
typedef bt_status pages_composer(const void *of, const bt_report_request *request,
                                 const bt_measure *measure, bt_document *document, bt_error *error);

/* Composes, and composes anew where the footers have to count characters that no font has; what
 * the request counts is not read. The document is freed by the caller, after a failure too. */
bt_status pages_compose(bt_draw *draw, const bt_report_request *request, pages_composer *compose,
                        const void *of, bt_document *document, bt_error *error) BT_MUST_CHECK;

/* ---- report_overview.c ----------------------------------------------------------------------- */

/* Units that a report has gone through, for the page that compares them. Zeroed, it is empty. */
typedef struct pages_compared {
  bt_overview_row *rows;
  size_t n, room;
  char *clinic;
  char state[sizeof((bt_provenance){0}.state)];
} pages_compared;

/* Notes a unit whose own report is the file at `path`. */
bt_status pages_compare(pages_compared *all, const bt_unit_study *study,
                        const bt_report_request *request, const char *path,
                        bt_error *error) BT_MUST_CHECK;

/* Writes the comparison as a PDF; sorts the units. */
bt_status pages_write_comparison(pages_compared *all, const bt_report_request *request,
                                 bt_draw *draw, const char *path, bt_error *error) BT_MUST_CHECK;

void pages_compared_free(pages_compared *all);

/* ---- report_output.c ------------------------------------------------------------------------- */

/* True when -o names a PDF (by its ending) and no folder is there under that name. */
bool pages_is_file(const char *output) BT_MUST_CHECK;

/* True where one unit's report goes into the file; else what to do is said. */
bool pages_is_one(const char *file, size_t units_n) BT_MUST_CHECK;

/* ---- replaced.c ------------------------------------------------------------------------------ */

/* BT_REFUSED where a chart or draft of that format would go over a file that is no such page (a
 * ledger, a log), or over an issued report. */
bt_status pages_may_replace(bt_ledger *ledger, const char *path, bt_format format,
                            bt_error *error) BT_MUST_CHECK;

/* ---- report_span.c --------------------------------------------------------------------------- */

/* *begun is false, after a sentence with their span, where all checks of the units are later than
 * the month. */
bt_status pages_month_has_begun(bt_ledger *ledger, char *const *units, size_t n, bt_time month,
                                bool *begun, bt_error *error) BT_MUST_CHECK;

/* ---- report_issue.c -------------------------------------------------------------------------- */

/* Says which revision of each unit's report would be issued, and asks where a person is there. That
 * the month isn't over or that nothing changed is said in any case; of a month that isn't over a
 * script needs --yes. `until`: the first moment after what the report goes up to. */
bt_status pages_ask_issue(const cli_context *cli, bt_ledger *ledger, char *const *units, size_t n,
                          bt_time month, bt_time until, cli_exit *answer,
                          bt_error *error) BT_MUST_CHECK;

#endif
