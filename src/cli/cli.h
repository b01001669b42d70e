/* What the commands share. The cli room is the only one that prints, exits, or reads the clock and
 * the environment. */
#ifndef CLI_H
#define CLI_H

#include "beamtally/base.h"
#include "beamtally/intake.h"
#include "beamtally/ledger.h"
#include "beamtally/study.h"

#include <signal.h>
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

/* ---- reading.c ------------------------------------------------------------------------------- */

/* What import and columns are told about reading a log; NULL where unsaid. */
typedef struct cli_reading {
  const char *map, *unit, *dates, *decimal, *encoding, *delimiter;
} cli_reading;

/* The lines of an option table that fill them. */
#define CLI_READING_OPTIONS(reading)                                                               \
  {"map", &(reading).map, NULL, 0}, {"unit", &(reading).unit, NULL, 0},                            \
      {"dates", &(reading).dates, NULL, 0}, {"decimal", &(reading).decimal, NULL, 0},              \
      {"encoding", &(reading).encoding, NULL, 0}, {                                                \
    "delimiter", &(reading).delimiter, NULL, 0                                                     \
  }

/* False, after a sentence, where "-" (standard input) stands more than once among the map and the
 * files: it can be read once. */
bool cli_reads_input_once(const char *map, int n, char *const *paths) BT_MUST_CHECK;

/* Reads the map, and puts the options over what it says. The settings, whose own characteristics
 * columns may hold, must outlive the choices. False after a sentence; *result is the exit status.
 * The choices are owned either way (bt_reading_choices_free). */
bool cli_reading_choices(const cli_reading *options, const bt_settings *settings,
                         bt_reading_choices *choices, cli_exit *result) BT_MUST_CHECK;

/* ---- new_file.c ------------------------------------------------------------------------------ */

/* A file that is written whole or not at all, and never over one that is there. */
typedef struct cli_new_file {
  const char *path, *named; /* named: what sentences call it */
  char *temporary;
  FILE *stream;
} cli_new_file;

/* BT_USAGE for "-", which elsewhere means standard output, and for the name of a working file
 * (-journal, -wal) beside a ledger. */
bt_status cli_names_output(const char *path, bt_error *error) BT_MUST_CHECK;

/* BT_REFUSED when something of that name is there. */
bt_status cli_new_file_open(cli_new_file *file, const char *path, bt_error *error) BT_MUST_CHECK;

/* The same for a file in a folder whose name will be another. */
bt_status cli_new_file_open_as(cli_new_file *file, const char *path, const char *named,
                               bt_error *error) BT_MUST_CHECK;

/* Gives the file its name; it and its folder are synced. */
bt_status cli_new_file_keep(cli_new_file *file, bt_error *error) BT_MUST_CHECK;

/* Syncs a folder, so that names given in it last; a sentence calls it `named`. Some file systems
 * can't: that is no failure. */
bt_status cli_sync_folder(const char *folder, const char *named, bt_error *error) BT_MUST_CHECK;

/* Drops what was not kept. */
void cli_new_file_close(cli_new_file *file);

/* ---- new_folder.c ---------------------------------------------------------------------------- */

/* A folder that is written whole or not at all, and never over one that is there. */
typedef struct cli_new_folder {
  const char *path;
  char *temporary;
  sigset_t before; /* signals that were held back before it was opened */
  bool holds;      /* those that end a program are held back */
} cli_new_folder;

/* BT_REFUSED when something of that name is there. */
bt_status cli_new_folder_open(cli_new_folder *folder, const char *path,
                              bt_error *error) BT_MUST_CHECK;

/* A file in it, written and synced by `write`. */
typedef bt_status (*cli_write)(void *context, FILE *stream, bt_error *error);
bt_status cli_new_folder_put(const cli_new_folder *folder, const char *name, cli_write write,
                             void *context, bt_error *error) BT_MUST_CHECK;

/* Takes the passing folder's name from the beginning of a sentence about a file in it. */
void cli_new_folder_unname(const cli_new_folder *folder, bt_error *error);

/* Gives the folder its name; it and the folder that it is in are synced. */
bt_status cli_new_folder_keep(cli_new_folder *folder, bt_error *error) BT_MUST_CHECK;

/* Drops what was not kept, with all files in it. */
void cli_new_folder_close(cli_new_folder *folder);

/* ---- say.c ----------------------------------------------------------------------------------- */

/* Words for a person, on stderr: "beamtally: ...". */
void cli_say(const char *format, ...) BT_PRINTF(1, 2);

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

/* Prints text on stdout; CLI_FAILED, after a sentence, when that fails. */
cli_exit cli_print(const char *text);

/* A help text, with its lists (help_lists.c). */
cli_exit cli_print_help(const char *help);

/* The same for text that was put together; one that failed is said to have no memory. */
cli_exit cli_print_text(const bt_text *text);

/* Appends text of a file for one line of a terminal: control characters become "?", and what goes
 * beyond `width` characters is cut with an ellipsis. The number of characters it takes. */
size_t cli_plain(bt_text *line, const char *text, size_t width);

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

/* ---- episode_parts.c ------------------------------------------------------------------------- */

/* Of an episode that ended at a baseline's border the one of its side that goes on behind it, fewer
 * quiet points away than end an episode, or else the open one of its side; or NULL. Borrowed. */
const bt_episode *cli_episode_goes_on(const bt_study *of, const bt_episode *episode);

/* The newest episode (of that side; NULL: of either) with days from `from` to `to`; or NULL.
 * Borrowed. */
const bt_episode *cli_episode_within(const bt_study *of, const bt_side *side, bt_time from,
                                     bt_time to);

/* Appends "3fa92b01 (open, low side, 2026-05-04 to 2026-09-30)". */
void cli_add_episode(const bt_study *of, const bt_episode *episode, bt_text *out);

/* An id that no episode has any more. */
typedef struct cli_lost {
  bool known; /* it was of this characteristic, and its first signal was `at` */
  bt_time at;
  const bt_episode *instead; /* has its days now; NULL: none. Borrowed from the study */
  const bt_episode *open;    /* where there is none: what is open; NULL: nothing */
} cli_lost;

bt_status cli_lost_episode(const bt_unit_study *study, const bt_study *of, const char *digits,
                           cli_lost *lost, bt_error *error) BT_MUST_CHECK;

/* ---- stopped.c ------------------------------------------------------------------------------- */

/* From here on a signal that ends the program (Ctrl-C) says what became of the file of that name:
 * nothing of it is stored; or, after cli_stopped_storing, all or nothing. A signal that is ignored
 * stays so. One file at a time; cli_stopped_end ends it. */
void cli_stopped_begin(const char *path);
void cli_stopped_storing(void);

/* From now on the first signal is only noted, and ends the program in cli_stopped_end. */
void cli_stopped_wait(void);
bool cli_stopped_asked(void) BT_MUST_CHECK;
void cli_stopped_end(void);

/* ---- import_refusals.c ----------------------------------------------------------------------- */

/* Refused lines of one file, kept by column and reason, so that a person sees each reason once. */
typedef struct cli_refusals cli_refusals;

/* NULL without memory: keeping and showing accept it. */
cli_refusals *cli_refusals_new(void);
void cli_refusals_free(cli_refusals *refusals);
/* first: when a log of that name had the line before, or NULL. */
void cli_refusals_keep(cli_refusals *refusals, const bt_refusal *refusal, const bt_time *first);

/* On stderr: of each reason its first lines, and how many more there are; lines with a failing
 * self-test, a remark or a refill come first. Those that were refused before are counted, and
 * listed only with `all`. Where a person had left out all of them, by the counts of the import that
 * was committed, nothing is said then. */
void cli_refusals_show(const cli_refusals *refusals, const char *path,
                       const bt_import_counts *counts, bool all);

/* Appends " (all as before)" or " (3 as before, 2 of them left out by decision)" to their number.
 */
void cli_refusals_add_before(const cli_refusals *refusals, const bt_import_counts *counts,
                             bt_text *text);

/* Appends the most frequent reason: " Most often (214 lines): column "E": ...". */
void cli_refusals_most(const cli_refusals *refusals, bt_text *sentence);

/* ---- far_out.c ------------------------------------------------------------------------------- */

/* Readings of one file, counted by size, so that a wrong unit in a map is seen at once. */
typedef struct cli_sizes cli_sizes;

/* NULL without memory: hearing and saying accept it. */
cli_sizes *cli_sizes_new(void);
void cli_sizes_free(cli_sizes *sizes);
void cli_sizes_hear(cli_sizes *sizes, const bt_check *check);

/* Says on stderr which readings are far from the rest of their column. They are kept. */
void cli_sizes_say(const cli_sizes *sizes, const char *path);

/* ---- exchanged.c ------------------------------------------------------------------------------
 */

/* Set and measured energies of a file, row by row. Zeroed at first. */
typedef struct cli_energies {
  char unit[128]; /* of the row before; a longer name cut */
  double energy, target;
  int64_t pairs, same_energy, same_target;
} cli_energies;

void cli_energies_hear(cli_energies *of, const bt_check *check);
/* Asks whether the two columns are exchanged, where they look so. */
void cli_energies_say(const cli_energies *of, const char *path);

/* ---- percent.c ------------------------------------------------------------------------------- */

/* Energies of a file in percent of the target, row by row. Zeroed at first. */
typedef struct cli_percents {
  int64_t n, as_ratio, both, apart;
  double most; /* how far apart, in percent of the target */
} cli_percents;

void cli_percents_hear(cli_percents *of, const bt_check *check);
/* Says on stderr where they look like another reading, or are not what the energies in mJ give. */
void cli_percents_say(const cli_percents *of, const char *path);

/* ---- reading_words.c ------------------------------------------------------------------------- */

/* "semicolon"; else the character itself, in `one`. */
const char *cli_delimiter_words(char delimiter, char one[2]);

/* What cli_in_words passes the table of sources through. */
typedef struct cli_worded {
  const bt_table_sink *to; /* borrowed */
  size_t column;           /* "reading" */
} cli_worded;

/* A sink for the table of sources, which hands the rows on to `to` with delimiters as words. `of`
 * and `to` are borrowed until the table is through. */
bt_table_sink cli_in_words(cli_worded *of, const bt_table_sink *to);

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
