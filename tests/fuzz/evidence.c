/* Fuzz target: the files of an evidence folder that are read back, and all that is computed of
 * them.
 *
 * The input is limits.json, checks.csv and signals.csv, one behind the other, each ended by a line
 * of "%%" alone. Whatever they hold: a folder that is refused is refused with a sentence; one that
 * is taken has finite limits, and as many signals as its own rows. */
#include "fuzz.h"

#include "verify_case.h"

#include <gsl/gsl_errno.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

static char folder[] = "/tmp/bt-fuzz-XXXXXX";
static const char *const names[] = {"limits.json", "checks.csv", "signals.csv"};

enum { FILES = sizeof names / sizeof *names };

static void path_of(size_t i, char *path, size_t room) {
  int n = snprintf(path, room, "%s/%s", folder, names[i]);
  fuzz_must(n > 0 && (size_t)n < room);
}

static void remove_folder(void) {
  char path[64];
  for (size_t i = 0; i < FILES; i++) {
    path_of(i, path, sizeof path);
    (void)unlink(path);
  }
  (void)rmdir(folder);
}

static void make_folder(void) {
  static bool made = false;
  if (made)
    return;
  fuzz_must(mkdtemp(folder) != NULL);
  (void)atexit(remove_folder);
  made = true;
}

/* The bytes up to the next line of "%%", and what follows it. */
static size_t next_file(const uint8_t **data, size_t *size) {
  static const char between[] = "%%\n";
  size_t n = 0;
  while (n < *size && (*size - n < 3 || memcmp(*data + n, between, 3) != 0))
    n++;
  size_t skipped = *size - n < 3 ? *size : n + 3;
  *data += skipped;
  *size -= skipped;
  return n;
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
  (void)gsl_set_error_handler_off();
  make_folder();
  for (size_t i = 0; i < FILES; i++) {
    char path[64];
    path_of(i, path, sizeof path);
    const uint8_t *bytes = data;
    size_t n = next_file(&data, &size);
    FILE *file = fopen(path, "wb");
    fuzz_must(file != NULL && fwrite(bytes, 1, n, file) == n && fclose(file) == 0);
  }
  bt_told_case told = {0};
  bt_error error = {0};
  size_t signals = 0, rows = 0;
  bt_status status = bt_told_read(folder, &told, &error);
  if (status == BT_OK)
    status = verify_case(&told, &signals, &error);
  for (size_t c = 0; c < told.charts_n && status == BT_OK; c++) {
    rows += told.charts[c].signals_n;
    fuzz_must(isfinite(told.charts[c].k) && isfinite(told.charts[c].h));
  }
  if (status == BT_OK)
    fuzz_must(signals == rows);
  else
    fuzz_must(error.status == status && error.text[0] != '\0' && status != BT_MEMORY);
  bt_told_free(&told);
  return 0;
}
