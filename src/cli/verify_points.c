/* Points from the rows of checks.csv: a day's independent checks, their mean, and their place. */
#include "verify_case.h"

#include <math.h>
#include <string.h>

static bt_status differs(const bt_told_check *check, const char *column, double is, double follows,
                         bt_error *error) {
  return bt_fail(
      error, BT_DAMAGED,
      "checks.csv, line %lld: %s is %.12g, and from the rows it follows that it is %.12g",
      (long long)check->line, column, is, follows);
}

static bt_status in_order(const bt_told_chart *chart, bt_error *error) {
  for (size_t i = 1; i < chart->checks_n; i++) {
    const bt_told_check *before = &chart->checks[i - 1], *check = &chart->checks[i];
    if (check->at < before->at || (check->at == before->at && check->sequence <= before->sequence))
      return bt_fail(error, BT_DAMAGED, "checks.csv, line %lld: the row is not in order of time",
                     (long long)check->line);
  }
  return BT_OK;
}

/* A mean offset is that of x and y of the same checks. */
static bt_status add_offset(verify_chart *of, const bt_told_check *check, size_t p, double n,
                            bt_error *error) {
  const bt_told_check *x = verify_row_of(of->told, bt_characteristic_key(BT_TRACKER_X), check);
  const bt_told_check *y = verify_row_of(of->told, bt_characteristic_key(BT_TRACKER_Y), check);
  if (x == NULL || y == NULL)
    return bt_fail(error, BT_DAMAGED, "checks.csv, line %lld: there are no x and y of this check",
                   (long long)check->line);
  of->x[p] += x->reading / n;
  of->y[p] += y->reading / n;
  return BT_OK;
}

/* T² fails with x, y or the radius. */
static bool has_failed(const verify_chart *of, const bt_told_check *check) {
  static const bt_characteristic parts[] = {BT_TRACKER_X, BT_TRACKER_Y, BT_TRACKER_RADIAL};
  if (!verify_is_vector(of))
    return verify_is_outside(check);
  for (size_t k = 0; k < sizeof parts / sizeof *parts; k++) {
    const bt_told_check *part = verify_row_of(of->told, bt_characteristic_key(parts[k]), check);
    if (part != NULL && verify_is_outside(part))
      return true;
  }
  return false;
}

static void gather(verify_chart *of) {
  const bt_told_chart *chart = of->chart;
  int64_t day = 0;
  size_t targets = 0; /* of the newest point */
  for (size_t i = 0; i < chart->checks_n; i++) {
    const bt_told_check *check = &chart->checks[i];
    of->point[i] = BT_NONE;
    if (check->retest || check->as_left)
      continue;
    if (of->n == 0 || bt_day_of(check->at) != day) {
      of->row[of->n] = i;
      of->at[of->n] = check->at;
      targets = 0;
      of->has_age[of->n++] = 1;
    }
    day = bt_day_of(check->at);
    size_t p = of->n - 1;
    of->point[i] = p;
    of->reading[p] += check->reading;
    of->age[p] += check->age_days;
    if (check->target_mj > 0)
      of->target[p] += (check->target_mj - of->target[p]) / (double)++targets;
    of->has_age[p] = of->has_age[p] && check->age_known;
    of->failed[p] = of->failed[p] || has_failed(of, check);
  }
}

static size_t checks_of(const verify_chart *of, size_t p) {
  size_t n = 0;
  size_t end = p + 1 < of->n ? of->row[p + 1] : of->chart->checks_n;
  for (size_t i = of->row[p]; i < end; i++)
    n += of->point[i] == p;
  return n;
}

static bt_status compare(verify_chart *of, size_t p, bt_error *error) {
  const bt_told_check *first = &of->chart->checks[of->row[p]];
  size_t n = checks_of(of, p), end = p + 1 < of->n ? of->row[p + 1] : of->chart->checks_n;
  bt_status status = BT_OK;
  of->reading[p] /= (double)n;
  of->age[p] = of->has_age[p] ? of->age[p] / (double)n : 0;
  if (!first->is_point || first->point_checks != n)
    return differs(first, "point_checks", first->point_checks, (double)n, error);
  if (first->has_point_age != (of->has_age[p] != 0) ||
      !verify_same(first->point_age_days, of->age[p]))
    return differs(first, "point_age_days", first->point_age_days, of->age[p], error);
  bool of_offset = verify_is_vector(of) || verify_is_radial(of);
  for (size_t i = of->row[p]; i < end && status == BT_OK && of_offset; i++)
    if (of->point[i] == p)
      status = add_offset(of, &of->chart->checks[i], p, (double)n, error);
  if (status == BT_OK && verify_is_radial(of)) /* the length of the day's mean offset */
    of->reading[p] = hypot(of->x[p], of->y[p]);
  if (status == BT_OK && !verify_is_vector(of) &&
      !verify_same(first->point_reading, of->reading[p]))
    status = differs(first, "point_reading", first->point_reading, of->reading[p], error);
  return status;
}

bt_status verify_points(verify_chart *of, bt_error *error) {
  bt_status status = in_order(of->chart, error);
  if (status == BT_OK)
    gather(of);
  for (size_t i = 0; i < of->chart->checks_n && status == BT_OK; i++) {
    const bt_told_check *check = &of->chart->checks[i];
    bool begins = of->point[i] != BT_NONE && of->row[of->point[i]] == i;
    if (check->is_point != begins)
      status = bt_fail(error, BT_DAMAGED, "checks.csv, line %lld: the row %s the first of a point",
                       (long long)check->line, begins ? "is" : "is not");
  }
  for (size_t p = 0; p < of->n && status == BT_OK; p++)
    status = compare(of, p, error);
  return status;
}
