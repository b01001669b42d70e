/* Episodes by days and by ids that were. */
#ifndef CLI_EPISODE_PARTS_H
#define CLI_EPISODE_PARTS_H

#include "cli.h"

/* Of an episode that ended at a baseline's border the one of its side that goes on behind it, fewer
 * quiet points away than end an episode, or else the open one of its side; or NULL. Borrowed. */
const bt_episode *cli_episode_goes_on(const bt_study *of, const bt_episode *episode);

/* The first episode (of that side; NULL: of either) with days from `from` to `to`, or NULL;
 * borrowed. *others: how many more of its side have days of these. */
const bt_episode *cli_episode_within(const bt_study *of, const bt_side *side, bt_time from,
                                     bt_time to, size_t *others);

/* Appends "3fa92b01 (open, low side, 2026-05-04 to 2026-09-30)". */
void cli_add_episode(const bt_study *of, const bt_episode *episode, bt_text *out);

/* Appends " and 4 others (`beamtally signals --unit 'Room 1'` lists them)"; nothing of none. */
void cli_add_others(size_t others, const char *unit, bt_text *out);

/* An id that no episode has any more. */
typedef struct cli_lost {
  bool known; /* it was of this characteristic, and its first signal was `at` */
  bt_time at;
  const bt_episode
      *instead;           /* has the first of its days now; NULL: none. Borrowed from the study */
  bool whole;             /* which days were its own is known: somebody had concluded it */
  size_t others;          /* then how many more episodes have days of it */
  const bt_episode *open; /* where there is none: what is open; NULL: nothing */
} cli_lost;

bt_status cli_lost_episode(const bt_unit_study *study, const bt_study *of, const char *digits,
                           cli_lost *lost, bt_error *error) BT_MUST_CHECK;

#endif
