/* The bytes of a log file: read from the start, hashed on the way. */
#include "bytes.h"
#include "beamtally/intake.h"

#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

enum { PIECE = 65536, ROOM_FOR_REASON = 128 };

/* Files are named by the caller, who knows them all: here only what happened. */
static bt_status system_error(bt_error *error, const char *what) {
  char reason[ROOM_FOR_REASON];
  if (strerror_r(errno, reason, sizeof reason) != 0)
    reason[0] = '\0';
  return bt_fail(error, BT_SYSTEM, "%s: %s", what, reason);
}

const char *bt_input_name(const char *path) {
  return strcmp(path, "-") == 0 ? "standard input" : path;
}

bt_status intake_bytes_open(const char *path, int spool, intake_bytes *bytes, bt_error *error) {
  struct stat about;
  *bytes = (intake_bytes){.descriptor = -1};
  (void)crypto_hash_sha256_init(&bytes->sha256);
  if (spool >= 0) {
    if (lseek(spool, 0, SEEK_SET) != 0)
      return system_error(error, "the copy of the input can't be read again");
    bytes->descriptor = spool;
    return BT_OK;
  }
  bytes->descriptor = open(path, O_RDONLY | O_CLOEXEC);
  if (bytes->descriptor < 0)
    return system_error(error, "the file can't be opened");
  bytes->own = true;
  if (fstat(bytes->descriptor, &about) != 0)
    return system_error(error, "the file can't be read");
  if (S_ISDIR(about.st_mode))
    return bt_fail(error, BT_INPUT, "this is a folder; name the log files in it");
  return BT_OK;
}

void intake_bytes_close(intake_bytes *bytes) {
  if (bytes->own && bytes->descriptor >= 0)
    (void)close(bytes->descriptor);
  bytes->descriptor = -1;
}

bt_status intake_bytes_read(intake_bytes *bytes, char *buffer, size_t size, size_t *got,
                            bt_error *error) {
  ssize_t count;
  do
    count = read(bytes->descriptor, buffer, size);
  while (count < 0 && errno == EINTR);
  *got = 0;
  if (count < 0)
    return system_error(error, "the file can't be read");
  *got = (size_t)count;
  bytes->count += count;
  (void)crypto_hash_sha256_update(&bytes->sha256, (const unsigned char *)buffer, *got);
  return BT_OK;
}

void intake_bytes_sha256(intake_bytes *bytes, unsigned char sha256[BT_SHA256_BYTES]) {
  (void)crypto_hash_sha256_final(&bytes->sha256, sha256);
}

/* A new file without a name, in the folder of that file. */
static bt_status nameless_file(const char *beside, int *descriptor, bt_error *error) {
  bt_text name = {0};
  const char *slash = beside == NULL ? NULL : strrchr(beside, '/');
  bt_status status = BT_OK;
  *descriptor = -1;
  if (slash != NULL)
    bt_text_add_bytes(&name, beside, (size_t)(slash - beside) + 1);
  bt_text_add(&name, ".beamtally-XXXXXX");
  if (!bt_text_ok(&name))
    status = bt_fail_memory(error);
  else if ((*descriptor = mkstemp(name.data)) < 0)
    status =
        system_error(error, "no room was found to keep the input while it is read (put the ledger "
                            "into a folder that you can write in, or name a file)");
  else if (unlink(name.data) != 0)
    status = system_error(error, "a temporary file can't be unlinked");
  bt_text_free(&name);
  return status;
}

static bt_status write_all(int descriptor, const char *data, size_t length, bt_error *error) {
  while (length > 0) {
    ssize_t written = write(descriptor, data, length);
    if (written < 0 && errno == EINTR)
      continue;
    if (written < 0)
      return system_error(error, "the input can't be kept while it is read");
    data += written;
    length -= (size_t)written;
  }
  return BT_OK;
}

bt_status intake_spool(const char *path, const char *beside, int *spool, bt_error *error) {
  struct stat about;
  intake_bytes input = {.descriptor = STDIN_FILENO};
  char *piece = NULL;
  size_t got = 0;
  bt_status status = BT_OK;
  *spool = -1;
  bool standard_input = strcmp(path, "-") == 0;
  if (!standard_input &&
      (stat(path, &about) != 0 || S_ISREG(about.st_mode) || S_ISDIR(about.st_mode)))
    return BT_OK; /* intake_bytes_open says what is wrong, if anything is */

  if (!standard_input)
    status = intake_bytes_open(path, -1, &input, error);
  if (status != BT_OK)
    goto done;
  piece = bt_new(PIECE, 1);
  if (piece == NULL) {
    status = bt_fail_memory(error);
    goto done;
  }
  status = nameless_file(beside, spool, error);
  do {
    if (status == BT_OK)
      status = intake_bytes_read(&input, piece, PIECE, &got, error);
    if (status == BT_OK)
      status = write_all(*spool, piece, got, error);
  } while (status == BT_OK && got > 0);
done:
  free(piece);
  intake_bytes_close(&input);
  if (status != BT_OK && *spool >= 0) {
    (void)close(*spool);
    *spool = -1;
  }
  return status;
}
