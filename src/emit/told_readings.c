/* readings.csv of an evidence folder against checks.csv: both tell of the same checks.
 *
 * R1 Every check of checks.csv is in readings.csv, known by its digest, with the same time, place
 *    in the log and sequence.
 * R2 What a row of checks.csv says was read is what readings.csv says; the target beside a voltage
 *    too; the pulse-energy ratio is energy over target, else the percent of it over 100, the radius
 *    the length of the offset. A fluence that is derived, and a reading that has no column of its
 *    name, are not compared. */
#include "told_room.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

typedef struct known {
  const bt_told_check *check;
  const bt_told_chart *chart;
  bool seen;
} known;

static int by_digest(const void *a, const void *b) {
  const known *one = a, *other = b;
  int order = strcmp(one->check->digest, other->check->digest);
  return order != 0
             ? order
             : (one->check->line > other->check->line) - (one->check->line < other->check->line);
}

static known *all_of(const bt_told_case *told, size_t *n) {
  *n = 0;
  for (size_t c = 0; c < told->charts_n; c++)
    *n += told->charts[c].checks_n;
  known *all = bt_new(*n, sizeof *all);
  size_t k = 0;
  for (size_t c = 0; c < told->charts_n && all != NULL; c++)
    for (size_t i = 0; i < told->charts[c].checks_n; i++)
      all[k++] = (known){.check = &told->charts[c].checks[i], .chart = &told->charts[c]};
  if (all != NULL && *n > 1)
    qsort(all, *n, sizeof *all, by_digest);
  return all;
}

static size_t first_with(const known *all, size_t n, const char *digest) {
  size_t low = 0, high = n;
  while (low < high) {
    size_t middle = (low + high) / 2;
    if (strcmp(all[middle].check->digest, digest) < 0)
      low = middle + 1;
    else
      high = middle;
  }
  return low;
}

/* False where the cell is none. */
static bool number_in(const char *cell, double *value) {
  char *end;
  *value = cell == NULL ? 0 : strtod(cell, &end);
  return cell != NULL && *cell != '\0' && *end == '\0';
}

/* False where the row has no such reading. */
static bool number_of(const emit_csv *csv, const char *column, double *value) {
  return number_in(emit_csv_cell(csv, column), value);
}

/* R2: what readings.csv gives; false where it can't be told. */
static bool reading_of(const emit_csv *csv, const bt_told_chart *chart, double *value) {
  double other;
  if (chart->characteristic == BT_CHARACTERISTIC_COUNT)
    return number_in(emit_csv_last_cell(csv, chart->key), value);
  if (chart->characteristic == BT_ENERGY_RATIO) {
    bool there =
        number_of(csv, "energy_mj", value) && number_of(csv, "target_mj", &other) && other > 0;
    if (there)
      *value /= other;
    else if ((there = number_of(csv, "energy_pct", value)))
      *value /= 100;
    return there;
  }
  if (chart->characteristic == BT_TRACKER_RADIAL) {
    bool there = number_of(csv, "offset_x_um", value) && number_of(csv, "offset_y_um", &other);
    *value = there ? hypot(*value, other) : 0;
    return there;
  }
  bt_reading reading = bt_characteristic_reading(chart->characteristic);
  return number_of(csv, reading == BT_READING_NONE ? chart->key : bt_reading_key(reading), value);
}

static bool is_integer(const emit_csv *csv, const char *column, int64_t number) {
  double value;
  bool there = number_of(csv, column, &value);
  return there ? value == (double)number : number == 0;
}

/* R2. A target that isn't told is 0, and so is one that isn't there. */
static bool is_target(const emit_csv *csv, const bt_told_check *check) {
  double value;
  (void)number_of(csv, "target_mj", &value);
  return check->target_mj == 0 || fabs(value - check->target_mj) <= 1e-9 * fabs(value);
}

static bool is_moment(const emit_csv *csv, const bt_told_check *check) {
  bt_time at;
  bool has_clock;
  return emit_csv_moment(csv, &at, &has_clock) && has_clock == check->has_clock && at == check->at;
}

static bt_status compare(const emit_csv *csv, const known *of, bt_error *error) {
  const bt_told_check *check = of->check;
  const char *what = NULL;
  double value;
  if (!is_moment(csv, check))
    what = "time";
  else if (!is_integer(csv, "beamtally_sequence", check->sequence))
    what = "sequence";
  else if (!is_integer(csv, "beamtally_source", check->source))
    what = "source";
  else if (!is_integer(csv, "beamtally_line", check->log_line))
    what = "line of the log";
  else if (reading_of(csv, of->chart, &value) &&
           fabs(value - check->reading) > 1e-9 * fmax(fabs(value), fabs(check->reading)))
    what = "reading";
  else if (!is_target(csv, check))
    what = "target";
  return what == NULL
             ? BT_OK
             : bt_fail(error, BT_DAMAGED,
                       "readings.csv, line %lld, and checks.csv, line %lld, are of one check, and "
                       "its %s is not the same in both",
                       (long long)csv->line, (long long)check->line, what);
}

bt_status bt_told_compare_readings(const char *folder, const bt_told_case *told, bt_error *error) {
  size_t n;
  known *all = all_of(told, &n);
  emit_csv csv = {0};
  bool row = true;
  bt_status status =
      all == NULL ? bt_fail_memory(error) : emit_csv_open(folder, "readings.csv", &csv, error);
  while (status == BT_OK && row) {
    status = emit_csv_next(&csv, &row, error);
    const char *digest = row && status == BT_OK ? emit_csv_cell(&csv, "beamtally_digest") : NULL;
    for (size_t k = digest == NULL ? n : first_with(all, n, digest);
         k < n && status == BT_OK && strcmp(all[k].check->digest, digest) == 0; k++) {
      all[k].seen = true;
      status = compare(&csv, &all[k], error);
    }
  }
  for (size_t k = 0; k < n && status == BT_OK; k++)
    if (!all[k].seen)
      status = bt_fail(error, BT_DAMAGED,
                       "checks.csv, line %lld: readings.csv has no check with that digest",
                       (long long)all[k].check->line);
  emit_csv_close(&csv);
  free(all);
  return status;
}
