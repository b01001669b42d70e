/* A forecast of a first failing check beside one that came already; how far it has gone; two losses
 * side by side; and what an event moved beside what none did. */
#include "made_drift.h"
#include "report_drift.h"
#include "report_episodes.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static bt_report_request request;

/* Appends what the function says to a fresh text; owned by the text. */
static const char *line_of(const bt_unit_study *unit, bt_text *out) {
  bt_text_clear(out);
  report_drift_line(unit, unit->drift->drift, out);
  return bt_text_get(out);
}

Test(drift_failing, a_check_that_failed_already_comes_before_the_forecast) {
  bt_unit_study *unit = made_drift(true, &request);
  bt_drift *drift = unit->drift->drift;
  bt_study *of = unit->studies[0];
  bt_text line = {0};
  char *text = made_drift_printed(unit, true), *page = made_drift_page_text(unit, &request);
  cr_expect_null(strstr(text, "failed already"), "%s", text);
  must_say(text, ", a check below 0.96 at a fill’s end has a chance of 1 in 20");
  cr_expect_null(strstr(line_of(unit, &line), "failed already"));
  free(text);
  free(page);
  size_t check = of->checks.n - 8;
  char day[REPORT_DATE_TEXT], words[160];
  drift->failed_n = 1;
  drift->first_failed = check;
  of->checks.raw[check] = 0.9552;
  (void)report_short_date(of->checks.at[check], day);
  text = made_drift_printed(unit, true);
  page = made_drift_page_text(unit, &request);
  (void)snprintf(words, sizeof words, "When it matters A check failed already, on %s (0.9552", day);
  must_say(text, words);
  must_say(text, ", another one below 0.96 at a fill’s end has a chance of 1 in 20");
  must_say(page, "A check failed already, on ");
  (void)snprintf(words, sizeof words, "; a check failed already, on %s; as of ", day);
  must_say(line_of(unit, &line), words);
  must_say(line_of(unit, &line), ", another one below 0.96");
  free(text);
  free(page);
  drift->failed_n = 3;
  text = made_drift_printed(unit, true);
  must_say(text, "3 checks failed already, the first on ");
  free(text);
  bt_text_free(&line);
  bt_unit_study_free(unit);
}

/* On the screen and in what else was looked at, with both days of the forecast. */
Test(drift_failing, the_screens_line_has_both_days) {
  bt_unit_study *unit = made_drift(true, &request);
  bt_text line = {0};
  must_say(line_of(unit, &line), "1 in 20 by 24 Oct 2026, 1 in 2 by 23 Nov 2026: “beamtally");
  bt_text_clear(&line);
  report_drift_brief(unit, unit->drift->drift, &line);
  must_say(bt_text_get(&line), "1 in 20 by 24 Oct 2026, 1 in 2 by 23 Nov 2026.");
  bt_text_free(&line);
  bt_unit_study_free(unit);
}

Test(drift_failing, how_far_it_has_gone_is_told_with_its_interval) {
  bt_unit_study *unit = made_drift(true, &request);
  bt_text line = {0};
  char *text = made_drift_printed(unit, true), *page = made_drift_page_text(unit, &request);
  must_say(text, "and has gone by −0.980 % (−1.078 to −0.882) since it began.");
  must_say(page, "and has gone by −0.980" REPORT_JOIN "% (−1.078 to −0.882) since it began.");
  must_say(line_of(unit, &line), "(likeliest 6 Jul 2026), by −1.0" REPORT_JOIN "%; as of ");
  free(text);
  free(page);
  bt_text_free(&line);
  bt_unit_study_free(unit);
}

/* A fluence beside the energy ratio, which changed five days later. */
static bt_unit_study *two_losses(void) {
  fixture_plan plan = fixture_usual();
  plan.copies = 1;
  bt_unit_study *unit = made_drift_of(&plan, true, &request);
  bt_drift *both = fixture_filled(2, sizeof *both);
  both[0] = both[1] = unit->drift->drift[0];
  unit->studies[1]->characteristic = BT_FLUENCE;
  unit->studies[1]->quantity = bt_settings_quantity(&unit->settings, BT_FLUENCE);
  both[1].characteristic = BT_FLUENCE;
  both[1].study = unit->studies[1];
  both[1].change.day += 5;
  both[1].gone_per_cent = -0.7;
  both[1].change.gone = -1.26;
  memset(&both[1].values, 0, sizeof both[1].values);
  both[1].level = NULL;
  both[1].levels.n = 0;
  free(unit->drift->drift);
  unit->drift->drift = both;
  unit->drift->n = 2;
  return unit;
}

Test(drift_failing, two_losses_stand_side_by_side) {
  bt_unit_study *unit = two_losses();
  bt_drift *both = unit->drift->drift;
  bt_text words = {0};
  report_drift_together(unit, &words);
  cr_expect_str_eq(bt_text_get(&words),
                   "Side by side, since 6 Jul 2026, of what each was before: Pulse-energy ratio "
                   "−1.0" REPORT_JOIN "%, Fluence −0.7" REPORT_JOIN "%.",
                   "%s", bt_text_get(&words));
  bt_text_clear(&words);
  report_drift_gone_brief(&both[1], &words);
  must_say(bt_text_get(&words), "mJ/cm² (−0.7" REPORT_JOIN "%)");
  for (int k = 0; k < 3; k++) { /* not both lost, or not both looked at since then */
    bt_text_clear(&words);
    both[1].moved.sign = k == 0 ? 1 : -1;
    both[1].moved.changed = k != 1;
    both[1].window.from = k == 2 ? report_drift_time(both[0].change.day) + 2 * BT_DAY : 0;
    report_drift_together(unit, &words);
    cr_expect(bt_text_empty(&words), "%d: %s", k, bt_text_get(&words));
  }
  bt_text_free(&words);
  bt_unit_study_free(unit);
}

Test(drift_failing, what_an_event_moved_beside_what_none_did) {
  bt_unit_study *unit = two_losses();
  bt_drift *both = unit->drift->drift;
  bt_text words = {0};
  report_drift_span(unit, &both[0], &words);
  must_say(bt_text_get(&words), "on: no event moved them.");
  unit->history.events[0].kind = BT_EVENT_METER_CHANGED;
  both[1].window = (bt_window){.event = 0, .from = unit->history.events[0].time};
  char day[REPORT_DATE_TEXT], said[120];
  (void)snprintf(said, sizeof said,
                 "on: no event moved them, though one of %s moved Fluence (meter changed).",
                 report_short_date(both[1].window.from, day));
  bt_text_clear(&words);
  report_drift_span(unit, &both[0], &words);
  must_say(bt_text_get(&words), said);
  both[1].loss = 0; /* an offset, say */
  bt_text_clear(&words);
  report_drift_span(unit, &both[0], &words);
  must_say(bt_text_get(&words), "on: no event moved them.");
  bt_text_free(&words);
  bt_unit_study_free(unit);
}

/* One far reading that the CUSUM carries on: the points after it alone add nothing. */
Test(drift_failing, one_reading_is_told_as_one) {
  bt_unit_study *unit = made_drift(false, &request);
  bt_study *of = unit->studies[0];
  size_t n = of->points.n, first = n - 4;
  bt_text words = {0};
  char day[REPORT_DATE_TEXT], said[120];
  bt_episode *episode = of->episodes;
  *episode = (bt_episode){
      .side = BT_LOW, .strength = BT_ALARM, .first = first, .last = n - 1, .signals = 4};
  of->cusum.k = 0.5;
  of->cusum.low[first - 1] = 0.49;
  of->judged[first - 1] = 1;
  for (size_t p = first; p < n; p++) {
    of->judged[p] = 1;
    of->rules[BT_LOW][p] = BT_CUSUM_SIGNAL | BT_ALARM_CUSUM | (p == first ? BT_WE1 : 0);
    of->cusum.low[p] = 12 - (double)(p - first);
  }
  cr_expect(report_is_one_reading(of, episode));
  report_episode_strengths(of, episode, &words);
  (void)snprintf(said, sizeof said,
                 " (4 alarms), all from the one reading of %s, which the CUSUM carries on",
                 report_short_date(of->points.at[first], day));
  cr_expect_str_eq(bt_text_get(&words), said, "%s", bt_text_get(&words));
  of->cusum.low[n - 1] = 12.1; /* later ones added to it */
  cr_expect_not(report_is_one_reading(of, episode));
  of->cusum.low[n - 1] = 11.5; /* after it had fallen, too */
  cr_expect_not(report_is_one_reading(of, episode));
  of->cusum.low[n - 1] = 9;
  of->cusum.low[first - 1] = 1.83; /* it held something of days before */
  cr_expect_not(report_is_one_reading(of, episode));
  of->judged[first - 1] = 0; /* which a day without judgement doesn't hide */
  of->judged[first - 2] = 1;
  of->cusum.low[first - 1] = 0;
  of->cusum.low[first - 2] = 1.83;
  cr_expect_not(report_is_one_reading(of, episode));
  of->cusum.low[first - 2] = 0;
  of->judged[n - 3] = 0; /* nor does one in between make it rise */
  of->cusum.low[n - 3] = 0;
  of->rules[BT_LOW][n - 3] = 0;
  cr_expect(report_is_one_reading(of, episode));
  episode->last = n + 3; /* beyond the points */
  cr_expect(report_is_one_reading(of, episode));
  episode->last = n - 1;
  of->rules[BT_LOW][n - 2] |= BT_WE2;
  cr_expect_not(report_is_one_reading(of, episode));
  of->rules[BT_LOW][n - 2] &= (bt_rules)~BT_WE2;
  of->rules[BT_LOW][first] &= (bt_rules)~BT_WE1;
  cr_expect_not(report_is_one_reading(of, episode));
  episode->last = first;
  of->rules[BT_LOW][first] |= BT_WE1;
  cr_expect_not(report_is_one_reading(of, episode), "there is no other to carry on to");
  bt_text_free(&words);
  bt_unit_study_free(unit);
}
