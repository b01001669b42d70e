/* Sources still at hand: files of the same name, hashed again. A folder's file is only compared; it
 * may have been moved, edited or exported anew without the ledger being any worse. */
#include "sql_private.h"

#include <errno.h>
#include <fcntl.h>
#include <sodium.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

/* *read is false when there is no ordinary file of that name that can be read. */
static void hash_file(const char *path, unsigned char *sha256, bool *read_whole) {
  unsigned char buffer[65536];
  crypto_hash_sha256_state state;
  struct stat info;
  ssize_t got = -1;
  int file = open(path, O_RDONLY | O_CLOEXEC | O_NONBLOCK); /* a pipe must not hold us up */
  *read_whole = false;
  if (file < 0)
    return;
  (void)crypto_hash_sha256_init(&state);
  if (fstat(file, &info) == 0 && S_ISREG(info.st_mode))
    while ((got = read(file, buffer, sizeof buffer)) > 0 || (got < 0 && errno == EINTR))
      if (got > 0)
        (void)crypto_hash_sha256_update(&state, buffer, (size_t)got);
  (void)crypto_hash_sha256_final(&state, sha256);
  (void)close(file);
  *read_whole = got == 0;
}

/* Whether a source of that name had this SHA-256. */
static bt_status is_source(bt_ledger *ledger, const char *name, const unsigned char *sha256,
                           bool *found, bt_error *error) {
  int64_t any = 0;
  bt_status status = ledger_number_of(ledger, error,
                                      "SELECT 1 FROM main.source WHERE sha256 = ?1 AND name = ?2 "
                                      "AND kind IN ('checks', 'events') LIMIT 1",
                                      &any, "bt", sha256, (size_t)BT_SHA256_BYTES, name);
  *found = any != 0;
  return status;
}

/* The file that a folder has under a name, if any. */
typedef struct found_file {
  const char *folder;
  char *name; /* of the last one that was looked at */
  bool there, known;
  unsigned char sha256[BT_SHA256_BYTES];
} found_file;

/* Sources of one name follow each other, and their file is hashed once. */
static bt_status look_at(bt_ledger *ledger, found_file *file, const char *name, bt_error *error) {
  if (file->name != NULL && strcmp(file->name, name) == 0)
    return BT_OK;
  free(file->name);
  file->name = bt_copy(name);
  file->there = file->known = false;
  bt_text path = {0};
  bt_text_format(&path, "%s/%s", file->folder, name);
  if (file->name == NULL || !bt_text_ok(&path)) {
    bt_text_free(&path);
    return bt_fail_memory(error);
  }
  if (strchr(name, '/') == NULL) /* a name from elsewhere leads nowhere out of the folder */
    hash_file(bt_text_get(&path), file->sha256, &file->there);
  bt_text_free(&path);
  return file->there ? is_source(ledger, name, file->sha256, &file->known, error) : BT_OK;
}

static bt_status add_source(bt_ledger *ledger, found_file *file, sqlite3_stmt *row,
                            bt_source_file *source, bt_error *error) {
  const char *name = (const char *)sqlite3_column_text(row, 0);
  source->name = bt_copy(name == NULL ? "" : name);
  if (source->name == NULL)
    return bt_fail_memory(error);
  bt_status status = look_at(ledger, file, source->name, error);
  bool same = file->there && sqlite3_column_bytes(row, 1) == BT_SHA256_BYTES &&
              memcmp(sqlite3_column_blob(row, 1), file->sha256, BT_SHA256_BYTES) == 0;
  source->at_hand = same                          ? BT_AT_HAND_SAME
                    : file->there && !file->known ? BT_AT_HAND_DIFFERENT
                                                  : BT_NOT_AT_HAND;
  return status;
}

void bt_source_files_free(bt_source_file *files, size_t n) {
  for (size_t i = 0; i < n; i++)
    free(files[i].name);
  free(files);
}

bt_status bt_ledger_compare_files(bt_ledger *ledger, const char *folder, bt_source_file **files,
                                  size_t *n, bt_error *error) {
  found_file file = {.folder = folder};
  sqlite3_stmt *statement = NULL;
  size_t capacity = 0;
  *files = NULL;
  *n = 0;
  bt_status status = ledger_prepare(ledger,
                                    "SELECT name, sha256 FROM main.source WHERE kind IN ('checks', "
                                    "'events') GROUP BY name, sha256 ORDER BY name, min(number)",
                                    &statement, error);
  while (ledger_next(ledger, statement, &status, error)) {
    if (!bt_grow(files, &capacity, *n + 1, sizeof **files))
      status = bt_fail_memory(error);
    else
      status = add_source(ledger, &file, statement, &(*files)[(*n)++], error);
  }
  (void)sqlite3_finalize(statement);
  free(file.name);
  if (status != BT_OK) {
    bt_source_files_free(*files, *n);
    *files = NULL;
    *n = 0;
  }
  return status;
}
