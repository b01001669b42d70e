/* Conflicts: rows held back because the ledger has other readings of that unit and time, and which
 * of them people let stand. */
#ifndef BEAMTALLY_RECORD_CONFLICT_H
#define BEAMTALLY_RECORD_CONFLICT_H

#include "beamtally/base.h"
#include "beamtally/record/digest.h"

/* Which of two records of one unit and time stands. */
typedef enum bt_keep { BT_KEEP_OLD, BT_KEEP_NEW, BT_KEEP_BOTH } bt_keep;

/* "old", "new", "both". */
const char *bt_keep_word(bt_keep keep);

/* Rows of one source that contradict what the ledger has of that unit and time. */
typedef struct bt_conflict {
  char id[BT_ID_DIGITS + 1]; /* first hex digits of the digest of its first row held back */
  bt_time time;
  bool has_clock;
  bool settled;
  bt_keep kept;  /* where settled, with by, why and when */
  bool replaced; /* settled, as OLD, by the entry that read its file again in another way */
  char *by, *why;
  bt_time settled_at;
  char *unit, *source; /* the source's file name */
  char *stored, *held; /* what the ledger has and what came, as "energy_mj 1.61, pattern pass",
                          several rows parted by "; "; readings that differ only */
  int64_t held_n;
} bt_conflict;

/* An owned list; accepts NULL and 0. */
void bt_conflicts_free(bt_conflict *conflicts, size_t n);

#endif
