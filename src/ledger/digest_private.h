/* Digests of records (digest.c). */
#ifndef LEDGER_DIGEST_PRIVATE_H
#define LEDGER_DIGEST_PRIVATE_H

#include "beamtally/record.h"

#include "row_private.h"
#include "text_private.h"

enum {
  LEDGER_DIGEST_BYTES = 16,
  LEDGER_FIRST_READINGS = 18 /* of BT_READINGS; later ones are digested otherwise: digest.c */
};

/* tag 'c' for a check, 'h' for one held back. Its own readings stand in order of key. */
void ledger_check_digest(char tag, const ledger_row *row, unsigned char *digest);

/* The same, were only so many readings the first ones: for a test. */
void ledger_check_digest_of(char tag, const ledger_row *row, int first_readings,
                            unsigned char *digest);

/* Digest of what two checks of one time are compared by: all but remark, operator and line. */
void ledger_check_content(const bt_check *check, unsigned char *digest);

/* note NULL where there is none; source 0 for one typed in by hand. */
void ledger_event_digest(const bt_event *event, int64_t unit, int64_t source,
                         const ledger_text *note, unsigned char *digest);

#endif
