/* A disposition: what people concluded of an episode. It belongs to the episodes of its
 * characteristic and side that it overlaps in time. */
#ifndef BEAMTALLY_RECORD_DISPOSITION_H
#define BEAMTALLY_RECORD_DISPOSITION_H

#include "beamtally/base.h"
#include "beamtally/record/digest.h"

typedef struct bt_disposition {
  char episode[BT_ID_DIGITS + 1]; /* id of the episode as it was then */
  char *characteristic;           /* key */
  bool high;                      /* side */
  bt_time from, to;               /* first and last signalling point as they were then */
  int64_t baseline_version;       /* that judged it; 0 where it was only suggested */
  char *cause, *action;
  bool restart;       /* the CUSUM restarts once the action was done */
  bt_time restart_at; /* that was then; 0: nobody said, it restarts at the first point after `to` */
  bt_time at;         /* when it was entered */
  char *by;
} bt_disposition;

void bt_dispositions_free(bt_disposition *dispositions, size_t n);

#endif
