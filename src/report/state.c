/* Short states of a study and a unit, for the summary table and the status screen. */
#include "report_room.h"

void report_tolerance_state(const bt_study *of, bt_text *out) {
  const bt_tolerance_finding *tolerance = &of->tolerance;
  if (tolerance->judged == 0)
    bt_text_add(out, bt_characteristic_is_covariate(of->characteristic) ? REPORT_DASH
                     : tolerance->now == NULL                           ? "none entered"
                                                                        : "nothing judged");
  else if (tolerance->outside == 0)
    bt_text_format(out, "inside, %zu of %zu", tolerance->judged, tolerance->judged);
  else
    bt_text_format(out, "%zu of %zu outside%s", tolerance->outside, tolerance->judged,
                   tolerance->last_is_outside ? ", last too" : "");
}

void report_control_state(const bt_study *of, bt_text *out) {
  const bt_segment *segment = bt_study_now(of);
  const bt_episode *episode = bt_study_open_episode(of);
  if (bt_characteristic_is_covariate(of->characteristic)) {
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
  if (episode == NULL) {
    bt_text_add(out, "no open signal");
    return;
  }
  size_t rules = 0;
  for (int bit = 0; bit < 8; bit++)
    rules += (episode->rules >> bit & 1) != 0;
  bt_text_format(out, "%s, ", episode->side == BT_LOW ? "low" : "high");
  report_count(out, rules, "rule", "rules");
  bt_text_add(out, ", ");
  report_count(out, episode->signals, "point", "points");
}

void report_last_value(const bt_study *of, bool with_date, bt_text *out) {
  if (of->checks.n == 0) {
    bt_text_add(out, "no reading");
    return;
  }
  char date[BT_TIME_TEXT];
  size_t last = of->checks.n - 1;
  report_add_value(out, of->characteristic, of->checks.raw[last],
                   bt_characteristic_decimals(of->characteristic));
  if (with_date)
    bt_text_format(out, " on %s", bt_time_short_day(of->checks.at[last], date));
}

void report_selftest_words(const bt_unit_study *unit, bt_text *out) {
  const bt_selftest *test = &unit->selftest;
  char date[REPORT_DATE_TEXT], passed[REPORT_NUMBER_TEXT], total[REPORT_NUMBER_TEXT];
  if (!test->logged) {
    bt_text_add(out, "not in the log");
    return;
  }
  bt_text_format(out, "%s of %s passed on %s", report_plain(test->passed, passed),
                 report_plain(test->total, total), report_short_date(test->last_at, date));
  if (test->last_failed && test->items != NULL && *test->items != '\0')
    bt_text_format(out, ", failed: %s", test->items);
  bt_text_add(out, "; ");
  report_count(out, test->failed, "failure", "failures");
  bt_text_add(out, " in ");
  report_count(out, test->n, "test", "tests");
}
