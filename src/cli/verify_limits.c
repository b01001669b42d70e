/* Baselines fitted anew from the rows of checks.csv, against limits.json; then the values and what
 * is judged, which follow from the limits.
 *
 * R1 What a baseline's fit gives: verify_fit.c. Which points entered follows where the fit gives
 *    the frozen numbers and no later baseline cuts the period short; else the rows' word is taken
 *    for what was left out when it was frozen.
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

static size_t first_at(const verify_chart *of, bt_time moment) {
  size_t p = 0;
  while (p < of->n && of->at[p] < moment)
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
  found.end = first_at(of, baseline->to + BT_DAY);
  found.phase2 = found.end > found.to ? found.to : found.end;
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
  const bt_refit *today = &its->told->of.refit;
  bool moved = found->slope.use == BT_AGE_USED;
  bool adjusted = today->differs ? today->adjusted : baseline->adjusted;
  double per_day = today->differs ? today->slope_per_day : baseline->slope_per_day;
  double mean_age = today->differs ? today->mean_age_days : baseline->mean_age_days;
  if (adjusted != moved)
    return differs(of, its->told, "adjusted (0 false, 1 true)", adjusted, moved, error);
  if (!moved)
    return BT_OK;
  if (!verify_same(per_day, found->slope.per_day))
    return differs(of, its->told, "slope_per_day", per_day, found->slope.per_day, error);
  if (!verify_same(mean_age, found->slope.mean_age_days))
    return differs(of, its->told, "mean_age_days", mean_age, found->slope.mean_age_days, error);
  return today->differs || verify_same(baseline->oldest_age_days, found->slope.oldest_age_days)
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
  return compare_slope(of, its, found, error);
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

/* R2. */
static bt_status compare_vector_today(const verify_chart *of, const verify_period *its,
                                      bt_vector *fitted, bt_error *error) {
  const bt_refit *today = &its->told->of.refit;
  double limit = its->phase2 < its->to ? fitted->phase2_limit : fitted->phase1_limit;
  if (today->n != fitted->n)
    return differs(of, its->told, "n of read_today", (double)today->n, (double)fitted->n, error);
  return verify_same(today->ucl, limit)
             ? BT_OK
             : differs(of, its->told, "ucl of read_today", today->ucl, limit, error);
}

static bt_status verify_vector(verify_chart *of, const verify_period *its, bt_error *error) {
  const bt_vector *told = &its->told->of.vector;
  const bt_refit *today = &its->told->of.refit;
  bool from_differences = today->differs ? today->from_differences : told->from_differences;
  bt_vector fitted = {0}, stated = *told;
  bt_status status = verify_fit_vector(of, its, from_differences, of->used, &fitted, error);
  if (status == BT_INPUT && today->differs) { /* the record has too few points for it today */
    fitted = (bt_vector){.n = today->n};
    status = BT_OK;
  } else if (status == BT_OK && today->differs)
    status = compare_vector_today(of, its, &fitted, error);
  if (status != BT_OK)
    return status;
  if (today->differs) { /* R3: of numbers that stand as they were frozen, the limits follow */
    bt_vector_limits(&stated);
    fitted = stated;
  }
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

/* R1. */
static void used_by_frozen(verify_chart *of, const verify_period *its) {
  const bt_segment *told = &its->told->of;
  for (size_t p = its->phase2; p < its->end; p++)
    of->used[p] = 0;
  if (told->baseline.version == 0 || (!told->refit.differs && its->phase2 == its->end))
    return;
  for (size_t p = its->from; p < its->phase2; p++)
    of->used[p] = of->chart->checks[of->row[p]].used;
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

/* Why no rule judges a point: a word's number, as bt_told_check has it. */
static int why_not(const verify_chart *of, const bt_segment *told, size_t p) {
  const bt_baseline *baseline = &told->baseline;
  if (of->judged[p] != 0)
    return BT_TOLD_JUDGED;
  if (told->state != BT_CHART_DRAWN)
    return BT_TOLD_NO_BASELINE;
  if (of->other[p])
    return BT_TOLD_OTHER_TARGET;
  bool too_old =
      baseline->adjusted && of->has_age[p] && of->age[p] > baseline->oldest_age_days + 1.0;
  return too_old ? BT_TOLD_TOO_OLD : BT_TOLD_UNKNOWN_AGE;
}

static bt_status verify_judged(verify_chart *of, const verify_period *its, bt_error *error) {
  const bt_segment *told = &its->told->of;
  const bt_baseline *baseline = &told->baseline;
  bool drawn = told->state == BT_CHART_DRAWN;
  for (size_t p = its->from; p < its->to; p++) {
    const bt_told_check *row = &of->chart->checks[of->row[p]];
    bool aged =
        !baseline->adjusted || (of->has_age[p] && of->age[p] <= baseline->oldest_age_days + 1.0);
    bool by_rules = aged && !of->other[p], in_period = drawn && p < its->phase2;
    if (row->in_baseline != in_period)
      return row_differs(of, p, "baseline", error);
    if (in_period && row->used != (of->used[p] != 0))
      return row_differs(of, p, "baseline", error);
    bool limited = of->used[p] || by_rules;
    if (drawn)
      of->judged[p] = (uint8_t)(p >= its->phase2 ? by_rules : limited ? 2 : 0);
    if (row->judged != of->judged[p])
      return row_differs(of, p, "judged", error);
    if (row->has_why && row->why_not != why_not(of, told, p))
      return row_differs(of, p, "not_judged", error);
  }
  return BT_OK;
}

static bt_status verify_target(verify_chart *of, const verify_period *its, bt_error *error) {
  double median, told = its->told->of.target_mj;
  bt_status status = verify_median_target(of, its, &median, error);
  if (status == BT_OK && !verify_same(told, median))
    return differs(of, its->told, "target_mj", told, median, error);
  verify_mark_targets(of, its);
  return status;
}

static bt_status verify_segment(verify_chart *of, size_t s, bt_error *error) {
  verify_period its = period_of(of, s);
  const bt_segment *told = &its.told->of;
  bt_status status = verify_target(of, &its, error);
  verify_fit found = {0};
  bool drawn = told->state == BT_CHART_DRAWN;
  if (status == BT_OK && drawn && verify_is_vector(of))
    status = verify_vector(of, &its, error);
  else if (status == BT_OK && drawn) {
    status = verify_fit_period(of, &its, of->used, &found, error);
    if (status == BT_OK)
      status = compare_fit(of, &its, &found, error);
    if (status == BT_OK && !verify_is_radial(of))
      status = compare_chart(of, &its, error);
  }
  if (status == BT_OK)
    status = verify_values(of, &its, error);
  if (status == BT_OK && drawn)
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
