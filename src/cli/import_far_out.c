/* Readings of a file that are far from the rest of their column.
 *
 * What      how many are about ten times the median and more, or a tenth of it and less; the three
 *           furthest on each side by date, line, value and factor, with the command that corrects
 *           one.
 * How       each reading is counted in a class by the leading bits of its IEEE 754 form: 64
 *           classes to a doubling, so that a class is at most 1.6 % wide and memory doesn't grow
 *           with the file. The median is the mean of its class.
 * Cut-off   nine: a wrong prefix, a lost decimal mark or another unit makes it ten, and the reading
 *           itself may lie some per cent off the median (99.8 without its mark where the median is
 *           100.1); common practice, no source. At least 5 readings, or nothing is said.
 * Checked   against sorted values in tests/cli/far_out_said.c. */
#include "import_heard.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum {
  STEPS = 64,           /* classes to a doubling */
  LOWEST = -32,         /* 2^LOWEST and below are one class */
  CLASSES = 64 * STEPS, /* up to 2^32 */
  LEAST = 5,
  FAR = 9
};

enum { NAMED = 3 };

/* A reading that may be named. */
typedef struct far_reading {
  double value;
  bt_time time;
  bool has_clock;
  int64_t line;
  char *unit; /* the laser's name, owned; NULL where there is none (yet), or no memory */
} far_reading;

enum { ABOVE, BELOW, SIDES };

struct import_sizes {
  int64_t count[BT_READING_COUNT][CLASSES];
  double sum[BT_READING_COUNT][CLASSES];
  int64_t zeros[BT_READING_COUNT];
  far_reading furthest[BT_READING_COUNT][SIDES][NAMED]; /* the furthest first */
  size_t furthest_n[BT_READING_COUNT][SIDES];
};

import_sizes *import_sizes_new(void) {
  return bt_new(1, sizeof(import_sizes));
}

void import_sizes_free(import_sizes *sizes) {
  for (size_t i = 0; sizes != NULL && i < BT_READING_COUNT; i++)
    for (size_t side = 0; side < SIDES; side++)
      for (size_t k = 0; k < sizes->furthest_n[i][side]; k++)
        free(sizes->furthest[i][side][k].unit);
  free(sizes);
}

/* value > 0 */
static int class_of(double value) {
  enum { MANTISSA_BITS = 52, STEP_BITS = 6, BIAS = 1023 };
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

/* Keeps a reading among the furthest of its side; of equal ones those that came first. */
static void keep_furthest(import_sizes *sizes, size_t i, size_t side, const bt_check *check) {
  far_reading *kept = sizes->furthest[i][side];
  size_t *n = &sizes->furthest_n[i][side], at = *n;
  double value = check->reading[i];
  while (at > 0 && (side == ABOVE ? value > kept[at - 1].value : value < kept[at - 1].value))
    at--;
  if (at == NAMED)
    return;
  if (*n == NAMED)
    free(kept[--*n].unit);
  memmove(kept + at + 1, kept + at, (*n - at) * sizeof *kept);
  kept[at] = (far_reading){.value = value,
                           .time = check->time,
                           .has_clock = check->has_clock,
                           .line = check->line,
                           .unit = bt_copy(check->unit)};
  ++*n;
}

void import_sizes_hear(import_sizes *sizes, const bt_check *check) {
  for (size_t i = 0; sizes != NULL && i < BT_READING_COUNT; i++) {
    if (!bt_reading_is_steady((bt_reading)i) || !bt_check_has(check, (bt_reading)i))
      continue;
    double value = check->reading[i];
    if (value > 0.0) {
      sizes->count[i][class_of(value)]++;
      sizes->sum[i][class_of(value)] += value;
    } else {
      sizes->zeros[i]++;
    }
    for (size_t side = 0; side < SIDES; side++)
      keep_furthest(sizes, i, side, check);
  }
}

/* A factor as precise as the median is: 1005 is 1000. */
static double two_figures(double factor) {
  double step = 1.0;
  while (factor / step >= 100.0)
    step *= 10.0;
  return round(factor / step) * step;
}

/* "2026-05-07T07:40 (line 12): 1608 mJ, 1000 times the median" for each of the furthest, as many as
 * are far. */
static void add_furthest(const import_sizes *sizes, size_t i, size_t side, int64_t far,
                         double median, bt_text *out) {
  char when[BT_TIME_TEXT];
  for (size_t k = 0; k < sizes->furthest_n[i][side] && (int64_t)k < far; k++) {
    const far_reading *one = &sizes->furthest[i][side][k];
    bt_text_format(out, "%s%s (line %lld): %.6g %s", k == 0 ? "" : "; ",
                   bt_time_iso(one->time, one->has_clock, when), (long long)one->line, one->value,
                   bt_reading_unit((bt_reading)i));
    if (side == ABOVE)
      bt_text_format(out, ", %.0f times the median", two_figures(one->value / median));
    else if (one->value > 0.0)
      bt_text_format(out, ", 1/%.0f of the median", two_figures(median / one->value));
  }
  if (far > NAMED)
    bt_text_format(out, "; and %lld more", (long long)far - NAMED);
}

static void say_side(const import_sizes *sizes, size_t i, size_t side, int64_t far, double median,
                     bool known, const char *path) {
  const char *key = bt_reading_key((bt_reading)i), *unit = bt_reading_unit((bt_reading)i);
  const far_reading *first = &sizes->furthest[i][side][0];
  bt_text named = {0}, laser = {0};
  char when[BT_TIME_TEXT];
  add_furthest(sizes, i, side, far, median, &named);
  bt_text_add_shell_word(&laser, first->unit == NULL ? "NAME" : first->unit);
  if (bt_text_ok(&named) && bt_text_ok(&laser))
    cli_say("%s: %lld reading%s of %s about %s the median (%.2g %s) or %s; kept: %s. If that was "
            "not the laser: where the unit in the map is wrong, mend the map and import again with "
            "--again; where one was mistyped, `beamtally correct --unit %s --at %s %s=VALUE --by "
            "NAME --why TEXT`%s",
            path, (long long)far, far == 1 ? "" : "s", key,
            side == ABOVE ? "ten times" : "a tenth of", median, unit,
            side == ABOVE ? "more" : "less, zeros too", bt_text_get(&named), bt_text_get(&laser),
            bt_time_iso(first->time, first->has_clock, when), key,
            known ? ". What was corrected in the ledger before stays so" : "");
  bt_text_free(&named);
  bt_text_free(&laser);
}

static void say_one(const import_sizes *sizes, size_t i, bool known, const char *path) {
  int64_t n = 0, before = 0, above = 0, below = sizes->zeros[i];
  int middle = 0;
  for (int c = 0; c < CLASSES; c++)
    n += sizes->count[i][c];
  if (n < LEAST)
    return;
  while (2 * (before + sizes->count[i][middle]) < n)
    before += sizes->count[i][middle++];
  double median = sizes->sum[i][middle] / (double)sizes->count[i][middle];
  for (int c = 0; c < CLASSES; c++) {
    above += size_of(c) >= FAR * size_of(middle) ? sizes->count[i][c] : 0;
    below += size_of(c) <= size_of(middle) / FAR ? sizes->count[i][c] : 0;
  }
  if (above > 0)
    say_side(sizes, i, ABOVE, above, median, known, path);
  if (below > 0)
    say_side(sizes, i, BELOW, below, median, known, path);
}

void import_sizes_say(const import_sizes *sizes, bool known, const char *path) {
  for (size_t i = 0; sizes != NULL && i < BT_READING_COUNT; i++)
    say_one(sizes, i, known, path);
}
