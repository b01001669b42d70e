/* What to do next of open signals: those that nobody has concluded anything of, and those
 * concluded. A conclusion ends no drift: where the level goes on past its threshold, its alarm
 * still asks for what it asked for before, with what was concluded said beside it. */
#include "report_next.h"

#include <string.h>

static bool is_signal(bt_verdict verdict) {
  return verdict == BT_VERDICT_ALARM || verdict == BT_VERDICT_NOTICE;
}

static bool is_concluded_signal(const bt_study *of) {
  return report_is_judged(of) && is_signal(bt_study_shown_verdict(of)) && report_is_concluded(of);
}

bool report_goes_on(const bt_unit_study *unit, const bt_study *of) {
  const bt_drift *drift =
      unit->drift == NULL ? NULL : bt_unit_drift_of(unit->drift, of->characteristic);
  return drift != NULL && report_drift_is_changed(drift) && is_concluded_signal(of) &&
         bt_study_shown_verdict(of) == BT_VERDICT_ALARM;
}

/* Of a signal: one that asks, whether or not something was concluded of it. */
static bool is_flagged(const bt_unit_study *unit, const bt_study *of, bt_verdict verdict) {
  return report_is_judged(of) && bt_study_shown_verdict(of) == verdict &&
         (!is_concluded_signal(of) || report_goes_on(unit, of));
}

size_t report_add_flagged(const bt_unit_study *unit, bt_verdict verdict, bool brief, bt_text *out) {
  enum { MOST_NAMES = 3 };
  size_t n = 0, named = 0;
  for (size_t i = 0; i < unit->studies_n; i++)
    n += is_flagged(unit, unit->studies[i], verdict);
  if (brief && n > MOST_NAMES) {
    bt_text_format(out, "%zu characteristics", n);
    return n;
  }
  for (size_t i = 0; i < unit->studies_n; i++) {
    if (!is_flagged(unit, unit->studies[i], verdict))
      continue;
    bt_text_format(out, "%s%s", report_list_join(named++, n), unit->studies[i]->quantity.title);
  }
  return n;
}

/* " Episode 248e856a was resolved on 3 Oct 2026 by M. Reader as “gas batch”; the drift goes on."
 * The cause is a person's own words, of any length. */
static void add_resolved(const bt_study *of, bool brief, bt_text *out) {
  enum { LONGEST = 60 }; /* bytes of a cause that has room on the first page */
  char date[REPORT_DATE_TEXT];
  for (bt_side side = BT_LOW; side <= BT_HIGH; side++) {
    const bt_episode *episode = report_open_on(of, side);
    const bt_disposition *said = episode == NULL ? NULL : report_disposition(of, episode);
    if (said == NULL)
      continue;
    bt_text_format(out, " Episode %s was resolved on %s by %s", episode->id,
                   report_short_date(said->at, date), said->by);
    if (!brief || strlen(said->cause) <= LONGEST)
      bt_text_format(out, " as “%s”", said->cause);
    bt_text_add(out, "; the drift goes on.");
  }
}

static void add_all_resolved(const bt_unit_study *unit, bool brief, bt_text *out) {
  bool any = false;
  for (size_t i = 0; i < unit->studies_n; i++)
    if (report_goes_on(unit, unit->studies[i])) {
      add_resolved(unit->studies[i], brief, out);
      any = true;
    }
  if (any && !brief)
    bt_text_add(out, " At the next checks look whether what was done has helped.");
}

static void alarm_step(const bt_unit_study *unit, bool brief, bt_text *out) {
  bt_text names = {0};
  size_t flagged = report_add_flagged(unit, BT_VERDICT_ALARM, brief, &names);
  if (flagged > 0) {
    bt_text_format(out,
                   brief ? "Responsible person and technician, before surgery: look at %s%s, and "
                           "tell the engineer"
                         : "Responsible person and technician, before the next surgery day: look "
                           "at %s%s, and tell the manufacturer’s engineer",
                   bt_text_get(&names), brief || flagged == 1 ? "" : " together");
    report_visit_clause(unit, out);
    bt_text_add(out, ".");
    add_all_resolved(unit, brief, out);
  }
  report_text_pass(&names, out);
}

void report_signal_step(const bt_unit_study *unit, bt_verdict verdict, bool brief, bt_text *out) {
  bt_text names = {0};
  if (verdict == BT_VERDICT_ALARM)
    alarm_step(unit, brief, out);
  else if (report_add_flagged(unit, verdict, brief, &names) > 0)
    bt_text_format(out,
                   "Technician, at the next checks: compare %s with what was done to the laser, "
                   "and look again.",
                   bt_text_get(&names));
  report_text_pass(&names, out);
}

/* Concluded, and nothing more is asked than to look whether it has helped. */
static bool is_waited_for(const bt_unit_study *unit, const bt_study *of) {
  return is_concluded_signal(of) && !report_goes_on(unit, of);
}

void report_concluded_step(const bt_unit_study *unit, bt_text *out) {
  bool passed = false, any = false;
  for (size_t i = 0; i < unit->studies_n; i++)
    if (is_waited_for(unit, unit->studies[i])) {
      any = true;
      passed |= report_asks_to_measure_of(unit, unit->studies[i]);
    }
  if (!any)
    return;
  bt_text_format(out, "Technician, %s: look whether what was done has helped: ",
                 passed ? "when it is measured" : "at the next checks");
  for (size_t i = 0, named = 0; i < unit->studies_n; i++) {
    const bt_study *of = unit->studies[i];
    if (!is_waited_for(unit, of))
      continue;
    const bt_episode *low = report_open_on(of, BT_LOW);
    bt_text_format(out, "%s%s", named++ > 0 ? "; " : "", of->quantity.title);
    report_add_concluded(of, low != NULL ? low : report_open_on(of, BT_HIGH), out);
  }
  bt_text_add(out, " (open until 8 points in a row are without a signal).");
}
