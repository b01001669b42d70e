/* Fuzz target: a ledger whose bytes were changed, opened and read by every entry of the room.
 *
 * Each five bytes of the input are a place in the file (four, taken modulo its size) and the byte
 * that is put there; an odd last byte cuts the file short. Whatever the damage: what is refused
 * comes with a sentence, what is read is bounded, and a ledger that verifies has the checks it had.
 * The file itself never grows. */
#include "fuzz.h"

#include "beamtally/ledger.h"
#include "beamtally/study.h"

#include <gsl/gsl_errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

enum { CHECKS = 90, PATCH = 5 };

static char path[] = "/tmp/bt-fuzz-XXXXXX";
static uint8_t *whole;
static size_t whole_n;
static char whole_state[21];

static void remove_file(void) {
  (void)unlink(path);
}

static void must(bt_status status, const bt_error *error) {
  if (status != BT_OK)
    (void)fprintf(stderr, "%s\n", error->text);
  fuzz_must(status == BT_OK);
}

/* CHECKS checks of one laser, a refill every third day, and settings with a tolerance. */
static void fill(bt_ledger *ledger) {
  bt_error error = {0};
  bt_import *import = NULL;
  bt_import_counts counts;
  bool repeated;
  const bt_time start = 20454 * BT_DAY; /* 2026-01-01 */
  bt_source source = {.name = "log.csv", .kind = BT_SOURCE_CHECKS, .reading = "as it stands"};
  must(bt_import_begin(ledger, &source, NULL, true, start, &import, &repeated, &error), &error);
  for (int i = 0; i < CHECKS; i++) {
    bt_check check = {.unit = "Room 1",
                      .time = start + i * BT_DAY + 8 * BT_HOUR,
                      .has_clock = true,
                      .line = i + 2,
                      .last_line = i + 2,
                      .present = 1U << BT_READING_ENERGY_MJ | 1U << BT_READING_TARGET_MJ};
    check.reading[BT_READING_ENERGY_MJ] = 1.6 + 0.002 * (i * 7 % 11);
    check.reading[BT_READING_TARGET_MJ] = 1.6;
    check.text[BT_FIELD_REMARK] = i % 9 == 0 ? "window looked at" : NULL;
    must(bt_import_check(import, &check, &error), &error);
  }
  must(bt_import_commit(import, &counts, &error), &error);
  for (int i = 0; i < CHECKS; i += 3) {
    bt_event event = {.unit = "Room 1",
                      .time = start + i * BT_DAY + 7 * BT_HOUR,
                      .has_clock = true,
                      .kind = BT_EVENT_GAS_REFILL};
    must(bt_ledger_add_event(ledger, &event, false, "KL", start, &repeated, &error), &error);
  }
  bt_tolerance tolerance = {.unit = (char[]){"Room 1"},
                            .characteristic = BT_ENERGY_RATIO,
                            .has_low = true,
                            .low = 0.97,
                            .source = (char[]){"a policy"}};
  bt_settings settings = {.tolerances_n = 1, .tolerances = &tolerance, .alarms_per_unit_year = 1};
  must(bt_ledger_add_settings(ledger, &settings, "KL", "first", start, &error), &error);
}

static void make_whole(void) {
  bt_error error = {0};
  bt_ledger *ledger = NULL;
  bt_verification found;
  int descriptor = mkstemp(path);
  fuzz_must(descriptor >= 0 && close(descriptor) == 0 && unlink(path) == 0);
  must(bt_ledger_open(path, BT_LEDGER_CREATE, &ledger, &error), &error);
  fill(ledger);
  must(bt_ledger_verify(ledger, &found, &error), &error);
  memcpy(whole_state, found.state, sizeof whole_state);
  bt_ledger_close(ledger);
  struct stat there;
  fuzz_must(stat(path, &there) == 0 && there.st_size > 0);
  whole_n = (size_t)there.st_size;
  whole = malloc(whole_n);
  FILE *file = fopen(path, "rb");
  fuzz_must(whole != NULL && file != NULL && fread(whole, 1, whole_n, file) == whole_n);
  (void)fclose(file);
  (void)atexit(remove_file);
}

static size_t put_damaged(const uint8_t *data, size_t size) {
  size_t kept = size % PATCH == 1 ? whole_n - 1 - (whole_n - 1) * data[size - 1] / 256 : whole_n;
  uint8_t *bytes = malloc(whole_n);
  fuzz_must(bytes != NULL);
  memcpy(bytes, whole, whole_n);
  for (; size >= PATCH; data += PATCH, size -= PATCH) {
    uint32_t place;
    memcpy(&place, data, sizeof place);
    bytes[place % whole_n] = data[4];
  }
  FILE *file = fopen(path, "wb");
  fuzz_must(file != NULL && fwrite(bytes, 1, kept, file) == kept && fclose(file) == 0);
  free(bytes);
  return kept;
}

static void must_explain(bt_status status, const bt_error *error) {
  fuzz_must(status != BT_OK && error->status == status && error->text[0] != '\0');
  fuzz_must(bt_utf8_valid(error->text, strlen(error->text)));
}

static bt_status take_columns(void *context, const char *const *names, size_t n, bt_error *error) {
  (void)error;
  for (size_t i = 0; i < n; i++)
    fuzz_must(names[i] != NULL && names[i][0] != '\0');
  *(size_t *)context = n;
  return BT_OK;
}

static bt_status take_row(void *context, const bt_cell *cells, size_t n, bt_error *error) {
  (void)error;
  fuzz_must(cells != NULL && n == *(const size_t *)context);
  return BT_OK;
}

static void read_tables(bt_ledger *ledger) {
  for (int t = 0; t < BT_TABLE_COUNT; t++) {
    size_t columns = 0;
    bt_table_sink sink = {&columns, take_columns, take_row};
    bt_error error = {0};
    bt_status status = bt_ledger_table(ledger, (bt_table)t, &sink, &error);
    if (status != BT_OK)
      must_explain(status, &error);
  }
}

/* The checks of the history; -1 where it could not be read. */
static int64_t read_history(bt_ledger *ledger) {
  bt_error error = {0};
  bt_history history = {0};
  bt_status status = bt_ledger_history(ledger, "Room 1", 40000 * BT_DAY, &history, &error);
  int64_t n = -1;
  if (status != BT_OK)
    must_explain(status, &error);
  else
    n = (int64_t)history.n;
  bt_history_free(&history);
  return n;
}

static void study(bt_ledger *ledger) {
  bt_error error = {0};
  bt_unit_study *found = NULL;
  bt_study_request request = {.unit = "Room 1", .until = 20600 * BT_DAY};
  bt_status status = bt_study_unit(ledger, &request, &found, &error);
  if (status != BT_OK)
    must_explain(status, &error);
  bt_unit_study_free(found);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
  (void)gsl_set_error_handler_off();
  if (whole == NULL)
    make_whole();
  size_t written = put_damaged(data, size);
  bt_error error = {0};
  bt_ledger *ledger = NULL;
  bt_status status = bt_ledger_open(path, BT_LEDGER_READ, &ledger, &error);
  if (status != BT_OK) {
    must_explain(status, &error);
    fuzz_must(ledger == NULL);
    return 0;
  }
  bt_verification found = {0};
  bt_status verified = bt_ledger_verify(ledger, &found, &error);
  if (verified != BT_OK)
    must_explain(verified, &error);
  int64_t checks = read_history(ledger);
  if (verified == BT_OK)
    fuzz_must(checks == CHECKS && strcmp(found.state, whole_state) == 0);
  read_tables(ledger);
  study(ledger);
  bt_ledger_close(ledger);
  struct stat there;
  fuzz_must(stat(path, &there) == 0 && (size_t)there.st_size == written);
  return 0;
}
