/* What import says of a log and of what became of it. */
#ifndef IMPORT_SAID_H
#define IMPORT_SAID_H

#include "import_heard.h"

/* Columns and rows that look like a patient's identity. */
void import_say_identity(const bt_survey *survey, const char *path);

/* What speaks against how the log is read. */
void import_say_hints(const bt_survey *survey, const char *path);

/* Columns that are not stored and perhaps should be. */
void import_say_left_out(const bt_survey *survey, const char *path);

/* What an import that reads a file again means for the rest of the record. */
void import_say_again(bt_ledger *ledger, const bt_survey *survey, const char *path);

/* That its checks stand twice, since another log has them with a time of day, or without one. */
void import_say_doubled(bt_ledger *ledger, const bt_survey *survey, const char *path,
                        bt_time oldest, bt_time newest);

/* Rows, new, known, conflicts, refused; on standard output. `instead_of`: the log whose place it
 * took; NULL: none. */
void import_say_summary(const cli_context *cli, const char *path, const char *instead_of,
                        const bt_import_counts *counts, const import_refusals *refusals);

#endif
