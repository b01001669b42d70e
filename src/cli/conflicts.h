/* What conflicts' files share. */
#ifndef CLI_CONFLICTS_H
#define CLI_CONFLICTS_H

#include "cli.h"

/* "  stands   energy_mj 1.61, pattern pass", continued under its first word. */
void conflicts_add_wrapped(bt_text *out, const char *label, const char *words);

/* A conflict with its id, both sides, and how it was settled. */
void conflicts_add(const bt_conflict *conflict, bt_text *out);

/* What --keep does, a line each, as the help says it. */
void conflicts_add_keep(bt_keep keep, bt_text *out);

/* File, line, column and reason, since when it is refused no more, and by whom and why it was left
 * out. */
void refused_line_add(const bt_refused_line *line, bt_text *out);

cli_exit conflicts_list_refused(const cli_context *cli, bool all);

/* Leaves out those that words like "log.csv:17" and "log.csv:17-31" name, all or none. Shows them
 * and asks. */
cli_exit conflicts_leave_out(const cli_context *cli, int n, char **words, const char *by,
                             const char *why);

/* False, after a sentence, where a word is no ID, "3fa92b01", nor a range of the list,
 * "3fa92b01-77c0e1d2". */
bool conflicts_are_named(int n, char **words);

/* Settles those that such words name, all or none. Shows what becomes of them and asks. */
cli_exit conflicts_settle(const cli_context *cli, int n, char **words, bt_keep keep, const char *by,
                          const char *why);

#endif
