/* What baseline's files share. */
#ifndef CLI_BASELINE_H
#define CLI_BASELINE_H

#include "cli.h"

/* ---- baseline_said.c ------------------------------------------------------------------------- */

/* Appends "Suite North, energy_ratio: WHAT, 60 points, centre ..." with what it replaces, what is
 * left out, and its tests. A failure stays with the text. */
void baseline_describe(const bt_proposal *proposal, const char *unit, const char *key,
                       const char *what, const bt_text *replaced, bt_text *out);

/* ---- baseline_episodes.c --------------------------------------------------------------------- */

/* The open episodes of one characteristic as they stood before a baseline was frozen. */
typedef struct open_episode {
  char id[BT_ID_DIGITS + 1];
  bt_side side;
  bt_time from, to; /* first and last signalling point */
} open_episode;

typedef struct open_episodes {
  size_t n;
  open_episode *list;        /* owned: free */
  size_t past[BT_ALARM + 1]; /* how many were past, by the worst of their signals */
} open_episodes;

bt_status baseline_open_episodes(bt_ledger *ledger, const char *unit,
                                 bt_characteristic characteristic, bt_time until,
                                 open_episodes *open, bt_error *error) BT_MUST_CHECK;

/* Appends a line for each of these that is open no more, or whose newer days another has now, with
 * that one's id; for each that is open only now; and where the numbers of past ones are others. A
 * failure of memory stays with the text. */
bt_status baseline_describe_episodes(bt_ledger *ledger, const char *unit,
                                     bt_characteristic characteristic, bt_time until,
                                     const open_episodes *before, bt_text *out,
                                     bt_error *error) BT_MUST_CHECK;

/* ---- baseline_refused.c ---------------------------------------------------------------------- */

/* Lines of logs that are still refused and stand among a period's checks. */
typedef struct baseline_lines {
  size_t n;
  bt_text named; /* file and number of the first few */
} baseline_lines;

/* Those of the unit's logs from the day `from` to the day `to`, both included. */
bt_status baseline_refused(bt_ledger *ledger, const char *unit, bt_time from, bt_time to,
                           baseline_lines *found, bt_error *error) BT_MUST_CHECK;

/* Says them, and what to do; nothing where there are none. `frozen`: the baseline is stored. */
void baseline_describe_refused(const baseline_lines *found, bool frozen, bt_text *out);

/* ---- baseline_of.c --------------------------------------------------------------------------- */

/* The characteristics that are asked for: one by its key or title, several keys with commas between
 * them, or "all" that the unit's log has and that are judged. In order, each once; owned. */
bt_status baseline_characteristics(bt_ledger *ledger, const char *unit, const char *asked,
                                   bt_characteristic **of, size_t *n,
                                   bt_error *error) BT_MUST_CHECK;

#endif
