/* The bytes of a log file: read from the start, hashed on the way. */
#ifndef INTAKE_BYTES_H
#define INTAKE_BYTES_H

#include "beamtally/base.h"
#include "beamtally/record.h"
#include "beamtally/setup.h"

#include <sodium/crypto_hash_sha256.h>

/* The longest log: 1 GiB, some ten million rows. A check an hour of ten lasers for twenty years are
 * under two million; what goes on and on is no log, and must not fill the disk. */
#define INTAKE_LOG_MOST_BYTES ((int64_t)1 << 30)

typedef struct intake_bytes {
  int descriptor;      /* -1: closed */
  bool own;            /* closed by intake_bytes_close */
  int64_t count, most; /* read so far; that may be */
  crypto_hash_sha256_state sha256;
} intake_bytes;

/* Opens `path` at its start; where `spool` isn't -1, that descriptor instead. BT_SYSTEM when it
 * can't be opened, BT_INPUT when it is a folder. */
bt_status intake_bytes_open(const char *path, int spool, intake_bytes *bytes,
                            bt_error *error) BT_MUST_CHECK;
void intake_bytes_close(intake_bytes *bytes);

/* BT_INPUT where the file is longer than it may be, before it is read. */
bt_status intake_bytes_check_length(const intake_bytes *bytes, bt_error *error) BT_MUST_CHECK;

/* Reads up to `size` bytes; *got 0 at the end. BT_INPUT where they are more than `most`. */
bt_status intake_bytes_read(intake_bytes *bytes, char *buffer, size_t size, size_t *got,
                            bt_error *error) BT_MUST_CHECK;

/* The sum of all that was read. */
void intake_bytes_sha256(intake_bytes *bytes, unsigned char sha256[BT_SHA256_BYTES]);

/* "-", a pipe and a device can be read only once: copies them to a file in the folder of
 * choices->spool_beside (NULL: the working folder) that has no name any more and goes with its
 * descriptor. *spool is -1 where `path` is a plain file. BT_INPUT, and nothing is kept, where the
 * first bytes are no text, or more come than a log may have. `choices` may be NULL. */
bt_status intake_spool(const char *path, const bt_reading_choices *choices, int *spool,
                       bt_error *error) BT_MUST_CHECK;

#endif
