/* What the files of `evidence` share. */
#ifndef CLI_EVIDENCE_H
#define CLI_EVIDENCE_H

#include "cli.h"
#include "new_file.h"

#include "beamtally/emit.h"

/* evidence_gather.c: studies the unit for the case, its drift with it, whose span and choices are
 * set, and fills the case from that and the ledger; what is not to be told is taken out of the
 * study. `event` is the number of the event that it is about, 0: none; BT_NOTFOUND where the span
 * has none of it. *study is owned. */
bt_status evidence_study(bt_ledger *ledger, const char *unit, int64_t event, bt_case *one,
                         bt_unit_study **study, bt_error *error) BT_MUST_CHECK;

/* evidence_gather.c: the last check or event of the unit's whole log; 0 where it has none. */
bt_status evidence_last_of_log(bt_ledger *ledger, const char *unit, bt_time *last,
                               bt_error *error) BT_MUST_CHECK;

/* Files of a folder but for copies of logs and the manifest. */
enum { EVIDENCE_FILES = 14 };

/* evidence_files.c: hands over every file of a folder that follows from the ledger but for the PDF,
 * each with what writes it. */
typedef bt_status (*evidence_take)(void *context, const char *name, cli_write write, void *what,
                                   bt_error *error);
bt_status evidence_files(bt_ledger *ledger, const bt_case *one, evidence_take take, void *context,
                         bt_error *error) BT_MUST_CHECK;

/* As typed; NULL what was not. */
typedef struct evidence_options {
  const char *unit, *from, *to, *event, *output, *paper;
  bool sources, remarks, operators, look_back;
} evidence_options;

/* evidence_from.c: whether all is given that a folder needs; where not, what is missing, which
 * first day the record suggests, and the command to type. CLI_USAGE, or the exit status of what
 * failed. */
bool evidence_is_complete(const evidence_options *given);
cli_exit evidence_suggest(const cli_context *cli, const evidence_options *given);

/* evidence_pdf.c: draws the case into that file; says how many characters no font had, if asked
 * to. */
bt_status evidence_pdf(const cli_context *cli, bt_ledger *ledger, const bt_case *one,
                       bool say_missing, const char *path, bt_error *error) BT_MUST_CHECK;
extern const char evidence_maker[]; /* program and version */

/* evidence_tables.c: the rows of one ledger table that belong to the case, as CSV. */
bt_status evidence_table(bt_ledger *ledger, bt_table table, const bt_case *one, FILE *stream,
                         bt_error *error) BT_MUST_CHECK;

/* evidence_tables.c: digests of the unit's checks, in order of the history. */
bt_status evidence_digests(bt_ledger *ledger, const bt_unit_study *study,
                           char (**digest)[BT_DIGEST_TEXT], bt_error *error) BT_MUST_CHECK;

/* ---- evidence_logs.c: the log files themselves ----------------------------------------------- */

typedef struct evidence_log {
  char *name; /* in the evidence folder */
  char *path;
  unsigned char sha256[BT_SHA256_BYTES];
  char *unread; /* what it has that the ledger holds nothing of; NULL: nothing */
} evidence_log;

typedef struct evidence_logs {
  evidence_log *log;
  size_t n, room, writing;
  size_t absent, earlier; /* log files of the case that are not at hand as imported last, and
                             earlier versions of log files that are not */
} evidence_logs;

/* Looks for the case's logs, by name and SHA-256, in these folders, this one and the ledger's.
 * BT_REFUSED where a column of one looks like a patient's identity. */
bt_status evidence_logs_find(const cli_context *cli, bt_ledger *ledger, const bt_case *one,
                             char *const *folders, size_t folders_n, evidence_logs *logs,
                             bt_error *error) BT_MUST_CHECK;

/* Names what goes along unread, and asks whether it may. */
cli_exit evidence_logs_confirm(const cli_context *cli, const evidence_logs *logs) BT_MUST_CHECK;

/* Copies log `writing`; BT_REFUSED where it changed meanwhile. For cli_new_folder_put. */
bt_status evidence_log_write(void *context, FILE *stream, bt_error *error) BT_MUST_CHECK;
void evidence_logs_free(evidence_logs *logs);

/* Appends to what goes along unread, with a comma. */
bt_status evidence_add_unread(evidence_log *log, const char *words, bt_error *error) BT_MUST_CHECK;

/* evidence_columns.c: BT_REFUSED where a column of the log looks like a patient's identity; else
 * `unread` is set where it has columns that the ledger holds nothing of, or lines above them.
 * `reading` is what the ledger says of how it was read. */
bt_status evidence_look_at_columns(evidence_log *log, const char *reading,
                                   bt_error *error) BT_MUST_CHECK;

#endif
