/* How long the step from one point to the next may be before it is a gap.
 *
 * A step within the days that a check of the unit is expected in is none. Some characteristics are
 * read more seldom than the unit is checked: twice their own usual step, the median in days of the
 * points that are asked about, is no gap either, where these are over 8. Common practice, no
 * source. Days are those of the calendar, so that the hour of a check makes no gap. */
#include "beamtally/series.h"

#include <stdlib.h>

enum { ENOUGH = 8 };

static int by_size(const void *a, const void *b) {
  double left = *(const double *)a, right = *(const double *)b;
  return (left > right) - (left < right);
}

bool bt_series_longest_step(const bt_series *points, size_t first, size_t last, double *days) {
  if (last - first <= ENOUGH)
    return true;
  size_t n = last - first - 1;
  double *step = bt_new(n, sizeof *step);
  if (step == NULL)
    return false;
  for (size_t i = 0; i < n; i++)
    step[i] = (double)(bt_day_of(points->at[first + i + 1]) - bt_day_of(points->at[first + i]));
  qsort(step, n, sizeof *step, by_size);
  double usual = step[n / 2];
  free(step);
  *days = 2 * usual > *days ? 2 * usual : *days;
  return true;
}
