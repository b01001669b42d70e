/* Readings of a file that are far from the rest of their column.
 *
 * What      how many are about ten times the median and more, or a tenth of it and less.
 * How       each reading is counted in a class by the leading bits of its IEEE 754 form: eight
 *           classes to a doubling, so that a class is at most 12.5 % wide and memory doesn't grow
 *           with the file. The median is the middle of its class.
 * Cut-off   ten: what a wrong prefix, a lost decimal mark or another unit does; common practice, no
 *           source. At least 5 readings, or nothing is said.
 * Checked   against sorted values in tests/cli/import_said.c. */
#include "cli.h"

#include <stdlib.h>
#include <string.h>

enum {
  STEPS = 8,            /* classes to a doubling */
  LOWEST = -32,         /* 2^LOWEST and below are one class */
  CLASSES = 64 * STEPS, /* up to 2^32 */
  LEAST = 5,
  FAR = 10
};

/* Readings that stay within a factor of ten while a laser and its map are in order. */
static const bt_reading watched[] = {BT_READING_TARGET_MJ,      BT_READING_ENERGY_MJ,
                                     BT_READING_SPOT_MM,        BT_READING_FLUENCE_MJ_CM2,
                                     BT_READING_PLATE_DEPTH_UM, BT_READING_HV_KV,
                                     BT_READING_PRESSURE_MBAR};
enum { WATCHED = sizeof watched / sizeof watched[0] };

struct cli_sizes {
  int64_t count[WATCHED][CLASSES];
  int64_t zeros[WATCHED];
};

cli_sizes *cli_sizes_new(void) {
  return bt_new(1, sizeof(cli_sizes));
}

void cli_sizes_free(cli_sizes *sizes) {
  free(sizes);
}

/* value > 0 */
static int class_of(double value) {
  enum { MANTISSA_BITS = 52, STEP_BITS = 3, BIAS = 1023 };
  uint64_t bits;
  memcpy(&bits, &value, sizeof bits);
  int64_t at = (int64_t)(bits >> (MANTISSA_BITS - STEP_BITS)) - (int64_t)(BIAS + LOWEST) * STEPS;
  return at < 0 ? 0 : at >= CLASSES ? CLASSES - 1 : (int)at;
}

/* The middle of a class. */
static double size_of(int at) {
  double size = 1.0 + ((double)(at % STEPS) + 0.5) / STEPS;
  for (int power = at / STEPS + LOWEST; power != 0; power += power < 0 ? 1 : -1)
    size = power < 0 ? size / 2 : size * 2;
  return size;
}

void cli_sizes_hear(cli_sizes *sizes, const bt_check *check) {
  for (size_t i = 0; sizes != NULL && i < WATCHED; i++) {
    if (!bt_check_has(check, watched[i]))
      continue;
    double value = check->reading[watched[i]];
    if (value > 0.0)
      sizes->count[i][class_of(value)]++;
    else
      sizes->zeros[i]++;
  }
}

static void say_one(const cli_sizes *sizes, size_t i, const char *path) {
  const char *key = bt_reading_key(watched[i]);
  int64_t n = 0, before = 0, above = 0, below = sizes->zeros[i];
  int middle = 0;
  for (int c = 0; c < CLASSES; c++)
    n += sizes->count[i][c];
  if (n < LEAST)
    return;
  while (2 * (before + sizes->count[i][middle]) < n)
    before += sizes->count[i][middle++];
  double median = size_of(middle);
  for (int c = 0; c < CLASSES; c++) {
    above += size_of(c) >= FAR * median ? sizes->count[i][c] : 0;
    below += size_of(c) <= median / FAR ? sizes->count[i][c] : 0;
  }
  if (above > 0)
    cli_say("%s: %lld reading%s of %s about ten times the median (%.2g %s) or more; kept: if that "
            "was not the laser, check the unit in the map, or correct the log",
            path, (long long)above, above == 1 ? "" : "s", key, median,
            bt_reading_unit(watched[i]));
  if (below > 0)
    cli_say("%s: %lld reading%s of %s about a tenth of the median (%.2g %s) or less, zeros too; "
            "kept: if that was not the laser, check the unit in the map, or correct the log",
            path, (long long)below, below == 1 ? "" : "s", key, median,
            bt_reading_unit(watched[i]));
}

void cli_sizes_say(const cli_sizes *sizes, const char *path) {
  for (size_t i = 0; sizes != NULL && i < WATCHED; i++)
    say_one(sizes, i, path);
}
