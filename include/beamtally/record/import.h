/* What an import did: how many of a file's rows went in, and what became of the others. */
#ifndef BEAMTALLY_RECORD_IMPORT_H
#define BEAMTALLY_RECORD_IMPORT_H

#include "beamtally/base.h"

/* Rows of a file that a person should look at: how many, and the first. */
typedef struct bt_told_rows {
  int64_t n;
  int64_t line; /* this and what follows: of the first; of none where n is 0 */
  bt_time time;
  bool has_clock;
  int32_t sequence;
} bt_told_rows;

typedef struct bt_import_counts {
  int64_t rows;             /* rows of data in the file */
  int64_t fresh;            /* new to the ledger */
  int64_t known;            /* already there, from this or another source */
  int64_t conflicts;        /* held back: the ledger has other readings for that unit and time */
  int64_t conflicts_before; /* of these, rows that were held back before, and that nobody settled */
  int64_t refused;          /* not taken, each with its reason */
  int64_t left_out;         /* of the refused lines, those that a person had left out by decision */
  bool another_log;   /* some log of its name that had refused lines is no earlier state of it */
  int64_t superseded; /* records of an earlier import of the same file that these took the place
                         of: 0 but for --again */
  int64_t closed;     /* conflicts of earlier imports of the same file that this one replaced */
  int64_t removed;    /* texts left out, of known rows too: a person had the text of that check or
                         event removed */
  bt_told_rows twins; /* of `fresh`: rows that say the same as another row of the file */
  bt_told_rows reworded; /* of `known`: rows whose remark or operator the ledger does not have;
                            sequence is 0 */
  bool repeated;         /* this very file was imported before, read in the same way */
  bool unknown_units;    /* nothing was stored: it names units that the ledger does not know */
} bt_import_counts;

#endif
