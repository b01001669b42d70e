/* Points, baselines and limits, read plainly. Signals: plain_signals.c. */
#include "plain_chart.h"

#include <math.h>

enum { DAY = 1440, SUGGESTED = 60, LEAST = 8 };

#define ON_LINE 1e-9

static bool outside_tolerance(const plain_chart *of, double raw) {
  return (of->has_low && raw < of->low) || (of->has_high && raw > of->high);
}

/* A repeat within the hour of a check that was outside is a retest; it and an as-left reading are
 * in no point. */
static void make_points(plain_chart *of) {
  of->points_n = 0;
  for (size_t i = 0; i < of->n; i++) {
    of->retest[i] = false;
    for (size_t j = 0; j < i; j++)
      of->retest[i] = of->retest[i] || (of->outside[j] && of->at[i] - of->at[j] <= 60);
    of->point[i] = -1;
    if (of->retest[i] || of->as_left[i])
      continue;
    size_t p = of->points_n;
    if (p == 0 || of->every || of->at[of->first[p - 1]] / DAY != of->at[i] / DAY)
      of->first[of->points_n++] = i;
    else
      p--;
    of->point[i] = (int)p;
  }
  for (size_t p = 0; p < of->points_n; p++) {
    double sum = 0, squares = 0;
    of->checks[p] = 0;
    for (size_t i = 0; i < of->n; i++)
      if (of->point[i] == (int)p) {
        sum += of->raw[i];
        of->checks[p]++;
      }
    of->value[p] = sum / of->checks[p];
    for (size_t i = 0; i < of->n; i++)
      if (of->point[i] == (int)p)
        squares += (of->raw[i] - of->value[p]) * (of->raw[i] - of->value[p]);
    double targets = 0, of_them = 0;
    for (size_t i = 0; i < of->n; i++)
      if (of->point[i] == (int)p && of->target[i] > 0) {
        targets += of->target[i];
        of_them++;
      }
    of->held[p] = of_them > 0 ? targets / of_them : 0;
    of->within[p] = of->checks[p] > 1 ? sqrt(squares / (of->checks[p] - 1)) : 0;
  }
}

static size_t first_from(const plain_chart *of, long day) {
  size_t p = 0;
  while (p < of->points_n && of->at[of->first[p]] / DAY < day)
    p++;
  return p;
}

/* By over 1 %. */
static bool is_another(double target, double baseline) {
  return target > 0 && baseline > 0 && fabs(target - baseline) > (0.01 + ON_LINE) * baseline;
}

/* The target of a period of whole days: that of its points which has as many below it as above it,
 * or one fewer. */
static double target_of(const plain_chart *of, const plain_period *period) {
  size_t end = first_from(of, period->to + 1);
  for (size_t p = first_from(of, period->from); p < end; p++) {
    size_t below = 0, same = 0, above = 0;
    for (size_t q = first_from(of, period->from); q < end && of->held[p] > 0; q++) {
      below += of->held[q] > 0 && of->held[q] < of->held[p];
      same += of->held[q] == of->held[p];
      above += of->held[q] > of->held[p];
    }
    if (same > 0 && below < above + same && below + same >= above)
      return of->held[p];
  }
  return 0;
}

/* After the baseline's days a target is also known where one of the last 8 points before p that
 * were of the baseline's target held it. */
static bool is_unknown(const plain_chart *of, size_t p, double target) {
  const plain_segment *segment = &of->segment[of->segment_of[p]];
  if (!is_another(target, segment->target))
    return false;
  int seen = 0;
  for (size_t q = p; q > segment->from && p >= segment->phase2 && seen < 8; q--) {
    if (of->other[q - 1] || of->held[q - 1] <= 0)
      continue;
    if (!is_another(target, of->held[q - 1]))
      return false;
    seen++;
  }
  return true;
}

static void leave_out(plain_chart *of, size_t p, int pass) {
  of->used[p] = false;
  of->excluded[p] = true;
  of->pass[p] = pass;
}

static void leave_out_failed(plain_chart *of, const plain_segment *segment) {
  for (size_t p = segment->from; p < segment->phase2; p++)
    of->used[p] = true;
  for (size_t i = 0; i < of->n; i++)
    if (of->failed[i] && of->point[i] >= (int)segment->from && of->point[i] < (int)segment->phase2)
      leave_out(of, (size_t)of->point[i], 0);
}

/* Neither used nor an exclusion. */
static void pass_over_other_targets(plain_chart *of, const plain_segment *segment) {
  for (size_t p = segment->from; p < segment->phase2; p++)
    if (is_another(of->held[p], segment->target))
      of->used[p] = false;
}

/* Centre: mean; sigma: mean moving range / 1.128. */
static void fit_once(const plain_chart *of, plain_segment *segment) {
  double sum = 0, ranges = 0, before = 0;
  segment->n = 0;
  for (size_t p = segment->from; p < segment->phase2; p++) {
    if (!of->used[p])
      continue;
    ranges += segment->n > 0 ? fabs(of->value[p] - before) : 0;
    before = of->value[p];
    sum += before;
    segment->n++;
  }
  segment->centre = sum / (double)segment->n;
  segment->sigma = ranges / (double)(segment->n - 1) * sqrt(acos(-1)) / 2;
}

static bool is_beyond(const plain_chart *of, const plain_segment *segment, size_t p) {
  return of->used[p] && fabs(of->value[p] - segment->centre) > (3 + ON_LINE) * segment->sigma;
}

/* Readings too coarse: sigma 0, or the smallest step between two of them above 2 sigma. */
static bool too_coarse(const plain_chart *of, const plain_segment *segment) {
  double step = INFINITY;
  for (size_t i = 0; i < of->n; i++)
    for (size_t j = 0; j < i; j++) {
      int p = of->point[i], q = of->point[j];
      double gap = fabs(of->raw[i] - of->raw[j]);
      if (p >= (int)segment->from && p < (int)segment->phase2 && of->used[p] &&
          q >= (int)segment->from && q < (int)segment->phase2 && of->used[q] && gap > 1e-9)
        step = fmin(step, gap);
    }
  return segment->sigma <= 1e-12 || (isfinite(step) && step > 2 * segment->sigma);
}

static void fit(plain_chart *of, plain_segment *segment, bool screen) {
  leave_out_failed(of, segment);
  pass_over_other_targets(of, segment);
  size_t screened = 0, all = segment->phase2 - segment->from;
  segment->drawn = false;
  for (int pass = 1;; pass++) {
    size_t beyond = 0;
    segment->n = 0;
    for (size_t p = segment->from; p < segment->phase2; p++)
      segment->n += of->used[p];
    if (segment->n < LEAST)
      return;
    fit_once(of, segment);
    for (size_t p = segment->from; p < segment->phase2; p++)
      beyond += is_beyond(of, segment, p);
    if (!screen || beyond == 0 || segment->sigma <= 1e-12 || 10 * (screened + beyond) > all)
      break;
    screened += beyond;
    for (size_t p = segment->from; p < segment->phase2; p++)
      if (is_beyond(of, segment, p))
        leave_out(of, p, pass);
  }
  segment->drawn = !too_coarse(of, segment);
}

/* A frozen period's limits are what they were, and so is what they leave out. */
static void take(plain_chart *of, plain_segment *segment, const plain_period *period) {
  for (size_t p = segment->from; p < segment->phase2; p++)
    of->used[p] = true;
  segment->drawn = true;
  segment->n = period->n;
  segment->centre = period->centre;
  segment->sigma = period->sigma;
  for (size_t p = segment->from; p < segment->phase2; p++)
    for (size_t e = 0; e < period->left_n; e++)
      if (of->first[p] == period->left[e])
        leave_out(of, p, period->left_pass[e]);
  pass_over_other_targets(of, segment);
}

static plain_segment of_period(const plain_chart *of, const plain_period *period) {
  plain_segment segment = {.from = first_from(of, period->from),
                           .to = of->points_n,
                           .phase2 = first_from(of, period->to + 1),
                           .first_day = period->from,
                           .target = target_of(of, period)};
  return segment;
}

static void make_segments(plain_chart *of, bool anew) {
  of->segments_n = 0;
  for (size_t p = 0; p < of->points_n; p++)
    of->used[p] = of->excluded[p] = false;
  if (of->points_n == 0)
    return;
  plain_segment *one = of->segment;
  long first = of->at[of->first[0]] / DAY;
  size_t last = of->points_n < SUGGESTED ? of->points_n - 1 : SUGGESTED - 1;
  switch (of->mode) {
  case PLAIN_STATED:
    *one = (plain_segment){.to = of->points_n,
                           .first_day = first,
                           .drawn = true,
                           .centre = of->centre,
                           .sigma = of->sigma};
    of->segments_n = 1;
    break;
  case PLAIN_FIRST:
    *one = of_period(of, &(plain_period){.from = first, .to = of->at[of->first[last]] / DAY});
    fit(of, one, true);
    of->segments_n = 1;
    break;
  case PLAIN_ASKED:
    *one = of_period(of, &of->period[0]);
    fit(of, one, of->period[0].screen);
    of->segments_n = 1;
    break;
  case PLAIN_FROZEN:
    for (size_t s = 0; s < of->periods_n; s++) {
      of->segment[s] = of_period(of, &of->period[s]);
      if (s > 0)
        of->segment[s - 1].to = of->segment[s].from;
    }
    of->segments_n = of->periods_n;
    for (size_t s = 0; s + 1 < of->segments_n; s++) /* the day of the next one's start is its own */
      if (of->segment[s].phase2 > of->segment[s].to)
        of->segment[s].phase2 = of->segment[s].to;
    for (size_t s = 0; s < of->segments_n; s++)
      if (anew)
        fit(of, &of->segment[s], of->period[s].screen);
      else
        take(of, &of->segment[s], &of->period[s]);
    break;
  }
  for (size_t p = 0; p < of->points_n; p++) {
    of->segment_of[p] = -1;
    for (size_t s = 0; s < of->segments_n; s++)
      if (p >= of->segment[s].from && p < of->segment[s].to)
        of->segment_of[p] = (int)s;
    of->other[p] = of->segment_of[p] >= 0 && is_unknown(of, p, of->held[p]);
  }
}

double plain_c4(int n) {
  return sqrt(2.0 / (n - 1)) * exp(lgamma(n / 2.0) - lgamma((n - 1) / 2.0));
}

/* The spread within the baseline's days: mean of s / c4. */
static void fit_within(const plain_chart *of, plain_segment *segment) {
  double s = 0;
  segment->days = 0;
  for (size_t p = segment->from; p < segment->phase2; p++)
    if (of->used[p] && of->checks[p] > 1) {
      s += of->within[p] / plain_c4(of->checks[p]);
      segment->days++;
    }
  segment->within_sigma = segment->days > 0 ? s / (double)segment->days : 0;
}

/* Sigma of a single check: that of the points; where most points of the baseline are means of
 * several checks, with the part of the within-day variance that such a mean doesn't have. */
static double single_sigma(const plain_chart *of, plain_segment *segment) {
  double points = 0, checks = 0;
  for (size_t p = segment->from; p < segment->phase2; p++) {
    points += of->used[p];
    checks += of->used[p] ? of->checks[p] : 0;
  }
  fit_within(of, segment);
  if (2 * (double)segment->days <= points)
    return segment->sigma;
  double within = segment->within_sigma;
  return sqrt(segment->sigma * segment->sigma + within * within * (1 - points / checks));
}

/* Beyond 3 sigma of the limits of its point, or of the point before where it is in none. */
static void mark_beyond(plain_chart *of, bool in_periods, bool after) {
  double sigma[PLAIN_PERIODS];
  int s = -1;
  size_t p = 0;
  for (size_t k = 0; k < of->segments_n; k++)
    sigma[k] = single_sigma(of, &of->segment[k]);
  for (size_t i = 0; i < of->n; i++) {
    if (of->point[i] >= 0) {
      p = (size_t)of->point[i];
      s = of->segment_of[p];
    }
    bool in_period = of->mode == PLAIN_FROZEN && s >= 0 && of->at[i] / DAY <= of->period[s].to;
    if (in_period ? !in_periods : !after)
      continue;
    if (s >= 0 && of->segment[s].drawn && !is_unknown(of, p, of->target[i]) &&
        fabs(of->raw[i] - of->segment[s].centre) > (3 + ON_LINE) * sigma[s])
      of->outside[i] = true;
  }
}

/* Retests depend on limits, limits on retests: twice. In a frozen period they depend on what its
 * limits would be before there were any. */
static void twice(plain_chart *of) {
  for (size_t i = 0; i < of->n; i++)
    of->failed[i] = of->outside[i] = outside_tolerance(of, of->raw[i]);
  make_points(of);
  make_segments(of, false);
  mark_beyond(of, false, true);
  make_segments(of, true);
  mark_beyond(of, true, false);
  make_points(of);
  make_segments(of, false);
}

bool plain_freeze(plain_chart *of, plain_period *period) {
  plain_mode mode = of->mode;
  plain_period first = of->period[0];
  of->mode = PLAIN_ASKED;
  of->period[0] = *period;
  twice(of);
  of->mode = mode;
  of->period[0] = first;
  period->fitted = of->segments_n > 0 && of->segment[0].drawn;
  period->n = of->segment[0].n;
  period->centre = of->segment[0].centre;
  period->sigma = of->segment[0].sigma;
  period->left_n = 0;
  for (size_t p = of->segment[0].from; p < of->segment[0].phase2; p++)
    if (of->excluded[p]) {
      period->left[period->left_n] = of->first[p];
      period->left_pass[period->left_n++] = of->pass[p];
    }
  return period->fitted;
}

/* lag-1 of the baseline about its mean. */
static void describe(const plain_chart *of, plain_segment *segment) {
  double mean = 0, squares = 0, products = 0, before = 0;
  size_t n = 0;
  for (size_t p = segment->from; p < segment->phase2; p++) {
    mean += of->used[p] ? of->value[p] : 0;
    n += of->used[p];
  }
  mean /= n > 0 ? (double)n : 1;
  n = 0;
  for (size_t p = segment->from; p < segment->phase2; p++)
    if (of->used[p]) {
      double e = of->value[p] - mean;
      products += n++ > 0 ? e * before : 0;
      squares += e * e;
      before = e;
    }
  segment->lag1 = products / squares;
  fit_within(of, segment);
}

void plain_limits(plain_chart *of) {
  twice(of);
  for (size_t s = 0; s < of->segments_n; s++)
    describe(of, &of->segment[s]);
  for (size_t p = 0; p < of->points_n; p++) {
    const plain_segment *segment = of->segment_of[p] < 0 ? NULL : &of->segment[of->segment_of[p]];
    of->judged[p] = 0;
    of->z[p] = 0;
    if (segment == NULL || !segment->drawn || of->other[p])
      continue;
    of->judged[p] = p >= segment->phase2 ? 1 : 2;
    of->z[p] = (of->value[p] - segment->centre) / segment->sigma;
  }
}
