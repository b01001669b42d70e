/* Sources still at hand: files of the same name, hashed again. A folder's file is only compared; it
 * may have been moved, edited or exported anew without the ledger being any worse. */
#include "ledger_private.h"

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
  sqlite3_stmt *statement = NULL;
  bt_status status = ledger_prepare(
      ledger,
      "SELECT 1 FROM main.source WHERE sha256 = ?1 AND name = ?2 AND kind IN ('checks', 'events')",
      &statement, error);
  if (status == BT_OK)
    status = ledger_bind(ledger, error, statement, "bt", sha256, (size_t)BT_SHA256_BYTES, name);
  if (status == BT_OK)
    status = ledger_step(ledger, statement, found, error);
  (void)sqlite3_finalize(statement);
  return status;
}

static bt_status compare_file(bt_ledger *ledger, const char *folder, const char *name,
                              bt_source_files *files, size_t *capacity, bt_error *error) {
  unsigned char sha256[BT_SHA256_BYTES];
  bool there = false, same = false;
  bt_text path = {0};
  /* A name from elsewhere leads nowhere out of the folder. */
  if (name == NULL || strchr(name, '/') != NULL)
    return BT_OK;
  bt_text_format(&path, "%s/%s", folder, name);
  if (!bt_text_ok(&path)) {
    bt_text_free(&path);
    return bt_fail_memory(error);
  }
  hash_file(bt_text_get(&path), sha256, &there);
  bt_text_free(&path);
  if (!there)
    return BT_OK;
  bt_status status = is_source(ledger, name, sha256, &same, error);
  if (status != BT_OK)
    return status;
  if (same) {
    files->same++;
    return BT_OK;
  }
  char *copy = bt_copy(name);
  if (copy == NULL ||
      !bt_grow(&files->different, capacity, files->different_n + 1, sizeof *files->different)) {
    free(copy);
    return bt_fail_memory(error);
  }
  files->different[files->different_n++] = copy;
  return BT_OK;
}

bt_status bt_ledger_compare_files(bt_ledger *ledger, const char *folder, bt_source_files *files,
                                  bt_error *error) {
  sqlite3_stmt *statement = NULL;
  size_t capacity = 0;
  bool row = true;
  *files = (bt_source_files){0};
  bt_status status = ledger_prepare(
      ledger,
      "SELECT DISTINCT name FROM main.source WHERE kind IN ('checks', 'events') ORDER BY name",
      &statement, error);
  while (status == BT_OK && row) {
    status = ledger_step(ledger, statement, &row, error);
    if (status == BT_OK && row)
      status = compare_file(ledger, folder, (const char *)sqlite3_column_text(statement, 0), files,
                            &capacity, error);
  }
  (void)sqlite3_finalize(statement);
  if (status != BT_OK) {
    bt_names_free(files->different, files->different_n);
    *files = (bt_source_files){0};
  }
  return status;
}
