/* A report that was issued: of which unit and month, and the ledger state that it prints. */
#ifndef BEAMTALLY_RECORD_ISSUED_H
#define BEAMTALLY_RECORD_ISSUED_H

#include "beamtally/base.h"
#include "beamtally/record/digest.h"

typedef struct bt_issued {
  char *unit;                            /* NULL: of all units */
  bt_time month;                         /* its first moment */
  int64_t number;                        /* revision, from 1 */
  unsigned char sha256[BT_SHA256_BYTES]; /* of the PDF */
  char state[21];                        /* ledger state that the report prints */
  bt_time at;
  char *by;
} bt_issued;

void bt_issued_free(bt_issued *issued, size_t n);

#endif
