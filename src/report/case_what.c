/* What a case says first: what fails its tolerance, what changed, and the alarms of what did not.
 */
#include "report_case.h"
#include "report_episodes.h"

/* "high side, 2 alarms, 22 Jun – 3 Jul 2026, and 13 notices, all within 22 Jun – 31 Jul 2026" */
static void add_alarms(const bt_study *of, const bt_episode *episode, bt_text *words) {
  const bt_series *points = &of->points;
  char day[REPORT_DATE_TEXT];
  report_alarms alarms = report_alarms_of(of, episode);
  bt_text_format(words, "%s side, ", report_side_word(episode->side));
  report_count(words, alarms.n, "alarm", "alarms");
  if (alarms.n > 0)
    bt_text_format(words, ", %s",
                   report_short_period(points->at[alarms.first], points->at[alarms.last], day));
  if (report_is_one_reading(of, episode))
    bt_text_add(words, ", all from its first reading, which the CUSUM carries on");
  if (episode->signals > alarms.n) {
    bt_text_add(words, ", and ");
    report_count(words, episode->signals - alarms.n, "notice", "notices");
    bt_text_format(words, ", all within %s",
                   report_short_period(points->at[episode->first], points->at[episode->last], day));
  }
  if (bt_study_ended_by(of, episode) != NULL) {
    bt_text_add(words, ", ");
    (void)report_add_ended(of, episode, false, words);
  }
}

/* Alarms that are past, or of the span's end, each with its time. */
static void alarms_of(const bt_case *one, const bt_study *of, bt_text *words) {
  enum { MOST = 3 };
  size_t named = 0, n = 0;
  for (size_t e = 0; e < of->episodes_n; e++) {
    const bt_episode *episode = &of->episodes[e];
    bt_time first = of->points.at[episode->first], last = of->points.at[episode->last];
    if (episode->strength != BT_ALARM || last < one->from || first >= one->to || n++ >= MOST)
      continue;
    if (named++ == 0) {
      report_case_sentence(words);
      bt_text_format(words, "%s: ", of->quantity.title);
    } else
      bt_text_add(words, "; ");
    add_alarms(of, episode, words);
  }
  if (n > MOST)
    bt_text_format(words, "; and %zu more", n - MOST);
  if (named > 0)
    bt_text_add(words, ".");
}

/* Of what did not change: where the last check is outside tolerance, or where it is not. */
static void alarms_without_change(const bt_case *one, bool outside, bt_text *words) {
  const bt_unit_study *unit = one->unit;
  for (size_t s = 0; s < unit->studies_n; s++) {
    const bt_study *of = unit->studies[s];
    const bt_drift *drift = bt_unit_drift_of(unit->drift, of->characteristic);
    if (report_is_judged(of) && of->tolerance.last_is_outside == outside &&
        (drift == NULL || !report_drift_is_changed(drift)))
      alarms_of(one, of, words);
  }
}

/* ", as it comes to its tolerance first" */
static void what_follows(const bt_drift *leads, bt_text *words) {
  const char *why = report_drift_why_first(leads);
  bt_text_format(words, " What follows is of the first to look at: %s",
                 leads->study->quantity.title);
  if (why != NULL)
    bt_text_format(words, ", as %s", why);
  bt_text_add(words, ".");
}

void report_case_what(const bt_case *one, bt_text *words) {
  const bt_drift *leads = report_case_leads(one);
  const bt_unit_study *unit = one->unit;
  size_t changed = 0;
  bool back = false;
  alarms_without_change(one, true, words);
  for (const bt_drift *drift = leads; drift != NULL;
       drift = report_case_changed_after(one, drift)) {
    report_case_sentence(words);
    report_drift_short(unit, drift, words);
    bt_text_add(words, ".");
    changed++;
  }
  for (size_t i = 0; i < unit->drift->n; i++)
    back = back || (report_case_brought_back(&unit->drift->drift[i]) &&
                    report_case_event(one, &unit->drift->drift[i])->time >= one->from);
  alarms_without_change(one, false, words);
  if (leads != NULL && leads->far_n > leads->far_before) {
    report_case_sentence(words);
    report_drift_far(leads, words);
  }
  if (words->length == 0 && report_drift_looked(unit->drift) == 0)
    bt_text_add(words, "No alarm in this span. ");
  else if (words->length == 0 && back)
    bt_text_add(
        words,
        "No change past its threshold since the one that was brought back, and no alarm, in this span.");
  else if (words->length == 0)
    bt_text_add(words, "No change past its threshold, and no alarm, in this span; the charts show "
                       "what there is.");
  if (report_drift_looked(unit->drift) == 0) {
    bt_text_add(words, "For drift ");
    report_drift_not_looked(unit->drift, words);
    bt_text_add(words, ".");
  }
  if (changed > 1)
    what_follows(leads, words);
}
