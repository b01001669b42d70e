/* Help texts: each opens with an example. */
#ifndef CLI_HELP_H
#define CLI_HELP_H

#include "beamtally/base.h"

/* Adds the text with its lists, which stand between braces (help_lists.c). */
void help_fill(const char *help, bt_text *out);

#define HELP_COMMON                                                                                \
  "  --ledger FILE            the ledger; else $BEAMTALLY_LEDGER, else beamtally.sqlite here\n"    \
  "  --strict --yes --quiet --verbose --help\n"

/* What settling a conflict does: the list and the question say it in the same words. */
#define HELP_KEEP_OLD  "what stands goes on standing, the rows that came are not taken"
#define HELP_KEEP_NEW  "the rows that came take the place of what stands, which is superseded"
#define HELP_KEEP_BOTH "what stands stays, each row that came and differs is one more check"

/* help.c: logs, what the record shows, and the ledger itself. */
extern const char help_import[], help_columns[], help_status[], help_analyse[], help_drift[],
    help_chart[], help_report[], help_runlength[], help_verify[], help_backup[], help_export[],
    help_evidence[];

/* help_people.c: what people put into the record. */
extern const char help_event[], help_settings[], help_baseline[], help_record[], help_correct[],
    help_conflicts[], help_signals[], help_resolve[];

#endif
