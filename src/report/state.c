/* Short states of a study and a unit, for the summary table and the status screen. */
#include "report_episodes.h"
#include "report_sentences.h"

/* The last failed check and what became of it. */
static void last_failed(const bt_study *of, bt_text *out) {
  const bt_tolerance_finding *tolerance = &of->tolerance;
  report_retest retest;
  char date[REPORT_DATE_TEXT];
  if (tolerance->last_outside >= of->checks.n)
    return;
  bool repeated = report_retest_of(of, tolerance->last_outside, &retest) && retest.failed;
  bt_text_format(out, "%s%s", tolerance->outside > 1 ? ", the last" : "", repeated ? ": " : ", ");
  if (repeated)
    report_retest_words(of, &retest, out);
  else
    bt_text_add(out, report_short_date(of->checks.at[tolerance->last_outside], date));
}

void report_tolerance_state(const bt_study *of, bt_text *out) {
  const bt_tolerance_finding *tolerance = &of->tolerance;
  if (!report_may_have_tolerance(of))
    bt_text_add(out, REPORT_DASH);
  else if (tolerance->judged == 0 && tolerance->now == NULL)
    report_no_tolerance(of, true, out);
  else if (tolerance->judged == 0)
    bt_text_add(out, "nothing judged");
  else if (tolerance->outside == 0)
    bt_text_format(out, "inside, %zu of %zu%s", tolerance->judged, of->checks.n,
                   tolerance->judged < of->checks.n ? " judged" : "");
  else {
    bt_text_format(out, "%zu of %zu outside", tolerance->outside, tolerance->judged);
    if (tolerance->judged < of->checks.n)
      bt_text_format(out, ", %zu in log", of->checks.n);
    last_failed(of, out);
  }
}

/* The newest days first; a year where it changes. Several checks of one day are one date. */
void report_failed_dates(const bt_study *of, size_t most, bt_text *out) {
  const bt_series *checks = &of->checks;
  size_t days = 0, left = 0;
  int64_t day = 0;
  char date[REPORT_DATE_TEXT];
  for (size_t i = checks->n; i > 0; i--) {
    if ((checks->flags[i - 1] & BT_POINT_OUT_OF_TOLERANCE) == 0 ||
        (days > 0 && bt_day_of(checks->at[i - 1]) == day))
      continue;
    day = bt_day_of(checks->at[i - 1]);
    if (days++ < most)
      bt_text_format(out, "%s%s", days > 1 ? ", " : "", report_short_date(day * BT_DAY, date));
    else
      left++;
  }
  if (left > 0) {
    bt_text_add(out, " and ");
    report_count(out, left, "day before", "days before");
    bt_text_format(out, ", the first %s", report_short_date(day * BT_DAY, date));
  }
}

static void add_signals(bt_text *out, size_t n, const char *side) {
  if (n == 1)
    bt_text_format(out, "one %s signal", side);
  else
    bt_text_format(out, "%zu %s signals", n, side);
}

/* "141 low signals, first 4 Mar 2026"; with both sides open, both numbers. */
static void open_state(const bt_study *of, const bt_episode *low, const bt_episode *high,
                       bool dated, bt_text *out) {
  char date[REPORT_DATE_TEXT];
  const bt_episode *first = low == NULL || (high != NULL && high->first < low->first) ? high : low;
  if (low != NULL)
    add_signals(out, low->signals, "low");
  if (low != NULL && high != NULL)
    bt_text_add(out, ", ");
  if (high != NULL)
    add_signals(out, high->signals, "high");
  if (!dated)
    return;
  bool single = first->signals == 1 && (low == NULL || high == NULL);
  bt_text_format(out, ", %s%s", single ? "" : "first ",
                 report_short_date(of->points.at[first->first], date));
}

void report_control_state(const bt_study *of, bool dated, bt_text *out) {
  const bt_segment *segment = bt_study_now(of);
  const bt_episode *low = report_open_on(of, BT_LOW), *high = report_open_on(of, BT_HIGH);
  if (!report_is_judged(of)) {
    bt_text_add(out, REPORT_DASH);
    return;
  }
  if (segment == NULL || segment->state == BT_CHART_TOO_FEW) {
    size_t failed, points;
    if (report_is_barred(of, &failed, &points))
      bt_text_format(out, "no baseline: %zu of %zu outside tolerance", failed, points);
    else
      bt_text_add(out, "no baseline yet");
    return;
  }
  if (segment->state == BT_CHART_RESOLUTION) {
    size_t moved = report_first_moved(of);
    char date[REPORT_DATE_TEXT];
    if (moved != BT_NONE)
      bt_text_format(out, "changed on %s", report_short_date(of->points.at[moved], date));
    else
      bt_text_add(out, segment->resolution.step > 0 ? "log more digits" : "readings all alike");
    return;
  }
  size_t other = bt_study_other_target_from(of);
  char date[REPORT_DATE_TEXT];
  if (low == NULL && high == NULL && other != BT_NONE)
    bt_text_format(out, "another target since %s", report_short_date(of->points.at[other], date));
  else if (low == NULL && high == NULL)
    bt_text_add(out, of->episodes_n == 0 ? "no signal in the log" : "no open signal");
  else
    open_state(of, low, high, dated, out);
}

void report_last_value(const bt_study *of, bool with_date, bt_text *out) {
  if (of->checks.n == 0) {
    bt_text_add(out, "no reading");
    return;
  }
  char date[REPORT_DATE_TEXT];
  /* T² is of a day's mean offset: that of one check among several has no limit to be held to. */
  bool point = of->characteristic == BT_TRACKER_VECTOR && of->points.n > 0;
  size_t last = point ? of->points.n - 1 : of->checks.n - 1;
  double value = point ? of->points.value[last] : of->checks.raw[last];
  report_add_value(out, &of->quantity, value, report_reading_decimals(of, value));
  if (with_date)
    bt_text_format(out, " on %s",
                   report_short_date(point ? of->points.at[last] : of->checks.at[last], date));
}
