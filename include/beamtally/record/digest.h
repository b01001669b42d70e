/* Digests as people see them: the SHA-256 of a file, and the first digits of one by which conflicts
 * and episodes are named. */
#ifndef BEAMTALLY_RECORD_DIGEST_H
#define BEAMTALLY_RECORD_DIGEST_H

#include "beamtally/base.h"

enum { BT_SHA256_BYTES = 32, BT_SHA256_TEXT = 2 * BT_SHA256_BYTES + 1 };

/* The 64 hexadecimal digits, as sha256sum prints them, in the buffer of BT_SHA256_TEXT bytes. */
const char *bt_sha256_text(const unsigned char *sha256, char *buffer);

enum { BT_ID_DIGITS = 8 }; /* of a conflict's and an episode's id */

#endif
