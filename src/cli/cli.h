/* What the commands share. The cli room is the only one that prints, exits, or reads the clock and
 * the environment. */
#ifndef CLI_H
#define CLI_H

#include "beamtally/base.h"
#include "beamtally/intake.h"
#include "beamtally/ledger.h"
#include "beamtally/study.h"

#include <stdio.h>

/* Exit statuses of the program. */
typedef enum cli_exit {
  CLI_DONE = 0,
  CLI_FAILED = 1, /* each file named on stderr is unchanged; the others went in */
  CLI_USAGE = 2,
  CLI_ATTENTION = 3 /* with --strict: done, and something wants a look */
} cli_exit;

enum { CLI_PAST_MONTHS = 12 }; /* whose forecasts are made again and scored */

/* The ledger where nobody names one. */
#define CLI_LEDGER "beamtally.sqlite"

/* The options that every command has, and what the program learns from its surroundings. */
typedef struct cli_context {
  const char *command;
  const char *ledger; /* --ledger, $BEAMTALLY_LEDGER, or beamtally.sqlite in this folder */
  bool strict, yes, quiet, verbose;
  bool help;        /* --help was given: the command's help is printed and nothing done */
  bool colour;      /* stdout is a terminal and $NO_COLOR isn't set */
  bt_time now;      /* the clinic's wall clock, or $SOURCE_DATE_EPOCH */
  bool epoch_given; /* $SOURCE_DATE_EPOCH was there */
} cli_context;

typedef struct cli_command {
  const char *name;
  const char *summary; /* one line for the overview */
  const char *help;    /* opens with an example */
  cli_exit (*run)(cli_context *cli, int argc, char **argv);
} cli_command;

/* All commands, ended by a NULL name. */
extern const cli_command cli_commands[];

/* ---- ask.c ----------------------------------------------------------------------------------- */

/* The overview of all commands: on stdout where it was asked for, else on stderr as wrong usage. */
cli_exit cli_overview(bool asked);

/* The command of that name, or NULL; and the sentence, with the nearest name, where it is NULL. */
const cli_command *cli_find_command(const char *name);
cli_exit cli_unknown_command(const char *name);

/* `help`, which is a command of the program rather than of the ledger. */
cli_exit cli_ask(cli_context *cli, int argc, char **argv);

/* ---- options.c ------------------------------------------------------------------------------- */

/* One long option of a command: with a value, or a flag. Exactly one of the two is set. */
typedef struct cli_option {
  const char *name;
  const char **value;
  bool *flag;
  char letter; /* also -o, say; 0: none */
} cli_option;

/* Reads a command's options and the common ones; *operands is the index of the first operand.
 * False after a sentence on stderr. */
bool cli_options(cli_context *cli, int argc, char **argv, const cli_option *options, size_t n,
                 int *operands) BT_MUST_CHECK;

/* Reads the common options that stand before the command, and --version; *command is the index of
 * the command's word, argc without one. False after a sentence on stderr. */
bool cli_first_options(cli_context *cli, int argc, char **argv, bool *version,
                       int *command) BT_MUST_CHECK;

/* Each of these reads one option's value, or says on stderr what is wrong with it. A day given as
 * an end is within: *end is the first moment after it. */
bool cli_day(const char *option, const char *text, bt_time *start) BT_MUST_CHECK;
bool cli_end(const char *option, const char *text, bt_time *end) BT_MUST_CHECK;
/* BT_NOTFOUND of a span up to `to` that ends before the unit's log begins: it holds nothing. */
bt_status cli_check_span(const bt_unit_study *study, bt_time to, bt_error *error) BT_MUST_CHECK;
/* As bt_time_parse, but a person may write an hour of one digit, and a dot behind it:
 * 2026-09-30T8:05, "2026-09-30 8.05". */
bool cli_time(const char *text, bt_time *time, bool *has_clock) BT_MUST_CHECK;
/* Of a text that is no such time: "; did you mean 2026-09-30T08:05?", or why the calendar lacks its
 * day; nothing where neither is certain. */
void cli_add_meant_time(bt_text *out, const char *text);
/* Why nothing that is put in can be of that time ("later than tomorrow"); NULL where it can. */
const char *cli_unlikely(const cli_context *cli, bt_time time);
/* The first moment after today: what commands look at goes up to then. */
bt_time cli_today_ends(const cli_context *cli);
/* A time or a day of something that happened. */
bool cli_happened(const cli_context *cli, const char *option, const char *text, bt_time *time,
                  bool *has_clock) BT_MUST_CHECK;
bool cli_month(const char *option, const char *text, bt_time *month) BT_MUST_CHECK;
bool cli_number(const char *option, const char *text, double *number) BT_MUST_CHECK;

/* False, after a sentence, when a needed option is missing. */
bool cli_needs(const cli_context *cli, const char *option, const char *value) BT_MUST_CHECK;

/* ---- seen.c ---------------------------------------------------------------------------------- */

/* Writes text with "?" for all that a terminal would obey, but line ends and tabs, and for bytes
 * that are no UTF-8. False when that fails. */
bool cli_put_seen(const char *text, FILE *to);

/* The same but for the colours of bt_report_status, which lets none of a log's own through. */
bool cli_put_screen(const char *text, FILE *to);

/* Words for a person, one line on stderr: "beamtally: ..."; line ends in names become "?", too. */
void cli_say(const char *format, ...) BT_PRINTF(1, 2);

/* One line on stdout that names a file or what a log holds, its end that of the format; a failure
 * stays with the stream. */
void cli_tell(const char *format, ...) BT_PRINTF(1, 2);

/* Appends text of a file for one line of a terminal: control characters, line ends too, and bytes
 * that are no UTF-8 become "?", and what goes beyond `width` characters is cut with an ellipsis.
 * The number of characters it takes. */
size_t cli_plain(bt_text *line, const char *text, size_t width);

/* ---- say.c ----------------------------------------------------------------------------------- */

/* Prints the error's sentence; the exit status that belongs to it. */
cli_exit cli_error(const bt_error *error);

/* "did you mean ..." from a list of names: the nearest, or the only one that the word stands in; or
 * "" when there is none. Borrowed from the list. */
const char *cli_nearest(const char *typed, const char *const *names, size_t n);

/* True when standard output is a pipe that nobody reads any more, and something was lost there. */
bool cli_reader_is_gone(void);

/* Says, right after a write on stdout failed, that it did; not a word where the reader has gone, as
 * `head` does: it has what it wanted. */
void cli_say_lost(void);

/* Prints data, or words of our own, on stdout as they are; CLI_FAILED, after a sentence, when that
 * fails. */
cli_exit cli_print(const char *text);

/* A help text, with its lists (help_lists.c). */
cli_exit cli_print_help(const char *help);

/* The same for words that were put together, as cli_put_seen writes them; text that failed is said
 * to have no memory. */
cli_exit cli_print_text(const bt_text *text);

/* The same for the daily screen, as cli_put_screen writes it. */
cli_exit cli_print_screen(const bt_text *text);

/* ---- typed.c --------------------------------------------------------------------------------- */

/* Puts each KEY=VALUE into the check, which owns what it holds; BT_USAGE where one is wrong or
 * given twice. */
bt_status cli_put_all(bt_check *check, const bt_settings *settings, char **words, int n,
                      bt_error *error) BT_MUST_CHECK;

/* ---- described.c ----------------------------------------------------------------------------- */

/* Each appends what a record holds, for one line of a terminal: "energy_mj 1.602, pattern pass",
 * "service visit: mirror 2 replaced", "Suite North, 2026-09-30T08:05". A failure stays with the
 * text. */
void cli_describe_check(bt_text *line, const bt_check *check);
void cli_describe_event(bt_text *line, const bt_event *event);
void cli_describe_place(bt_text *line, const char *unit, bt_time time, bool has_clock);

/* Each appends a line for everything that differs, "  energy_mj  1.61 -> 1.59"; how many. */
size_t cli_describe_check_changes(bt_text *lines, const bt_check *before, const bt_check *after);
size_t cli_describe_event_changes(bt_text *lines, const bt_event *before, const bt_event *after);

/* ---- confirm.c ------------------------------------------------------------------------------- */

/* Asks at the terminal whether to go on; --yes answers for it. CLI_DONE: go on. Where nobody is
 * there to be asked CLI_USAGE, after a no CLI_FAILED, each with its sentence. */
cli_exit cli_confirm(const cli_context *cli) BT_MUST_CHECK;

/* Shows the effect on stderr and asks, where a person is at the terminal; with --yes, and where
 * standard input is no terminal, it goes on without a word. CLI_DONE: go on; else, after a
 * sentence, the exit status. */
cli_exit cli_confirm_effect(const cli_context *cli, const bt_text *effect) BT_MUST_CHECK;

/* ---- progress.c ------------------------------------------------------------------------------ */

/* One line on a terminal for what takes over a second. */
typedef struct cli_progress {
  const char *what; /* "reports" */
  bool on, shown;
  long long begun, last; /* ms */
} cli_progress;

cli_progress cli_progress_begin(const cli_context *cli, const char *what);
void cli_progress_show(cli_progress *progress, size_t done, size_t total);
/* For what cannot say how much is left: "verifying ... 3 s". For a bt_watcher; context: the
 * progress.
 */
void cli_progress_tick(void *context);
/* Takes the line away; before other words, and at the end. */
void cli_progress_clear(cli_progress *progress);

/* ---- open.c ---------------------------------------------------------------------------------- */

/* Opens the ledger, held to what was entered (bt_ledger_hold_entries); a missing one is answered
 * with what to do next. */
bt_status cli_open(const cli_context *cli, bt_ledger_mode mode, bt_ledger **ledger,
                   bt_error *error) BT_MUST_CHECK;

/* For what shows every row: all of the ledger is verified. `nothing` says what is not made of a
 * ledger that is not whole. */
bt_status cli_open_whole(const cli_context *cli, bt_ledger **ledger, const char *nothing,
                         bt_error *error) BT_MUST_CHECK;

/* At the end of what was opened so and shows rows: BT_REFUSED where something was entered since the
 * ledger had that state, or another program wrote into it. */
bt_status cli_still_as_read(bt_ledger *ledger, const char *state, bt_error *error) BT_MUST_CHECK;

/* For what verifies by itself, or was held before. */
bt_status cli_open_unheld(const cli_context *cli, bt_ledger_mode mode, bt_ledger **ledger,
                          bt_error *error) BT_MUST_CHECK;

/* The settings in force; none where there is no ledger yet. */
bt_status cli_settings_if_any(const cli_context *cli, bt_settings *settings,
                              bt_error *error) BT_MUST_CHECK;

/* The units a command is about: the named one, or all. Owned (bt_names_free). */
bt_status cli_units(bt_ledger *ledger, const char *unit, char ***names, size_t *n,
                    bt_error *error) BT_MUST_CHECK;

/* The characteristic of that key, built-in or of the clinic's own in the settings in force;
 * BT_USAGE with the nearest key when there is none. */
bt_status cli_characteristic(bt_ledger *ledger, const char *key, bt_characteristic *characteristic,
                             bt_error *error) BT_MUST_CHECK;

/* True when a unit's study wants a look under --strict: an open alarm, a failed check or self-test,
 * a refused line or a conflict. */
bool cli_wants_a_look(const bt_unit_study *study);

/* ---- table_places.c -------------------------------------------------------------------------- */

/* For the sink of a table: at[w] is the place of the column wanted[w] among the n names. */
void cli_table_places(const char *const *names, size_t n, const char *const *wanted, size_t *at,
                      size_t wanted_n);

/* ---- the commands ---------------------------------------------------------------------------- */

cli_exit cli_import(cli_context *cli, int argc, char **argv);
cli_exit cli_columns(cli_context *cli, int argc, char **argv);
cli_exit cli_event(cli_context *cli, int argc, char **argv);
cli_exit cli_settings(cli_context *cli, int argc, char **argv);
cli_exit cli_baseline(cli_context *cli, int argc, char **argv);
cli_exit cli_status(cli_context *cli, int argc, char **argv);
cli_exit cli_analyse(cli_context *cli, int argc, char **argv);
cli_exit cli_drift(cli_context *cli, int argc, char **argv);
cli_exit cli_chart(cli_context *cli, int argc, char **argv);
cli_exit cli_report(cli_context *cli, int argc, char **argv);
cli_exit cli_runlength(cli_context *cli, int argc, char **argv);
cli_exit cli_verify(cli_context *cli, int argc, char **argv);
cli_exit cli_backup(cli_context *cli, int argc, char **argv);
cli_exit cli_record(cli_context *cli, int argc, char **argv);
cli_exit cli_correct(cli_context *cli, int argc, char **argv);
cli_exit cli_conflicts(cli_context *cli, int argc, char **argv);
cli_exit cli_signals(cli_context *cli, int argc, char **argv);
cli_exit cli_resolve(cli_context *cli, int argc, char **argv);
cli_exit cli_export(cli_context *cli, int argc, char **argv);
cli_exit cli_evidence(cli_context *cli, int argc, char **argv);

#endif
