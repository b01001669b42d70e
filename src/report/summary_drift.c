/* The finding on drift as the first page opens with it: what drifts, since when, by how much, the
 * likely cause in hedged words, and when it matters. Those that found no room there are named under
 * the table, so that none is left out. */
#include "report_drift.h"

#include <math.h>
#include <string.h>

/* One thing that speaks against it, where there is one; the rest stands on the page of drift. */
static void against(const bt_unit_study *unit, const bt_drift *drift, const bt_cause *first,
                    report_words *words) {
  bt_text said = {0};
  if (report_cause_against_brief(unit, drift, first, &said))
    report_words_add(words, "; %s", bt_text_get(&said));
  report_text_pass(&said, &words->text);
}

/* Events within the band of the change, or so many days before it: our own choice, no source. What
 * was done later did not begin it. Refills are no news. */
static void near_it(const bt_unit_study *unit, const bt_drift *drift, report_words *words) {
  enum { BEFORE = 45, MOST = 2 };
  char day[REPORT_DATE_TEXT];
  size_t named = 0;
  for (size_t i = 0; report_drift_is_changed(drift) && i < unit->history.events_n; i++) {
    const bt_event *event = &unit->history.events[i];
    double at = (double)bt_day_of(event->time);
    if (event->kind == BT_EVENT_GAS_REFILL || at < drift->change.from - BEFORE ||
        at > drift->change.to || named == MOST)
      continue;
    report_words_add(words, "%s%s %s", named++ == 0 ? " Before it or meanwhile: " : ", ",
                     bt_event_words(event->kind), report_short_date(event->time, day));
  }
  report_words_add(words, named > 0 ? "." : "");
}

/* What the data support; of a change of its own only, since the short words name it elsewhere. Told
 * once where the lead above has the same. */
static void cause(const bt_unit_study *unit, const bt_drift *drift, const bt_drift *above,
                  report_words *words) {
  if (!report_drift_is_changed(drift))
    return;
  if (drift->causes_n == 0) {
    report_words_add(words, " No cause is named: nothing that moved with it points to one.");
    return;
  }
  const bt_cause *first = &drift->causes[0];
  bool same = above != NULL && report_drift_is_changed(above) && above->causes_n > 0 &&
              report_cause_words(above, &above->causes[0]) == report_cause_words(drift, first);
  report_words_add(
      words, " %s cause (%s support): ", first->strength == BT_CAUSE_WEAK ? "Possible" : "Likely",
      report_cause_strength(first->strength));
  report_words_add(words, "%s%s%s", same ? "" : "“",
                   same ? "as above" : report_cause_words(drift, first), same ? "" : "”");
  if (drift->causes_n > 1)
    report_words_add(words, ", and %zu more, see “%s”", drift->causes_n - 1,
                     report_drift_page_title(unit));
  if (!same)
    against(unit, drift, first, words);
  report_words_add(words, ".");
}

static void ahead(const bt_unit_study *unit, const bt_drift *drift, report_words *words) {
  char day[REPORT_DATE_TEXT];
  const bt_forecast *of = &drift->forecast;
  bt_text failing = {0};
  report_drift_failing(drift, &failing);
  report_words_add(words, " If it goes on as up to %s, %s", report_drift_date(drift->last_day, day),
                   bt_text_get(&failing));
  report_passed passed = report_drift_passed(unit, drift);
  if (of->has_fail_5) {
    report_words_add(words, ": 1 in 20 by ");
    report_words_bold(words, "%s", report_drift_date(of->fail_5, day));
    report_words_add(words, passed != REPORT_PASSED_NONE ? " (gone by)" : "");
  }
  if (of->has_fail_50)
    report_words_add(words, "%s by %s%s", of->has_fail_5 ? ", 1 in 2" : ": 1 in 2",
                     report_drift_date(of->fail_50, day),
                     passed == REPORT_PASSED_BOTH ? " (gone by)" : "");
  if (!of->has_fail_5 && !of->has_fail_50)
    report_words_add(words, " is not to be expected within 20 years");
  report_words_add(words, ".");
  report_text_pass(&failing, &words->text);
}

/* What a forecast is of has come already: before any day. */
static void failed(const bt_drift *drift, report_words *words) {
  bt_text said = {0};
  if (report_drift_failed(drift, false, true, &said))
    report_words_add(words, " %s.", bt_text_get(&said));
  report_text_pass(&said, &words->text);
}

/* Each begins with a blank. */
static void pace_cause_and_ahead(const bt_unit_study *unit, const bt_drift *drift,
                                 const bt_drift *above, report_words *words) {
  bt_text one = {0};
  report_drift_pace(drift, true, &one);
  if (!bt_text_empty(&one))
    report_words_add(words, " %s", bt_text_get(&one));
  cause(unit, drift, above, words);
  if (above == NULL)
    near_it(unit, drift, words);
  failed(drift, words);
  if (drift->forecast.use == BT_FORECAST_GIVEN)
    ahead(unit, drift, words);
  else if (report_drift_is_changed(drift)) {
    bt_text_clear(&one);
    report_drift_when_ahead(unit, drift, &one);
    report_words_add(words, " %s", bt_text_get(&one));
  }
  report_text_pass(&one, &words->text);
}

/* Nothing where the forecast has said that none is entered. */
static const char *tolerance_now(const bt_drift *drift) {
  const bt_tolerance_finding *tolerance = &drift->study->tolerance;
  bool told = report_drift_is_changed(drift) && drift->forecast.use == BT_FORECAST_NO_LIMIT;
  if (tolerance->now != NULL && tolerance->judged > 0)
    return "inside tolerance";
  if (tolerance->now != NULL)
    return "No check of it is judged against a tolerance";
  if (told || !report_may_have_tolerance(drift->study))
    return NULL;
  return tolerance->to_come == NULL ? "No tolerance is entered for it"
                                    : "No tolerance is in force for it yet";
}

/* "Last check (30 Sep 2026, 61 days before ...) inside tolerance; alarm open, low side, first alarm
 * 18 Mar 2026." */
static void state_now(const bt_unit_study *unit, const bt_drift *drift, report_words *words) {
  static const char *const names[BT_SIDES] = {[BT_LOW] = "low", [BT_HIGH] = "high"};
  const bt_study *of = drift->study;
  char day[REPORT_DATE_TEXT];
  const char *tolerance = tolerance_now(drift);
  size_t said = tolerance != NULL;
  if (tolerance != NULL) {
    if (of->tolerance.now != NULL && of->tolerance.judged > 0) {
      report_words_add(words, " Last check (%s", report_drift_log_end(drift, day));
      report_check_ago(unit, true, &words->text);
      report_words_add(words, ") %s", tolerance);
    } else
      report_words_add(words, " %s", tolerance);
    report_retest_told(of, &words->text);
  }
  for (bt_side side = BT_LOW; side < BT_SIDES; side++) {
    const bt_episode *episode = report_open_on(of, side);
    if (episode == NULL)
      continue;
    report_words_add(words, "%s %s open, %s side", said++ == 0 ? " Its chart:" : ";",
                     report_open_word(of, episode), names[side]);
    if (!report_drift_is_changed(drift)) /* else they stand with the dates of the change */
      report_words_add(words, ", first %s %s",
                       bt_study_open_strength_on(of, side) == BT_ALARM ? "alarm" : "signal",
                       report_short_date(of->points.at[report_open_from(of, episode)], day));
    report_add_concluded(of, episode, &words->text);
  }
  report_words_add(words, said > 0 ? "." : "");
}

void report_drift_lead(const bt_unit_study *unit, const bt_drift *drift, const bt_drift *above,
                       report_words *words) {
  const bt_study *of = drift->study;
  const char *title = of->quantity.title;
  bt_text finding = {0};
  report_drift_short_about(unit, drift, &finding);
  if (of->tolerance.last_is_outside) { /* tolerance comes first */
    report_lead(unit, of, words);
    report_words_add(words, " ");
    report_words_bold(words, "Drift%s.", bt_text_get(&finding) + strlen(title));
  } else
    report_words_bold(words, "%s.", bt_text_get(&finding));
  pace_cause_and_ahead(unit, drift, above, words);
  if (!of->tolerance.last_is_outside) {
    state_now(unit, drift, words);
    report_lead_stale(unit, of, words);
  }
  report_text_pass(&finding, &words->text);
}

/* "falling since about early May 2026". */
static void one_line_since(const bt_drift *drift, report_words *words) {
  char about[REPORT_DATE_TEXT];
  bool low = drift->moved.sign < 0, step = drift->moved.kind == BT_CHANGE_STEP;
  report_words_bold(words, "%s since %s%s",
                    step  ? (low ? "lower" : "higher")
                    : low ? "falling"
                          : "climbing",
                    report_drift_about(&drift->change, about),
                    drift->change.open ? ", or earlier" : "");
  bt_text gone = {0};
  report_drift_gone_brief(drift, &gone);
  report_words_add(words, "%s", bt_text_get(&gone));
  report_text_pass(&gone, &words->text);
}

static void one_line_ahead(const bt_unit_study *unit, const bt_drift *drift, report_words *words) {
  char day[REPORT_DATE_TEXT];
  const bt_forecast *of = &drift->forecast;
  bt_text said = {0};
  if (report_drift_failed(drift, true, false, &said))
    report_words_add(words, "; %s", bt_text_get(&said));
  report_text_pass(&said, &words->text);
  if (of->use == BT_FORECAST_BEYOND) {
    report_words_add(words, "; its mean is beyond the tolerance already");
    return;
  }
  if (of->use != BT_FORECAST_GIVEN || !of->has_fail_5)
    return;
  bt_text failing = {0};
  report_drift_failing(drift, &failing);
  report_words_add(words, "; %s: 1 in 20 by ", bt_text_get(&failing));
  report_text_pass(&failing, &words->text);
  report_words_bold(words, "%s", report_drift_date(of->fail_5, day));
  if (report_drift_passed(unit, drift) != REPORT_PASSED_NONE)
    report_words_add(words, " (gone by)");
}

void report_drift_one_line(const bt_unit_study *unit, const bt_drift *drift, report_words *words) {
  const bt_study *of = drift->study;
  bt_text size = {0};
  report_words_bold(words, "%s: ", of->quantity.title);
  if (report_drift_is_changed(drift))
    one_line_since(drift, words);
  else {
    report_drift_unchanged(unit, drift, &size);
    report_words_add(words, "%s", bt_text_get(&size));
    bt_text_clear(&size);
  }
  if (of->recent_n >= 2 && report_has_limits(bt_study_now(of)) && !report_has_one_limit(of)) {
    report_add_size(of, fabs(of->recent_shift), &size);
    if (*bt_text_get(&size) == '+') /* else it is none when rounded */
      report_words_add(words, ", %s %s the centre", bt_text_get(&size) + 1,
                       of->recent_shift < 0 ? "below" : "above");
  }
  if (drift->causes_n > 0 && drift->causes[0].kind == BT_CAUSE_NOT_RESTORED_BY_REFILL)
    report_words_add(words, "; refills alone do not bring it back");
  else if (drift->causes_n > 0)
    report_words_add(words, "; what the data support: “%s”",
                     report_cause_words(drift, &drift->causes[0]));
  one_line_ahead(unit, drift, words);
  report_words_add(words, ".");
  report_text_pass(&size, &words->text);
}
