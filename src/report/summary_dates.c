/* The dates of a change on page 1: one leads in the finding, "since about mid January 2026"; the
 * others, that of the band, the first signal and the first alarm, are named by what they are, once,
 * in a line of their own. */
#include "report_drift.h"

#include <math.h>

void report_drift_short_about(const bt_unit_study *unit, const bt_drift *drift, bt_text *out) {
  char about[REPORT_DATE_TEXT];
  if (!report_drift_is_changed(drift)) {
    report_drift_short(unit, drift, out);
    return;
  }
  bt_text_format(out, "%s: ", drift->study->quantity.title);
  report_drift_went(&drift->moved, out);
  bt_text_format(out, " %s%s", report_drift_about(&drift->change, about),
                 drift->change.open ? ", or earlier" : "");
  report_drift_gone_brief(drift, out);
  report_drift_earlier(unit, drift, true, out);
}

/* ", first signal 4 Mar, first alarm 18 Mar 2026": the year once where it is one. */
static void add_signals(const bt_drift *drift, bool terse, bt_text *out) {
  const char *first = terse ? "" : "first ";
  char day[REPORT_DATE_TEXT];
  bool one_year =
      drift->has_alarm && bt_civil_of(drift->notice_at).year == bt_civil_of(drift->alarm_at).year;
  if (drift->has_notice)
    bt_text_format(out, ", %ssignal %s", first,
                   one_year ? bt_time_short_day(drift->notice_at, day)
                            : report_short_date(drift->notice_at, day));
  if (drift->has_alarm)
    bt_text_format(out, ", %salarm %s", first, report_short_date(drift->alarm_at, day));
  if (report_drift_alarm_is_older(drift))
    bt_text_add(out,
                terse ? " (older)" : " (older: single points stand out before the level does)");
  if (report_drift_alarm_is_of_before(drift))
    bt_text_format(out, " (of the change until %s)", report_short_date(drift->before.until, day));
}

static void add_dates(const bt_drift *drift, bool terse, bool first, bt_text *out) {
  const bt_change *change = &drift->change;
  char day[REPORT_DATE_TEXT], period[REPORT_DATE_TEXT];
  bt_text_format(
      out, "%s%s %s", drift->study->quantity.title, terse && !first ? "" : " began",
      report_short_period(report_drift_time(change->from), report_drift_time(change->to), period));
  if (floor(change->from) < floor(change->to) && !terse)
    bt_text_format(out, " (likeliest %s)", report_drift_date(change->day, day));
  add_signals(drift, terse, out);
}

void report_drift_dates(const bt_unit_study *unit, bool terse, bt_text *out) {
  enum { MOST = 4, MOST_TERSE = 2 };
  size_t n = 0, told = 0;
  for (size_t i = 0; unit->drift != NULL && i < unit->drift->n; i++)
    n += report_drift_is_changed(&unit->drift->drift[i]);
  if (terse && n > MOST_TERSE) /* what drifts first has no paragraph else; their charts have them */
    return;
  for (size_t i = 0; n > 0 && i < unit->drift->n && told < MOST; i++) {
    if (!report_drift_is_changed(&unit->drift->drift[i]))
      continue;
    bt_text_add(out, told > 0 ? "; " : "");
    add_dates(&unit->drift->drift[i], terse, told++ == 0, out);
  }
  if (n > told)
    bt_text_format(out, "; of %zu more: their charts", n - told);
}

bool report_drift_has_dates(const bt_unit_study *unit, const bt_study *of) {
  const bt_drift *drift =
      unit->drift == NULL ? NULL : bt_unit_drift_of(unit->drift, of->characteristic);
  return drift != NULL && drift->study == of && report_drift_is_changed(drift);
}
