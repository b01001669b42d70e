/* Corrections: what superseded a record, and what it changed. */
#ifndef BEAMTALLY_RECORD_CORRECTION_H
#define BEAMTALLY_RECORD_CORRECTION_H

#include "beamtally/base.h"

typedef enum bt_correction_kind {
  BT_CORRECTED, /* another record took its place */
  BT_WITHDRAWN,
  BT_READ_AGAIN, /* its file was imported again, read in another way */
  BT_SETTLED,    /* a conflict was settled, whatever was kept */
  BT_REDACTED    /* a text of it was removed for good */
} bt_correction_kind;

/* "corrected", "withdrawn", "read again", "conflict settled", "text removed". */
const char *bt_correction_words(bt_correction_kind kind);

/* What of a check a correction changed, or what a withdrawn one held. */
typedef struct bt_touched {
  uint32_t readings; /* bit r set: reading r */
  bool place;        /* changed: unit, time or state, which say what all readings of the row are */
  bool refill;
  size_t own_n;
  char **own; /* keys of the clinic's own characteristics; owned */
} bt_touched;

typedef struct bt_correction {
  bt_correction_kind kind;
  bool of_event;
  char *unit;
  bt_time time; /* of the record that it is about */
  bool has_clock;
  int32_t sequence;   /* of a check */
  int64_t event;      /* number of an event; 0 for a check */
  char *changes;      /* "energy_mj 1.61 -> 1.59"; what a withdrawn record held; the field of a
                         removed text; what became of the rows of a conflict where no record was
                         superseded. For BT_READ_AGAIN "rows replaced by importing log.csv again",
                         one for all its rows */
  bt_touched touched; /* of a check that was corrected or withdrawn; else nothing */
  int64_t records;    /* how many records it is about: 1, but for BT_READ_AGAIN */
  bt_time at;         /* when it was entered, by whom, and why */
  char *by, *why;
} bt_correction;

/* An owned list; accepts NULL and 0. */
void bt_corrections_free(bt_correction *corrections, size_t n);

#endif
