/* "In numbers": the rows beside the chart, which `analyse` prints as well. */
#include "report_room.h"

#include <math.h>
#include <stdlib.h>

static void add_fact(report_facts *facts, bt_text *label, bt_text *value) {
  char *taken_label = bt_text_take(label);
  char *taken_value = bt_text_take(value);
  if (taken_label == NULL || taken_value == NULL ||
      !bt_grow(&facts->fact, &facts->room, facts->n + 1, sizeof *facts->fact)) {
    free(taken_label);
    free(taken_value);
    facts->failed = true;
    return;
  }
  facts->fact[facts->n++] = (report_fact){taken_label, taken_value};
}

void report_facts_free(report_facts *facts) {
  if (facts == NULL)
    return;
  for (size_t i = 0; i < facts->n; i++) {
    free(facts->fact[i].label);
    free(facts->fact[i].value);
  }
  free(facts->fact);
  *facts = (report_facts){0};
}

/* A dash would be read as one more minus beside a negative number. */
static void add_range(bt_text *out, bool negative, const char *low, const char *high) {
  bt_text_format(out, "%s %s %s", low, negative ? "to" : REPORT_DASH, high);
}

void report_tolerance_range(const bt_tolerance *tolerance, bt_text *out) {
  char low[REPORT_NUMBER_TEXT], high[REPORT_NUMBER_TEXT];
  (void)report_plain(tolerance->low, low);
  (void)report_plain(tolerance->high, high);
  if (tolerance->has_low && tolerance->has_high)
    add_range(out, tolerance->low < 0, low, high);
  else if (tolerance->has_low)
    bt_text_format(out, "at least %s", low);
  else if (tolerance->has_high)
    bt_text_format(out, "at most %s", high);
  report_add_unit(out, tolerance->characteristic);
}

static void tolerance_fact(const bt_study *of, report_facts *facts) {
  const bt_tolerance *tolerance = of->tolerance.now;
  bt_text label = {0}, value = {0};
  bt_text_add(&label, "Tolerance");
  if (tolerance != NULL && tolerance->source != NULL && *tolerance->source != '\0')
    bt_text_format(&label, " (%s)", tolerance->source);
  if (tolerance == NULL)
    bt_text_add(&value, "none entered");
  else
    report_tolerance_range(tolerance, &value);
  if (of->checks.n > 0) {
    bt_text_add(&value, "; last ");
    char number[REPORT_NUMBER_TEXT];
    double last = of->checks.raw[of->checks.n - 1];
    bt_text_add(&value, report_number(last, report_reading_decimals(of, last), number));
  }
  add_fact(facts, &label, &value);
}

static void last_fact(const bt_study *of, report_facts *facts) {
  bt_text label = {0}, value = {0};
  bt_text_add(&label, "Last check");
  report_last_value(of, true, &value);
  add_fact(facts, &label, &value);
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
  add_fact(facts, &label, &value);
}

static void limits_facts(const bt_study *of, const bt_segment *segment, report_facts *facts) {
  bt_text label = {0}, value = {0};
  char a[REPORT_NUMBER_TEXT], b[REPORT_NUMBER_TEXT];
  const bt_individuals *chart = &segment->chart;
  int decimals = report_decimals(of->characteristic, chart->sigma);
  if (of->characteristic == BT_TRACKER_RADIAL) {
    bt_text_add(&label, "Limit of the radius (99.73 %)");
    report_add_value(&value, of->characteristic, report_upper_limit(of, segment), decimals);
    add_fact(facts, &label, &value);
    return;
  }
  bt_text_add(&label, "Centre ± σ");
  bt_text_format(&value, "%s ± %s", report_number(chart->centre, decimals, a),
                 report_number(chart->sigma, decimals, b));
  report_add_unit(&value, of->characteristic);
  add_fact(facts, &label, &value);
  bt_text_add(&label, "Control limits, ± 3σ");
  add_range(&value, chart->lcl < 0, report_number(chart->lcl, decimals, a),
            report_number(chart->ucl, decimals, b));
  report_add_unit(&value, of->characteristic);
  add_fact(facts, &label, &value);
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
    report_add_unit(out, of->characteristic);
    bt_text_format(out, " a day ±" REPORT_JOIN "%s", report_number(width, decimals, half));
  }
}

static void age_facts(const bt_study *of, const bt_segment *segment, report_facts *facts) {
  static const char *const why[] = {[BT_AGE_USED] = "used",
                                    [BT_AGE_NOT_ASKED] = "not asked for",
                                    [BT_AGE_NO_FILLS] = "no: under 3 gas fills",
                                    [BT_AGE_FEW_DF] = "no: too few checks",
                                    [BT_AGE_NOT_SIGNIFICANT] = "no: not told from zero"};
  bt_text label = {0}, value = {0};
  bt_age_use use = segment->slope.use;
  if (use == BT_AGE_NOT_ASKED || (use != BT_AGE_USED && segment->chart.n == 0))
    return;
  if (use == BT_AGE_USED || use == BT_AGE_NOT_SIGNIFICANT) {
    bt_text_add(&label, "Change inside a fill (95 %)");
    report_loss_words(of, segment, &value);
    add_fact(facts, &label, &value);
  }
  bt_text_add(&label, "Moved to the mean fill age");
  if (of->adjusted && use == BT_AGE_USED) {
    char mean[REPORT_NUMBER_TEXT];
    bt_text_format(&value, "%s days, %zu fills",
                   report_number(segment->slope.mean_age_days, 1, mean), segment->slope.fills);
  } else
    bt_text_add(&value, use == BT_AGE_USED ? "not asked for" : why[use]);
  add_fact(facts, &label, &value);
}

static void chart_facts(const bt_study *of, const bt_segment *segment, report_facts *facts) {
  bt_text label = {0}, value = {0};
  char a[REPORT_NUMBER_TEXT], b[REPORT_NUMBER_TEXT];
  if (segment->resolution.coarse || segment->resolution.useless) {
    bt_text_add(&label, "Resolution");
    if (segment->resolution.step > 0)
      bt_text_format(&value, "steps of %s: log more digits",
                     report_plain(segment->resolution.step, a));
    else
      bt_text_add(&value, "no two readings differ");
    add_fact(facts, &label, &value);
  }
  if (!report_has_limits(segment) || of->characteristic == BT_TRACKER_RADIAL)
    return;
  bt_text_add(&label, "CUSUM");
  bt_text_format(&value, "k %s, h %s", report_plain(of->cusum.k, a), report_plain(of->cusum.h, b));
  add_fact(facts, &label, &value);
  if (segment->autocorrelation.n > 0 && segment->chart.n > 0) {
    bt_text_add(&label, "Lag-1 autocorrelation");
    bt_text_format(&value, "%s (bound %s)", report_number(segment->autocorrelation.lag1, 2, a),
                   report_number(segment->autocorrelation.bound, 2, b));
    add_fact(facts, &label, &value);
  }
}

void report_facts_collect(const bt_study *of, report_facts *facts) {
  const bt_segment *segment = bt_study_now(of);
  if (report_is_judged(of))
    tolerance_fact(of, facts);
  else
    last_fact(of, facts);
  if (segment == NULL)
    return;
  if (report_has_limits(segment)) {
    baseline_fact(segment, facts);
    limits_facts(of, segment, facts);
    age_facts(of, segment, facts);
  }
  chart_facts(of, segment, facts);
}
