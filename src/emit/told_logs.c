/* Copies of logs in an evidence folder, log-NUMBER-NAME, against sources.csv: each has the SHA-256
 * of the source with its number. */
#include "told_room.h"

#include <stdlib.h>
#include <string.h>

/* The copy's SHA-256 in hexadecimal digits. */
static bt_status digits_of(const char *folder, const char *name, char *hex, bt_error *error) {
  unsigned char sha256[BT_SHA256_BYTES] = {0};
  bt_text path = {0};
  bt_text_format(&path, "%s/%s", folder, name);
  bt_status status = bt_text_ok(&path) ? bt_emit_file_digest(bt_text_get(&path), sha256, error)
                                       : bt_fail_memory(error);
  (void)bt_sha256_text(sha256, hex);
  bt_text_free(&path);
  return status;
}

/* True where the row of sources.csv is that of the copy. */
static bool is_of(const emit_csv *csv, const char *name) {
  const char *number = emit_csv_cell(csv, "number");
  size_t length = number == NULL ? 0 : strlen(number);
  return length > 0 && strncmp(name, "log-", 4) == 0 && strncmp(name + 4, number, length) == 0 &&
         name[4 + length] == '-';
}

static bt_status compare(const char *folder, const char *name, bt_error *error) {
  char hex[BT_SHA256_TEXT] = "";
  emit_csv csv = {0};
  bool row = true, found = false;
  bt_status status = digits_of(folder, name, hex, error);
  if (status == BT_OK)
    status = emit_csv_open(folder, "sources.csv", &csv, error);
  while (status == BT_OK && row && !found) {
    status = emit_csv_next(&csv, &row, error);
    found = status == BT_OK && row && is_of(&csv, name);
  }
  const char *told = found ? emit_csv_cell(&csv, "sha256") : NULL;
  if (status == BT_OK && (told == NULL || strcmp(told, hex) != 0))
    status = bt_fail(error, BT_DAMAGED, "%s is not the log that sources.csv tells of", name);
  emit_csv_close(&csv);
  return status;
}

bt_status bt_told_compare_logs(const char *folder, char *const *names, size_t n, bt_error *error) {
  bt_status status = BT_OK;
  for (size_t i = 0; i < n && status == BT_OK; i++)
    if (strncmp(names[i], "log-", 4) == 0)
      status = compare(folder, names[i], error);
  return status;
}
