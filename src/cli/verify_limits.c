/* Baselines fitted anew from the rows of checks.csv, against limits.json; then the values and what
 * is judged, which follow from the limits.
 *
 * R1 What a baseline's fit gives: verify_fit.c.
 * R2 A frozen baseline's numbers stand as they were frozen; where the fit gives others, the folder
 *    must say so (read_today) with the numbers of the fit.
 * R3 Chart and numbers agree: sigma, lcl, ucl and the moving range follow from centre and sigma. */
#include "verify_case.h"

#include <math.h>

static bt_status differs(const verify_chart *of, const bt_told_segment *told, const char *what,
                         double is, double follows, bt_error *error) {
  return bt_fail(error, BT_DAMAGED,
                 "limits.json: %s of %s, baseline %d, is %.12g; from checks.csv follows %.12g",
                 what, of->chart->key, (int)told->number, is, follows);
}

static bt_status row_differs(const verify_chart *of, size_t p, const char *column,
                             bt_error *error) {
  return bt_fail(error, BT_DAMAGED,
                 "checks.csv, line %lld: %s doesn't follow from limits.json and the other rows",
                 (long long)of->chart->checks[of->row[p]].line, column);
}

/* ---- Which baseline judges which points ------------------------------------------------------ */

static bt_time at_of(const verify_chart *of, size_t p) {
  return of->chart->checks[of->row[p]].at;
}

static size_t first_at(const verify_chart *of, bt_time moment) {
  size_t p = 0;
  while (p < of->n && at_of(of, p) < moment)
    p++;
  return p;
}

static verify_period period_of(const verify_chart *of, size_t s) {
  const bt_told_chart *chart = of->chart;
  verify_period found = {.told = &chart->segments[s], .to = of->n};
  const bt_baseline *baseline = &found.told->of.baseline;
  found.from = first_at(of, baseline->from);
  if (s + 1 < chart->segments_n)
    found.to = first_at(of, chart->segments[s + 1].of.baseline.from);
  found.phase2 = first_at(of, baseline->to + BT_DAY);
  if (found.phase2 > found.to)
    found.phase2 = found.to;
  return found;
}

static bt_status place(verify_chart *of, bt_error *error) {
  for (size_t p = 0; p < of->n; p++)
    of->segment[p] = -1;
  for (size_t s = 0; s < of->chart->segments_n; s++) {
    verify_period its = period_of(of, s);
    for (size_t p = its.from; p < its.to; p++)
      of->segment[p] = (int32_t)s;
  }
  for (size_t p = 0; p < of->n; p++) {
    int32_t number = of->segment[p] < 0 ? 0 : of->chart->segments[of->segment[p]].number;
    if (of->chart->checks[of->row[p]].segment != number)
      return row_differs(of, p, "segment", error);
  }
  return BT_OK;
}

/* ---- Against limits.json --------------------------------------------------------------------- */

static bt_status compare_slope(const verify_chart *of, const verify_period *its,
                               const verify_fit *found, bt_error *error) {
  const bt_baseline *baseline = &its->told->of.baseline;
  bool moved = found->slope.use == BT_AGE_USED;
  if (baseline->adjusted != moved)
    return differs(of, its->told, "adjusted (0 false, 1 true)", baseline->adjusted, moved, error);
  if (!moved)
    return BT_OK;
  if (!verify_same(baseline->slope_per_day, found->slope.per_day))
    return differs(of, its->told, "slope_per_day", baseline->slope_per_day, found->slope.per_day,
                   error);
  if (!verify_same(baseline->mean_age_days, found->slope.mean_age_days))
    return differs(of, its->told, "mean_age_days", baseline->mean_age_days,
                   found->slope.mean_age_days, error);
  return verify_same(baseline->oldest_age_days, found->slope.oldest_age_days)
             ? BT_OK
             : differs(of, its->told, "oldest_age_days", baseline->oldest_age_days,
                       found->slope.oldest_age_days, error);
}

/* R2. */
static bt_status compare_fit(const verify_chart *of, const verify_period *its,
                             const verify_fit *found, bt_error *error) {
  const bt_segment *told = &its->told->of;
  bool differs_today = told->refit.differs;
  size_t n = differs_today ? told->refit.n : told->chart.n;
  double centre = differs_today ? told->refit.centre : told->chart.centre;
  double sigma = differs_today ? told->refit.sigma : told->chart.sigma;
  if (n != found->chart.n)
    return differs(of, its->told, "n", (double)n, (double)found->chart.n, error);
  if (found->too_few)
    return BT_OK;
  if (verify_is_radial(of)) {
    double limit = differs_today ? told->refit.ucl : told->radial.limit;
    return verify_same(limit, found->radial.limit)
               ? BT_OK
               : differs(of, its->told, "radial_limit", limit, found->radial.limit, error);
  }
  if (!verify_same(centre, found->chart.centre))
    return differs(of, its->told, "centre", centre, found->chart.centre, error);
  if (!verify_same(sigma, found->chart.sigma))
    return differs(of, its->told, "sigma", sigma, found->chart.sigma, error);
  return differs_today ? BT_OK : compare_slope(of, its, found, error);
}

/* R3. */
static bt_status compare_chart(const verify_chart *of, const verify_period *its, bt_error *error) {
  const bt_individuals *told = &its->told->of.chart;
  bt_individuals follows = bt_individuals_stated(told->centre, told->sigma);
  if (!verify_same(told->lcl, follows.lcl))
    return differs(of, its->told, "lcl", told->lcl, follows.lcl, error);
  if (!verify_same(told->ucl, follows.ucl))
    return differs(of, its->told, "ucl", told->ucl, follows.ucl, error);
  if (!verify_same(told->mr_centre, follows.mr_centre))
    return differs(of, its->told, "mr_centre", told->mr_centre, follows.mr_centre, error);
  return verify_same(told->mr_ucl, follows.mr_ucl)
             ? BT_OK
             : differs(of, its->told, "mr_ucl", told->mr_ucl, follows.mr_ucl, error);
}

static bt_status verify_vector(verify_chart *of, const verify_period *its, bt_error *error) {
  const bt_vector *told = &its->told->of.vector;
  size_t from = its->from, n = its->phase2 - from;
  bt_vector fitted = {0};
  for (size_t p = from; p < its->phase2; p++) /* which were screened is taken from the rows */
    of->used[p] = of->chart->checks[of->row[p]].used && !of->failed[p];
  bt_status status = bt_vector_fit(of->x + from, of->y + from, of->used + from, n,
                                   told->from_differences, &fitted, error);
  if (status != BT_OK || its->told->of.refit.differs)
    return status;
  const struct {
    const char *name;
    double is, follows;
  } parts[] = {{"n", (double)told->n, (double)fitted.n},
               {"mean_x", told->mean_x, fitted.mean_x},
               {"mean_y", told->mean_y, fitted.mean_y},
               {"var_x", told->var_x, fitted.var_x},
               {"var_y", told->var_y, fitted.var_y},
               {"cov_xy", told->cov_xy, fitted.cov_xy},
               {"phase1_limit", told->phase1_limit, fitted.phase1_limit},
               {"phase2_limit", told->phase2_limit, fitted.phase2_limit}};
  for (size_t k = 0; k < sizeof parts / sizeof *parts; k++)
    if (!verify_same(parts[k].is, parts[k].follows))
      return differs(of, its->told, parts[k].name, parts[k].is, parts[k].follows, error);
  return BT_OK;
}

/* ---- Values, and what is judged -------------------------------------------------------------- */

/* A frozen baseline leaves out what lies beyond its own limits. */
static void used_by_frozen(verify_chart *of, const verify_period *its) {
  const bt_segment *told = &its->told->of;
  bool aged = told->baseline.adjusted;
  for (size_t p = its->from; p < its->phase2; p++) {
    bool beyond = verify_is_radial(of)
                      ? of->value[p] > told->radial.limit * (1 + 1e-9)
                      : fabs(of->value[p] - told->chart.centre) > told->chart.sigma * (3 + 1e-9);
    beyond = beyond && told->baseline.screen;
    of->used[p] = !of->failed[p] && (!aged || of->has_age[p]) && !beyond;
  }
}

static bt_status verify_values(verify_chart *of, const verify_period *its, bt_error *error) {
  const bt_segment *told = &its->told->of;
  const bt_baseline *baseline = &told->baseline;
  for (size_t p = its->from; p < its->to; p++) {
    if (verify_is_vector(of)) {
      of->value[p] = told->vector.n > 0 ? bt_vector_t2(&told->vector, of->x[p], of->y[p])
                                        : of->chart->checks[of->row[p]].point_value;
    } else {
      of->value[p] = of->reading[p];
      if (baseline->adjusted && of->has_age[p])
        of->value[p] -= baseline->slope_per_day * (of->age[p] - baseline->mean_age_days);
    }
    if (!verify_same(of->chart->checks[of->row[p]].point_value, of->value[p]))
      return row_differs(of, p, "point_value", error);
  }
  return BT_OK;
}

static bt_status verify_judged(verify_chart *of, const verify_period *its, bt_error *error) {
  const bt_segment *told = &its->told->of;
  const bt_baseline *baseline = &told->baseline;
  bool drawn = told->state == BT_CHART_DRAWN;
  for (size_t p = its->from; p < its->to; p++) {
    const bt_told_check *row = &of->chart->checks[of->row[p]];
    bool aged =
        !baseline->adjusted || (of->has_age[p] && of->age[p] <= baseline->oldest_age_days + 1.0);
    bool in_period = drawn && p < its->phase2;
    if (row->in_baseline != in_period)
      return row_differs(of, p, "baseline", error);
    if (in_period && row->used != (of->used[p] != 0))
      return row_differs(of, p, "baseline", error);
    bool limited = of->used[p] || of->failed[p] || !baseline->adjusted || of->has_age[p];
    if (drawn)
      of->judged[p] = (uint8_t)(p >= its->phase2 ? aged : limited ? 2 : 0);
    if (row->judged != of->judged[p])
      return row_differs(of, p, "judged", error);
  }
  return BT_OK;
}

static bt_status verify_segment(verify_chart *of, size_t s, bt_error *error) {
  verify_period its = period_of(of, s);
  const bt_segment *told = &its.told->of;
  bt_status status = BT_OK;
  verify_fit found = {0};
  bool drawn = told->state == BT_CHART_DRAWN;
  if (drawn && verify_is_vector(of))
    status = verify_vector(of, &its, error);
  else if (drawn) {
    status = verify_fit_period(of, &its, of->used, &found, error);
    if (status == BT_OK)
      status = compare_fit(of, &its, &found, error);
    if (status == BT_OK && !verify_is_radial(of))
      status = compare_chart(of, &its, error);
  }
  if (status == BT_OK)
    status = verify_values(of, &its, error);
  if (status == BT_OK && drawn && told->baseline.version > 0 && !verify_is_vector(of))
    used_by_frozen(of, &its);
  return status == BT_OK ? verify_judged(of, &its, error) : status;
}

bt_status verify_limits(verify_chart *of, bt_error *error) {
  bt_status status = place(of, error);
  for (size_t p = 0; p < of->n && status == BT_OK; p++)
    of->value[p] = of->chart->checks[of->row[p]].point_value; /* before the first baseline */
  for (size_t s = 0; s < of->chart->segments_n && status == BT_OK; s++)
    status = verify_segment(of, s, error);
  return status;
}
