/* The days of one characteristic's story, in order: when its change is likeliest to have begun, and
 * when its chart spoke of it. Each has a row of its own, so that none is taken for another. */
#include "report_drift.h"

static void add(report_facts *facts, const char *label, const char *side, const char *date) {
  bt_text words = {0}, value = {0};
  bt_text_format(&words, "%s%s", label, side);
  bt_text_add(&value, date);
  report_fact_add(facts, &words, &value);
}

static void of_change(const bt_change *change, report_facts *facts) {
  char from[REPORT_DATE_TEXT], to[REPORT_DATE_TEXT];
  add(facts, "Change, likeliest day", "", report_short_date(report_drift_time(change->day), from));
  bt_text words = {0}, value = {0};
  bt_text_add(&words, change->open ? "95 %, or earlier" : "95 %");
  bt_text_format(&value, "%s " REPORT_DASH " %s",
                 report_short_date(report_drift_time(change->from), from),
                 report_short_date(report_drift_time(change->to), to));
  report_fact_add(facts, &words, &value);
}

/* The first of the episode: later ones are those of a CUSUM that began anew. Its run may have
 * signalled before the episode: in one that ended, as 8 points were quiet. */
const bt_excursion *report_excursion_of(const bt_study *of, const bt_episode *episode) {
  for (size_t i = 0; i < of->cusum.excursions_n; i++) {
    const bt_excursion *excursion = &of->cusum.excursions[i];
    if (excursion->side == episode->side && excursion->signal <= episode->last &&
        excursion->last >= episode->first)
      return &of->cusum.excursions[excursion->run_first];
  }
  return NULL;
}

static void of_episode(const bt_study *of, const bt_episode *episode, bt_time from,
                       const char *side, report_facts *facts) {
  const bt_time *at = of->points.at;
  const bt_excursion *excursion = report_excursion_of(of, episode);
  char date[REPORT_DATE_TEXT];
  report_alarms alarms = report_alarms_of(of, episode);
  if (excursion != NULL)
    add(facts, "CUSUM run began", side, report_short_date(at[excursion->run_began], date));
  if (excursion != NULL && excursion->signal < episode->first) /* not the first of this one */
    add(facts, "Signal, earlier episode", side, report_short_date(at[excursion->signal], date));
  add(facts, at[episode->first] < from ? "Episode opened, before these days" : "Episode opened",
      side, report_short_date(at[episode->first], date));
  if (alarms.first != BT_NONE)
    add(facts, "First alarm", side, report_short_date(at[alarms.first], date));
  if (alarms.n > 1)
    add(facts, "Last alarm", side, report_short_date(at[alarms.last], date));
  if (episode->last > episode->first && episode->last != alarms.last)
    add(facts, "Last notice", side, report_short_date(at[episode->last], date));
}

void report_dates(const bt_study *of, const bt_drift *drift, bt_time from, report_facts *facts) {
  const bt_episode *low = report_open_on(of, BT_LOW), *high = report_open_on(of, BT_HIGH);
  bool both = low != NULL && high != NULL;
  if (drift != NULL && report_drift_is_changed(drift))
    of_change(&drift->change, facts);
  if (low != NULL)
    of_episode(of, low, from, both ? ", low" : "", facts);
  if (high != NULL)
    of_episode(of, high, from, both ? ", high" : "", facts);
}
