/* verify FOLDER: one row of checks.csv, and what kind of chart it is of. */
#include "verify_case.h"

#include <math.h>
#include <string.h>

bool verify_same(double a, double b) {
  return fabs(a - b) <= 1e-9 * fmax(fabs(a), fabs(b)) || fabs(a - b) <= 1e-12;
}

bool verify_is_vector(const verify_chart *of) {
  return of->chart->characteristic == BT_TRACKER_VECTOR;
}

bool verify_is_radial(const verify_chart *of) {
  return of->chart->characteristic == BT_TRACKER_RADIAL;
}

bool verify_is_outside(const bt_told_check *check) {
  return (check->has_low && check->reading < check->low) ||
         (check->has_high && check->reading > check->high);
}

const bt_told_check *verify_row_of(const bt_told_case *told, const char *key,
                                   const bt_told_check *check) {
  for (size_t c = 0; c < told->charts_n; c++) {
    const bt_told_chart *chart = &told->charts[c];
    size_t low = 0, high = chart->checks_n;
    if (strcmp(chart->key, key) != 0)
      continue;
    while (low < high) { /* rows are in order of time and sequence */
      size_t middle = (low + high) / 2;
      const bt_told_check *one = &chart->checks[middle];
      if (one->at < check->at || (one->at == check->at && one->sequence < check->sequence))
        low = middle + 1;
      else
        high = middle;
    }
    if (low < chart->checks_n && chart->checks[low].at == check->at &&
        chart->checks[low].sequence == check->sequence)
      return &chart->checks[low];
  }
  return NULL;
}
