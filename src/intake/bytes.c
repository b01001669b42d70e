/* The bytes of a log file: read from the start, hashed on the way. */
#include "bytes.h"
#include "beamtally/intake.h"
#include "no_text.h"

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

static bt_status too_long(const intake_bytes *bytes, bt_error *error) {
  return bt_fail(
      error, BT_INPUT,
      "it is longer than %lld bytes, and no log of checks is: nothing of it was kept; if "
      "it is one, part it into files of a year or a laser each",
      (long long)bytes->most);
}

bt_status intake_bytes_open(const char *path, int spool, intake_bytes *bytes, bt_error *error) {
  struct stat about;
  *bytes = (intake_bytes){.descriptor = -1, .most = INTAKE_LOG_MOST_BYTES};
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

bt_status intake_bytes_check_length(const intake_bytes *bytes, bt_error *error) {
  struct stat about;
  if (fstat(bytes->descriptor, &about) != 0)
    return system_error(error, "the file can't be read");
  return about.st_size > bytes->most ? too_long(bytes, error) : BT_OK;
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
  if (bytes->count > bytes->most)
    return too_long(bytes, error);
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
  else if ((*descriptor = bt_passing_nameless(name.data)) < 0)
    status =
        system_error(error, "no room was found to keep the input while it is read (put the ledger "
                            "into a folder that you can write in, or name a file)");
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

/* Fills the piece, as far as the input goes: a pipe gives what it has. */
static bt_status read_piece(intake_bytes *input, char *piece, size_t *filled, bt_error *error) {
  bt_status status = BT_OK;
  size_t got = 1;
  *filled = 0;
  while (status == BT_OK && got > 0 && *filled < PIECE) {
    status = intake_bytes_read(input, piece + *filled, PIECE - *filled, &got, error);
    *filled += got;
  }
  return status;
}

/* All of the input into the file; what its first bytes show to be no text, none of it. */
static bt_status copy_text(intake_bytes *input, bool encoded, int spool, bt_error *error) {
  size_t filled = 0;
  bool first = true;
  char *piece = bt_new(PIECE, 1);
  bt_status status = piece == NULL ? bt_fail_memory(error) : BT_OK;
  do {
    if (status == BT_OK)
      status = read_piece(input, piece, &filled, error);
    if (status == BT_OK && first && filled > 0)
      status = intake_check_text(piece, filled, encoded, error);
    if (status == BT_OK)
      status = write_all(spool, piece, filled, error);
    first = false;
  } while (status == BT_OK && filled == PIECE);
  free(piece);
  return status;
}

bt_status intake_spool(const char *path, const bt_reading_choices *choices, int *spool,
                       bt_error *error) {
  struct stat about;
  intake_bytes input = {.descriptor = STDIN_FILENO, .most = INTAKE_LOG_MOST_BYTES};
  bt_status status = BT_OK;
  *spool = -1;
  bool standard_input = strcmp(path, "-") == 0;
  if (!standard_input &&
      (stat(path, &about) != 0 || S_ISREG(about.st_mode) || S_ISDIR(about.st_mode)))
    return BT_OK; /* intake_bytes_open says what is wrong, if anything is */

  if (!standard_input)
    status = intake_bytes_open(path, -1, &input, error);
  if (choices != NULL && choices->most_bytes > 0)
    input.most = choices->most_bytes;
  if (status == BT_OK)
    status = nameless_file(choices == NULL ? NULL : choices->spool_beside, spool, error);
  if (status == BT_OK)
    status = copy_text(&input, choices != NULL && choices->encoding != NULL, *spool, error);
  intake_bytes_close(&input);
  if (status != BT_OK && *spool >= 0) {
    (void)close(*spool);
    *spool = -1;
  }
  return status;
}
