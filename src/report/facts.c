/* "In numbers": the rows beside the chart, which `analyse` prints as well. */
#include "report_facts.h"
#include "report_sentences.h"

#include <math.h>

static void tolerance_fact(const bt_study *of, report_facts *facts) {
  const bt_tolerance *tolerance = of->tolerance.now;
  bt_text label = {0}, value = {0};
  bt_text_add(&label, "Tolerance");
  if (tolerance != NULL && tolerance->source != NULL && *tolerance->source != '\0')
    bt_text_format(&label, " (%s)", tolerance->source);
  if (tolerance == NULL)
    report_no_tolerance(of, true, &value);
  else
    report_tolerance_range(tolerance, &of->quantity, &value);
  if (of->checks.n > 0) {
    bt_text_add(&value, "; last ");
    char number[REPORT_NUMBER_TEXT];
    double last = of->checks.raw[of->checks.n - 1];
    char date[REPORT_DATE_TEXT];
    bt_text_format(&value, "%s on %s",
                   report_number(last, report_reading_decimals(of, last), number),
                   report_short_date(of->checks.at[of->checks.n - 1], date));
  }
  report_fact_add(facts, &label, &value);
}

static void last_fact(const bt_study *of, report_facts *facts) {
  bt_text label = {0}, value = {0};
  bt_text_add(&label, of->characteristic == BT_TRACKER_VECTOR ? "Last point" : "Last check");
  report_last_value(of, true, &value);
  report_fact_add(facts, &label, &value);
}

static void baseline_fact(const bt_segment *segment, report_facts *facts) {
  bt_text label = {0}, value = {0};
  char period[REPORT_DATE_TEXT];
  size_t n = segment->chart.n, all = segment->phase2 - segment->from;
  (void)report_short_period(segment->baseline.from, segment->baseline.to, period);
  if (segment->stated && n == 0) {
    bt_text_add(&label, "Centre and σ");
    bt_text_add(&value, "stated, not estimated");
  } else if (segment->stated) {
    bt_text_add(&label, "Centre or σ stated, the other from");
    bt_text_format(&value, "%s, n" REPORT_JOIN "=" REPORT_JOIN "%zu", period, n);
  } else {
    bt_text_add(&label, segment->provisional ? "Baseline, provisional" : "Baseline");
    bt_text_format(&value, "%s, n" REPORT_JOIN "=" REPORT_JOIN "%zu", period, n);
    if (segment->provisional && all > n)
      bt_text_format(&value, " of %zu", all);
  }
  report_fact_add(facts, &label, &value);
}

/* Not on a page, where they stand beside the chart. */
static void control_fact(const bt_study *of, const bt_segment *segment, report_facts *facts) {
  bt_text label = {0}, value = {0};
  char a[REPORT_NUMBER_TEXT], b[REPORT_NUMBER_TEXT];
  const bt_individuals *chart = &segment->chart;
  int decimals = report_decimals(&of->quantity, chart->sigma);
  if (report_has_one_limit(of))
    return;
  bt_text_add(&label, "Control limits, ± 3σ");
  report_add_range(&value, chart->lcl < 0, report_number(chart->lcl, decimals, a),
                   report_number(chart->ucl, decimals, b));
  report_add_unit(&value, &of->quantity);
  report_fact_add(facts, &label, &value);
}

/* Where the alarm limits of an individuals chart stand, or that of T². */
static void alarm_fact(const bt_study *of, const bt_segment *segment, report_facts *facts) {
  bt_text label = {0}, value = {0};
  char a[REPORT_NUMBER_TEXT], b[REPORT_NUMBER_TEXT];
  double low, high;
  if (!report_alarm_limits(of, segment, &low, &high))
    return;
  int decimals = report_decimals(&of->quantity, segment->chart.sigma);
  if (report_has_one_limit(of)) {
    bt_text_add(&label, "Alarm limit");
    bt_text_add(&value, report_number(high, decimals, a));
  } else {
    bt_text_format(&label, "Alarm limits, ± %sσ", report_number(segment->alarm.limit, 2, a));
    report_add_range(&value, low < 0, report_number(low, decimals, a),
                     report_number(high, decimals, b));
  }
  report_add_unit(&value, &of->quantity);
  report_fact_add(facts, &label, &value);
}

static void vector_facts(const bt_study *of, const bt_segment *segment, report_facts *facts) {
  const bt_vector *vector = &segment->vector;
  bt_text label = {0}, value = {0};
  char a[REPORT_NUMBER_TEXT], b[REPORT_NUMBER_TEXT];
  bool phase2 = segment->phase2 < segment->to;
  bt_text_format(&label, "Limit of T², passed by chance at 0.27 %% of the %s",
                 phase2 ? "later points" : "baseline’s points");
  bt_text_add(&value, report_number(phase2 ? vector->phase2_limit : vector->phase1_limit,
                                    of->quantity.decimals, a));
  report_fact_add(facts, &label, &value);
  bt_text_add(&label, "Mean offset x, y");
  bt_text_format(&value, "%s, %s µm", report_number(vector->mean_x, 2, a),
                 report_number(vector->mean_y, 2, b));
  report_fact_add(facts, &label, &value);
  bt_text_add(&label, "Standard deviation x, y");
  bt_text_format(&value, "%s, %s µm; %s", report_number(sqrt(vector->var_x), 2, a),
                 report_number(sqrt(vector->var_y), 2, b),
                 vector->from_differences ? "from point to point" : "of all points together");
  report_fact_add(facts, &label, &value);
}

static void limits_facts(const bt_study *of, const bt_segment *segment, report_facts *facts) {
  bt_text label = {0}, value = {0};
  char a[REPORT_NUMBER_TEXT], b[REPORT_NUMBER_TEXT];
  const bt_individuals *chart = &segment->chart;
  int decimals = report_decimals(&of->quantity, chart->sigma);
  if (of->characteristic == BT_TRACKER_VECTOR) {
    vector_facts(of, segment, facts);
    return;
  }
  if (of->characteristic == BT_TRACKER_RADIAL) {
    bt_text_add(&label, "Limit of the radius (99.73 %)");
    report_add_value(&value, &of->quantity, report_upper_limit(of, segment), decimals);
    report_fact_add(facts, &label, &value);
    return;
  }
  bt_text_add(&label, "Centre ± σ");
  bt_text_format(&value, "%s ± %s", report_number(chart->centre, decimals, a),
                 report_number(chart->sigma, decimals, b));
  report_add_unit(&value, &of->quantity);
  report_fact_add(facts, &label, &value);
}

static void within_fact(const bt_study *of, const bt_segment *segment, report_facts *facts) {
  bt_text label = {0}, value = {0};
  if (segment->within.days == 0)
    return;
  bt_text_add(&label, "Within-day σ, ");
  report_count(&label, segment->within.days, "day of the baseline", "days of the baseline");
  report_add_value(&value, &of->quantity, segment->within.sigma,
                   report_decimals(&of->quantity, segment->within.sigma));
  report_fact_add(facts, &label, &value);
}

/* As many decimals as show two digits of a half width: the interval supports no more. */
static int two_digits_of(double width) {
  if (!(width > 0) || !isfinite(width))
    return 2;
  int decimals = 1 - (int)floor(log10(width) + 1e-9);
  return decimals < 0 ? 0 : decimals > 12 ? 12 : decimals;
}

void report_loss_words(const bt_study *of, const bt_segment *segment, bt_text *out) {
  char by[REPORT_NUMBER_TEXT], half[REPORT_NUMBER_TEXT];
  const bt_slope *slope = &segment->slope;
  double width = (slope->high - slope->low) / 2;
  if (of->characteristic == BT_ENERGY_RATIO) {
    int decimals = two_digits_of(100 * width);
    bt_text_format(out, "%s" REPORT_JOIN "%% a day ±" REPORT_JOIN "%s",
                   report_signed(100 * slope->per_day, decimals, by),
                   report_number(100 * width, decimals, half));
  } else {
    int decimals = two_digits_of(width);
    bt_text_add(out, report_signed(slope->per_day, decimals, by));
    report_add_unit(out, &of->quantity);
    bt_text_format(out, " a day ±" REPORT_JOIN "%s", report_number(width, decimals, half));
  }
}

/* What the points are moved by; where they aren't, why not. */
static void age_fact(const bt_study *of, const bt_segment *segment, report_facts *facts) {
  static const char *const why[] = {[BT_AGE_USED] = "not asked for",
                                    [BT_AGE_NOT_ASKED] = "not asked for",
                                    [BT_AGE_NO_FILLS] = "no: under 3 gas fills",
                                    [BT_AGE_FEW_DF] = "no: too few checks",
                                    [BT_AGE_NOT_SIGNIFICANT] = "no: not told from zero"};
  bt_text label = {0}, value = {0};
  bt_age_use use = segment->slope.use;
  if (report_has_one_limit(of) || use == BT_AGE_NOT_ASKED ||
      (use != BT_AGE_USED && segment->chart.n == 0))
    return;
  if (use == BT_AGE_USED || use == BT_AGE_NOT_SIGNIFICANT) {
    bt_text_add(&label, "Change inside a fill (95 %), ");
    report_count(&label, segment->slope.fills, "fill", "fills");
    report_loss_words(of, segment, &value);
    report_fact_add(facts, &label, &value);
  }
  if (of->adjusted && use == BT_AGE_USED)
    return;
  bt_text_add(&label, "Moved to the mean fill age");
  bt_text_add(&value, why[use]);
  report_fact_add(facts, &label, &value);
}

static void resolution_fact(const bt_segment *segment, report_facts *facts) {
  bt_text label = {0}, value = {0};
  char step[REPORT_NUMBER_TEXT];
  if (!segment->resolution.coarse && !segment->resolution.useless)
    return;
  bt_text_add(&label, "Resolution");
  if (segment->resolution.step > 0)
    bt_text_format(&value, "steps of %s: log more digits",
                   report_plain(segment->resolution.step, step));
  else
    bt_text_add(&value, "no two readings of the baseline differ");
  report_fact_add(facts, &label, &value);
}

static void cusum_fact(const bt_study *of, const bt_segment *segment, report_facts *facts) {
  bt_text label = {0}, value = {0};
  char k[REPORT_NUMBER_TEXT], h[REPORT_NUMBER_TEXT], alarm[REPORT_NUMBER_TEXT];
  bt_text_add(&label, "CUSUM");
  bt_text_format(&value, "k %s, h %s", report_plain(of->cusum.k, k), report_plain(of->cusum.h, h));
  if (report_alarm_h(of, segment) > 0)
    bt_text_format(&value, "; alarm above %s",
                   report_number(report_alarm_h(of, segment), 2, alarm));
  report_fact_add(facts, &label, &value);
}

static void autocorrelation_fact(const bt_segment *segment, report_facts *facts) {
  bt_text label = {0}, value = {0};
  char lag1[REPORT_NUMBER_TEXT], bound[REPORT_NUMBER_TEXT];
  if (segment->autocorrelation.n == 0 || segment->chart.n == 0)
    return;
  bt_text_add(&label, "Lag-1 autocorrelation");
  bt_text_format(&value, "%s (bound %s)", report_number(segment->autocorrelation.lag1, 2, lag1),
                 report_number(segment->autocorrelation.bound, 2, bound));
  report_fact_add(facts, &label, &value);
}

/* A page has the CUSUM's numbers beside its pane, and what is amiss in its sentences. */
static void chart_facts(const bt_study *of, const bt_segment *segment, bool on_page,
                        report_facts *facts) {
  bool limits = report_has_limits(segment);
  if (!on_page || !limits)
    resolution_fact(segment, facts);
  if (!limits || report_has_one_limit(of))
    return;
  if (!on_page)
    cusum_fact(of, segment, facts);
  if (!on_page || !segment->autocorrelation.exceeded)
    autocorrelation_fact(segment, facts);
}

void report_facts_collect(const bt_study *of, bool on_page, report_facts *facts) {
  const bt_segment *segment = bt_study_now(of);
  if (report_may_have_tolerance(of))
    tolerance_fact(of, facts);
  else
    last_fact(of, facts);
  if (segment == NULL)
    return;
  if (report_has_limits(segment)) {
    baseline_fact(segment, facts);
    limits_facts(of, segment, facts);
    if (!on_page) {
      control_fact(of, segment, facts);
      alarm_fact(of, segment, facts);
    }
    age_fact(of, segment, facts);
    within_fact(of, segment, facts);
  }
  chart_facts(of, segment, on_page, facts);
  report_capability_facts(of, on_page, facts);
}
