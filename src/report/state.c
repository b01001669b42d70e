/* Short states of a study and a unit, for the summary table and the status screen. */
#include "report_room.h"

void report_tolerance_state(const bt_study *of, bt_text *out) {
  const bt_tolerance_finding *tolerance = &of->tolerance;
  if (!report_may_have_tolerance(of))
    bt_text_add(out, REPORT_DASH);
  else if (tolerance->judged == 0)
    bt_text_add(out, tolerance->now == NULL ? "none entered" : "nothing judged");
  else if (tolerance->outside == 0)
    bt_text_format(out, "inside, %zu of %zu%s", tolerance->judged, of->checks.n,
                   tolerance->judged < of->checks.n ? " judged" : "");
  else {
    bt_text_format(out, "%zu of %zu outside", tolerance->outside, tolerance->judged);
    if (tolerance->judged < of->checks.n)
      bt_text_format(out, ", %zu in log", of->checks.n);
  }
}

static void add_points(bt_text *out, size_t n) {
  if (n == 1)
    bt_text_add(out, "one");
  else
    bt_text_format(out, "%zu", n);
}

/* "flagged low at 141 points, first 4 Mar 2026"; with both sides open, both numbers. */
static void open_state(const bt_study *of, const bt_episode *low, const bt_episode *high,
                       bt_text *out) {
  char date[REPORT_DATE_TEXT];
  const bt_episode *first = low == NULL || (high != NULL && high->first < low->first) ? high : low;
  const bt_episode *named = low != NULL ? low : high;
  bt_text_format(out, "flagged %s at ", low != NULL ? "low" : "high");
  add_points(out, named->signals);
  bt_text_add(out, named->signals == 1 ? " point" : " points");
  if (low != NULL && high != NULL) {
    bt_text_add(out, ", high at ");
    add_points(out, high->signals);
  }
  bool single = named->signals == 1 && (low == NULL || high == NULL);
  bt_text_format(out, ", %s%s", single ? "" : "first ",
                 report_short_date(of->points.at[first->first], date));
}

void report_control_state(const bt_study *of, bt_text *out) {
  const bt_segment *segment = bt_study_now(of);
  const bt_episode *low = report_open_on(of, BT_LOW), *high = report_open_on(of, BT_HIGH);
  if (!report_is_judged(of)) {
    bt_text_add(out, REPORT_DASH);
    return;
  }
  if (segment == NULL || segment->state == BT_CHART_TOO_FEW) {
    bt_text_add(out, "no baseline yet");
    return;
  }
  if (segment->state == BT_CHART_RESOLUTION) {
    bt_text_add(out, segment->resolution.step > 0 ? "log more digits" : "no spread");
    return;
  }
  if (low == NULL && high == NULL)
    bt_text_add(out, "no open signal");
  else
    open_state(of, low, high, out);
}

void report_last_value(const bt_study *of, bool with_date, bt_text *out) {
  if (of->checks.n == 0) {
    bt_text_add(out, "no reading");
    return;
  }
  char date[BT_TIME_TEXT];
  size_t last = of->checks.n - 1;
  report_add_value(out, &of->quantity, of->checks.raw[last],
                   report_reading_decimals(of, of->checks.raw[last]));
  if (with_date)
    bt_text_format(out, " on %s", bt_time_short_day(of->checks.at[last], date));
}
