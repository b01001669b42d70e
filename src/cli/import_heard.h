/* What import hears of a log while its rows go by, and says of them at its end. */
#ifndef CLI_IMPORT_HEARD_H
#define CLI_IMPORT_HEARD_H

#include "cli.h"

/* ---- import_refusals.c ----------------------------------------------------------------------- */

/* Refused lines of one file, kept by column and reason, so that a person sees each reason once. */
typedef struct import_refusals import_refusals;

/* NULL without memory: keeping and showing accept it. */
import_refusals *import_refusals_new(void);
void import_refusals_free(import_refusals *refusals);
/* before: what a log of that name had of the line, first when that was. */
void import_refusals_keep(import_refusals *refusals, const bt_refusal *refusal,
                          bt_refused_before before, bt_time first);

/* Forgets what logs of that name had: they are no earlier states of this one. */
void import_refusals_forget(import_refusals *refusals);

/* On stderr: of each reason its first lines, and how many more there are; lines with a failing
 * self-test, a remark or a refill come first. Those that were refused so before are counted,
 * and listed only with `all`. Where a person had left out all of them, by the counts of the import
 * that was committed, nothing is said then. */
void import_refusals_show(const import_refusals *refusals, const char *path,
                          const bt_import_counts *counts, bool all);

/* Appends " (all as before)" or " (3 as before, 2 of them left out by decision)" to their number,
 * where import_refusals_show did not say so. */
void import_refusals_add_before(const import_refusals *refusals, const bt_import_counts *counts,
                                bool all, bt_text *text);

/* Appends the most frequent reason: " Most often (214 lines): column "E": ...". */
void import_refusals_most(const import_refusals *refusals, bt_text *sentence);

/* ---- import_lines.c -------------------------------------------------------------------------- */

enum { IMPORT_LINES_SHOWN = 5 };

/* Lines that are told of together. Zeroed at first. */
typedef struct import_lines {
  int64_t n, first[IMPORT_LINES_SHOWN];
} import_lines;

void import_lines_hear(import_lines *of, int64_t line);
/* Appends "lines 2, 3, 5, 8, 9 and 12 more". */
void import_lines_add(const import_lines *of, bt_text *words);

/* ---- import_targets.c ------------------------------------------------------------------------ */

/* Target energies of 0. Zeroed at first. */
typedef struct import_targets {
  int64_t rows; /* that have a target energy */
  import_lines zero;
} import_targets;

void import_targets_hear(import_targets *of, const bt_check *check);
void import_targets_say(const import_targets *of, const char *path);

/* ---- import_clocks.c ------------------------------------------------------------------------- */

/* Days that a wrong clock may have written; days since 1970-01-01. Zeroed at first, but for the
 * computer's day. */
typedef struct import_clocks {
  int64_t today;
  int64_t newest, newest_anew; /* of all checks and events; of `anew` */
  import_lines early, late, tomorrow, anew;
  import_lines every_early, every_late; /* with those that were refused so before */
} import_clocks;

void import_clocks_hear(import_clocks *of, bt_time time, int64_t line);
/* before: it was refused so before, and told then. */
void import_clocks_hear_refusal(import_clocks *of, const bt_refusal *refusal, bool before);
/* None of them was told before: that was another log. */
void import_clocks_forget(import_clocks *of);
void import_clocks_say(const import_clocks *of, const char *path);

/* ---- import_far_out.c ------------------------------------------------------------------------ */

/* Readings of one file, counted by size, so that a wrong unit in a map is seen at once. */
typedef struct import_sizes import_sizes;

/* NULL without memory: hearing and saying accept it. */
import_sizes *import_sizes_new(void);
void import_sizes_free(import_sizes *sizes);
void import_sizes_hear(import_sizes *sizes, const bt_check *check);

/* Says on stderr which readings are far from the rest of their column. They are kept. `known`: the
 * ledger had rows of the file, where such a one may have been corrected since. */
void import_sizes_say(const import_sizes *sizes, bool known, const char *path);

/* ---- import_exchanged.c ---------------------------------------------------------------------- */

/* Set and measured energies of a file, row by row. Zeroed at first. */
typedef struct import_energies {
  char unit[128]; /* of the row before; a longer name cut */
  double energy, target;
  int64_t pairs, same_energy, same_target;
} import_energies;

void import_energies_hear(import_energies *of, const bt_check *check);
/* Asks whether the two columns are exchanged, where they look so. */
void import_energies_say(const import_energies *of, const char *path);

/* ---- import_percent.c ------------------------------------------------------------------------ */

/* Energies of a file in percent of the target, row by row. Zeroed at first. */
typedef struct import_percents {
  int64_t n, as_ratio, both, apart;
  double most; /* how far apart, in percent of the target */
} import_percents;

void import_percents_hear(import_percents *of, const bt_check *check);
/* Says on stderr where they look like another reading, or are not what the energies in mJ give. */
void import_percents_say(const import_percents *of, const char *path);

#endif
