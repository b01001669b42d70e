/* A fill's end: how old the gas usually gets, in days, for forecasts of readings at their worst.
 *
 * The k-th largest of the n fills' greatest known ages, k = max(2, ceil(n / 50)), and 1 of a single
 * fill: two fills at least, and one in fifty, get as old or older. The greatest of all may be that
 * of the one fill over the holidays, whose readings come once a year.
 *
 * Source: our own choice, no source. Checked by hand and against counting, for random fills
 * (tests/unit/drift/fill_end.c). */
#include "beamtally/drift.h"

#include <math.h>
#include <stdlib.h>

static int falling(const void *a, const void *b) {
  double first = *(const double *)a, second = *(const double *)b;
  return (first < second) - (first > second);
}

bt_status bt_fill_end_find(const double *age_days, const int32_t *fill, const uint8_t *known,
                           size_t n, double *end_days, bt_error *error) {
  double *greatest = bt_new(n, sizeof *greatest);
  size_t fills = 0;
  int32_t last = 0;
  *end_days = 0;
  if (greatest == NULL)
    return bt_fail_memory(error);
  for (size_t i = 0; i < n; i++) {
    if (known[i] == 0)
      continue;
    if (fills == 0 || fill[i] != last)
      greatest[fills++] = age_days[i];
    last = fill[i];
    greatest[fills - 1] = fmax(greatest[fills - 1], age_days[i]);
  }
  if (fills > 0) {
    qsort(greatest, fills, sizeof *greatest, falling);
    size_t k = fills == 1 ? 1 : fills <= 100 ? 2 : (fills + 49) / 50;
    *end_days = greatest[k - 1];
  }
  free(greatest);
  return BT_OK;
}
