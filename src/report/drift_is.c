/* What a drift is, for all who speak of it: whether it changed and is told, its days as times, and
 * an answer set in plain text. */
#include "report_drift.h"

#include <math.h>

bool report_drift_is_changed(const bt_drift *drift) {
  return drift->use == BT_DRIFT_LOOKED_AT && drift->moved.changed;
}

bool report_drift_is_constant(const bt_drift *drift) {
  const bt_segment *now = bt_study_now(drift->study);
  return drift->use == BT_DRIFT_COARSE && now != NULL && now->resolution.useless &&
         !(now->resolution.step > 0);
}

bool report_drift_is_told(const bt_drift *drift) {
  return report_drift_is_changed(drift) || drift->causes_n > 0;
}

bool report_drift_looks_back(const bt_drift *drift) {
  return drift->use == BT_DRIFT_LOOKED_AT && (drift->moved.changed || drift->before.changed);
}

bool report_drift_was_changed(const bt_drift *drift) {
  return drift->use == BT_DRIFT_LOOKED_AT && (drift->before.changed || drift->before.went_on);
}

bool report_drift_changed_earlier(const bt_drift *drift) {
  return !drift->moved.changed && report_drift_was_changed(drift);
}

bool report_drift_by_fills(const bt_drift *drift) {
  return drift->loss != 0 || drift->study->adjusted;
}

bool report_drift_is_ahead(const bt_drift *drift) {
  return drift->forecast.use == BT_FORECAST_GIVEN;
}

bool report_drift_alarm_is_older(const bt_drift *drift) {
  return report_drift_is_changed(drift) && drift->has_alarm &&
         drift->alarm_at < report_drift_time(drift->change.day) &&
         !report_drift_alarm_is_of_before(drift);
}

bool report_drift_alarm_is_of_before(const bt_drift *drift) {
  return report_drift_is_changed(drift) && report_drift_was_changed(drift) && drift->has_alarm &&
         drift->alarm_at < drift->before.until;
}

const char *report_end_of_fill(const bt_drift *drift) {
  return drift->study->adjusted ? " at a fill’s end" : "";
}

bt_time report_drift_time(double day) {
  return (bt_time)floor(day) * BT_DAY;
}

const char *report_drift_date(double day, char *buffer) {
  return report_short_date(report_drift_time(day), buffer);
}

const char *report_drift_log_end(const bt_drift *drift, char *buffer) {
  const bt_series *checks = &drift->study->checks;
  return report_short_date(checks->at[checks->n - 1], buffer);
}

void report_drift_answer(bt_text *out, const char *head, bt_text *words) {
  if (words->length > 0)
    report_wrap_plain(out, head, bt_text_get(words));
  out->failed |= words->failed;
  bt_text_clear(words);
}

/* Evidence of that cause; 0 where it is not named. */
uint32_t report_drift_evidence(const bt_drift *drift, bt_cause_kind kind) {
  for (size_t c = 0; c < drift->causes_n; c++)
    if (drift->causes[c].kind == kind)
      return drift->causes[c].evidence;
  return 0;
}
