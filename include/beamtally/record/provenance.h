/* What a page says of where its numbers come from: how much the ledger holds, and its state. */
#ifndef BEAMTALLY_RECORD_PROVENANCE_H
#define BEAMTALLY_RECORD_PROVENANCE_H

#include "beamtally/base.h"

typedef struct bt_provenance {
  int64_t sources;       /* log files by their names */
  int64_t sources_again; /* of these, those that were imported in more than one version */
  int64_t checks, events, refused;
  int64_t with_loss; /* of the refused lines that nobody left out, those that lost something ... */
  unsigned lost;     /* ... and what, in bt_lost bits */
  int64_t of_several, lost_of_several; /* of the refused lines, and of those with a loss: of logs
                                          that hold other lasers as well, whose they may be; 0 of
                                          all lasers together */
  int64_t left_out;    /* of the refused lines, those that a person left out by decision */
  int64_t conflicts;   /* rows held back whose conflict nobody has settled */
  int64_t corrections; /* checks and events that were superseded, those of a file that was read
                          again as one; texts that were removed */
  char state[21];      /* ledger state, 20 hex digits */
} bt_provenance;

#endif
