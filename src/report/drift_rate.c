/* How large a change is, what it is, and the days that it lies between, in words. Differences of a
 * ratio are told in per cent. */
#include "report_drift.h"

#include <math.h>
#include <stdio.h>

/* Decimals that show two digits of that size. */
static int decimals_of(double size) {
  double digits = size > 0 ? 1 - floor(log10(size)) : 4;
  return digits < 0 ? 0 : digits > 8 ? 8 : (int)digits;
}

void report_drift_rate(const bt_drift *drift, double per_day, double low, double high,
                       const char *what, double days, bt_text *out) {
  char by[REPORT_NUMBER_TEXT], from[REPORT_NUMBER_TEXT], to[REPORT_NUMBER_TEXT];
  bool ratio = drift->characteristic == BT_ENERGY_RATIO;
  double scale = ratio ? 100 * days : days;
  int decimals = decimals_of(scale * (high > low ? (high - low) / 2 : fabs(per_day)));
  bt_text_add(out, report_signed(scale * per_day, decimals, by));
  if (ratio)
    bt_text_add(out, REPORT_JOIN "%");
  else
    report_add_unit(out, &drift->study->quantity);
  bt_text_format(out, "%s%s", *what == '\0' ? "" : " ", what);
  if (high > low)
    bt_text_format(out, " (%s to %s)", report_signed(scale * low, decimals, from),
                   report_signed(scale * high, decimals, to));
}

void report_drift_gone(const bt_drift *drift, bt_text *out) {
  const bt_change *change = &drift->change;
  report_drift_rate(drift, change->gone, change->gone_low, change->gone_high, "", 1, out);
}

void report_drift_gone_brief(const bt_drift *drift, bt_text *out) {
  if (!report_drift_is_changed(drift) || drift->change.gone == 0)
    return;
  bt_text_add(out, ", by ");
  report_add_size(drift->study, drift->change.gone, out);
  if (drift->loss != 0 && drift->characteristic != BT_ENERGY_RATIO && drift->gone_per_cent != 0) {
    char share[REPORT_NUMBER_TEXT];
    bt_text_format(out, " (%s" REPORT_JOIN "%%)", report_signed(drift->gone_per_cent, 1, share));
  }
  bt_text_add(out, drift->moved.levelled ? " or more" : "");
}

void report_drift_between(const bt_change *change, const char *day, bt_text *out) {
  char from[REPORT_DATE_TEXT], to[REPORT_DATE_TEXT];
  if (floor(change->from) >= floor(change->to))
    bt_text_format(out, "%s", report_drift_date(change->from, from));
  else
    bt_text_format(out, "%s between %s and %s", day, report_drift_date(change->from, from),
                   report_drift_date(change->to, to));
}

/* Days of the band up to which a date is told by its day: our own choice, no source. */
enum { WEEK = 7, EARLY = 10, MID = 20 };

const char *report_drift_about(const bt_change *change, char *buffer) {
  char date[REPORT_DATE_TEXT];
  double band = floor(change->to) - floor(change->from);
  int day = bt_civil_of(report_drift_time(change->day)).day;
  if (band <= WEEK)
    (void)snprintf(buffer, REPORT_DATE_TEXT, "%s%.40s", band > 0 ? "about " : "",
                   report_drift_date(change->day, date));
  else
    (void)snprintf(buffer, REPORT_DATE_TEXT, "about %s %.40s",
                   day <= EARLY ? "early"
                   : day <= MID ? "mid"
                                : "late",
                   bt_time_month(report_drift_time(change->day), date));
  return buffer;
}

void report_drift_went(const bt_moved *moved, bt_text *out) {
  bool low = moved->sign < 0;
  if (moved->kind == BT_CHANGE_STEP)
    bt_text_format(out, "%s, %s, since", low ? "lower" : "higher",
                   moved->levelled ? "by a slope that has ended" : "in a step");
  else
    bt_text_add(out, low ? "falling since" : "climbing since");
}
