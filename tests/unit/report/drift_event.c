/* A step on the day of an event that the look for drift begins with stands in no change: the
 * answer, the page, `status` and the steps must tell it, and that a meter and the laser can't be
 * told apart there. */
#include "made_drift.h"
#include "report_drift.h"
#include "report_next.h"

#include <criterion/criterion.h>
#include <stdlib.h>
#include <string.h>

/* The window begins with an event of 24 Aug 2026 that took 2 % off. */
static bt_unit_study *stepped(bt_event_kind kind, bt_report_request *request) {
  bt_unit_study *unit = made_drift(false, request);
  bt_drift *drift = unit->drift->drift;
  unit->history.events[0].kind = kind;
  unit->history.events[0].time = report_drift_time(MADE_DRIFT_FROM + 89);
  drift->window = (bt_window){.event = 0, .from = unit->history.events[0].time};
  drift->events_n = 1;
  drift->events = fixture_filled(1, sizeof *drift->events);
  drift->events[0] = (bt_event_effect){.differs = true,
                                       .moved = true,
                                       .about = {.given = true,
                                                 .has_interval = true,
                                                 .before = {.n = 20},
                                                 .after = {.n = 12},
                                                 .difference = -0.02,
                                                 .low = -0.022,
                                                 .high = -0.018}};
  return unit;
}

Test(drift_event, a_step_with_the_meter_is_told_everywhere) {
  bt_report_request request;
  bt_unit_study *unit = stepped(BT_EVENT_METER_CHANGED, &request);
  const bt_drift *drift = unit->drift->drift;
  char *one = made_drift_printed(unit, true), *page = made_drift_page_text(unit, &request);
  must_say(one, "The level changed on the day of the meter change, 24 Aug 2026: by −2.00 % (−2.20 "
                "to −1.80), the mean of 12 checks after less that of 20 before.");
  must_say(one, "The log cannot tell whether the meter reads otherwise or the laser changed: ");
  must_say(one, "Is it drifting? No change past the threshold since the meter change; what came "
                "with that stands above.");
  must_say(one, "- Have the old meter read the laser beside the new one, on one day:");
  must_say(page, "The level changed on the day of the meter change, 24 Aug 2026");
  free(one);
  free(page);
  char *brief = made_drift_printed(unit, false);
  must_say(brief,
           "Pulse-energy ratio: −2.00 % (−2.20 to −1.80) with the meter change of 24 Aug 2026, "
           "which the log cannot tell from a change of the laser; no change past the "
           "threshold since.");
  free(brief);
  bt_text words = {0};
  report_drift_line(unit, drift, &words);
  must_say(bt_text_get(&words), "with the meter change of 24 Aug 2026");
  bt_text_clear(&words);
  report_meter_step(unit, drift->window.from, false, &words);
  must_say(bt_text_get(&words), "Technician: Pulse-energy ratio changed on the day of the meter "
                                "change, 24 Aug 2026: have the old meter read the laser");
  bt_text_clear(&words);
  report_meter_step(unit, drift->window.from + BT_DAY, false, &words);
  cr_expect(bt_text_empty(&words), "it is asked for a while, not for ever");
  bt_text_free(&words);
  bt_unit_study_free(unit);
}

/* Another event of the meter's day may have moved it as well, and comes first in the log. */
Test(drift_event, what_else_was_done_that_day_is_named) {
  bt_report_request request;
  bt_unit_study *unit = stepped(BT_EVENT_SERVICE, &request);
  bt_drift *drift = unit->drift->drift;
  bt_event_effect service = drift->events[0];
  free(drift->events);
  drift->events_n = 2;
  drift->events = fixture_filled(2, sizeof *drift->events);
  drift->events[0] = drift->events[1] = service;
  drift->events[1].event = 1;
  unit->history.events[1].kind = BT_EVENT_METER_CHANGED;
  unit->history.events[1].time = unit->history.events[0].time + 3600;
  char *one = made_drift_printed(unit, true);
  must_say(one, "On that day as well: service visit. The log cannot tell whether the meter");
  free(one);
  bt_unit_study_free(unit);
}

/* Of an event that a level may be set by the size stands first as well; nothing of a meter. */
Test(drift_event, a_step_with_another_event) {
  bt_report_request request;
  bt_unit_study *unit = stepped(BT_EVENT_SERVICE, &request);
  bt_text words = {0};
  char *one = made_drift_printed(unit, true);
  must_say(one, "The level changed on the day of an event, 24 Aug 2026 (service visit): by −2.00 % "
                "after minus before (−2.20 to −1.80). Drift is looked for since then.");
  must_say(one, "Is it drifting? No change past the threshold since that event.");
  cr_expect_null(strstr(one, "old meter"), "%s", one);
  report_meter_step(unit, 0, false, &words);
  cr_expect(bt_text_empty(&words));
  free(one);
  unit->drift->drift->events[0].about.given = false;
  one = made_drift_printed(unit, true);
  cr_expect_null(strstr(one, "The level changed"), "%s", one);
  free(one);
  bt_text_free(&words);
  bt_unit_study_free(unit);
}

/* Its limits are of the old meter: what to do about alarms by them is said where they are told. */
Test(drift_event, limits_of_the_old_meter_want_a_new_baseline) {
  bt_report_request request;
  bt_unit_study *unit = stepped(BT_EVENT_METER_CHANGED, &request);
  bt_study *of = unit->studies[0];
  bt_text words = {0};
  of->episodes_n = 0;
  memset(of->strength, BT_QUIET, of->points.n);
  report_meter_step(unit, 0, false, &words);
  cr_expect_null(strstr(bt_text_get(&words), "baseline"), "%s", bt_text_get(&words));
  of->episodes_n = 1;
  of->episodes[0] = (bt_episode){.side = BT_HIGH,
                                 .strength = BT_ALARM,
                                 .disposition = BT_NONE,
                                 .first = of->points.n - 2,
                                 .last = of->points.n - 1,
                                 .signals = 2};
  for (size_t p = of->points.n - 2; p < of->points.n; p++) {
    of->rules[BT_HIGH][p] = BT_WE1 | BT_ALARM_LIMIT;
    of->strength[p] = BT_ALARM;
  }
  bt_text_clear(&words);
  report_meter_step(unit, 0, false, &words);
  must_say(bt_text_get(&words), "alarms on either side may be of the meter alone. If it is the "
                                "meter, freeze a new baseline from that day on");
  must_say(bt_text_get(&words),
           "“beamtally baseline --unit 'Suite North' --characteristic energy_ratio --from "
           "2026-08-24 --to DATE --by NAME --why TEXT”.");
  bt_text_clear(&words);
  report_meter_step(unit, 0, true, &words);
  must_say(bt_text_get(&words), "If it is the meter: a new baseline from that day on.");
  bt_event *event = &unit->history.events[unit->drift->drift->events[0].event];
  bt_time day = bt_day_of(event->time) * BT_DAY;
  of->points.at[bt_series_from(&of->points, day)] = day + 450 * 60; /* by the old meter */
  event->time = unit->drift->drift->window.from = day + BT_DAY / 2;
  bt_text_clear(&words);
  report_meter_step(unit, 0, true, &words);
  must_say(bt_text_get(&words), "If it is the meter: a new baseline from the day after on.");
  bt_text_clear(&words);
  report_meter_step(unit, 0, false, &words);
  must_say(bt_text_get(&words), "meter, freeze a new baseline from the day after on, once");
  must_say(bt_text_get(&words), "--from 2026-08-25 --to DATE");
  bt_text_free(&words);
  char *one = made_drift_printed(unit, true);
  must_say(one, "- If it is the meter, freeze a new baseline from the change on");
  free(one);
  bt_unit_study_free(unit);
}

/* A line that is told up to the event, and was taken off what it made, ended there. */
Test(drift_event, a_line_that_it_ended_does_not_go_on) {
  for (int ended = 0; ended < 2; ended++) {
    bt_report_request request;
    bt_unit_study *unit = stepped(BT_EVENT_SERVICE, &request);
    bt_event_effect *effect = unit->drift->drift->events;
    effect->beyond = effect->about;
    effect->moved = ended;
    char *one = made_drift_printed(unit, true);
    cr_expect_eq(
        strstr(one, "; the line fitted up to it, carried on over it, taken off: −2.00 %") != NULL,
        ended, "%s", one);
    cr_expect_eq(strstr(one, "(while the line goes on, this counts") != NULL, !ended);
    free(one);
    bt_unit_study_free(unit);
  }
}

/* An interval that leaves out 0 beside "no difference" would contradict it: what lies between told
 * and not told is said to. */
Test(drift_event, what_a_single_look_does_not_settle_is_said_so) {
  static const struct {
    bool differs;
    double low, high;
    const char *said;
  } looks[] = {{true, -0.022, -0.018, ": lower after it; the mean"},
               {false, -0.022, -0.018, ": perhaps lower after it, which a single look does not"},
               {false, -0.022, +0.018, ": no difference told from chance; the mean"}};
  bt_report_request request;
  bt_unit_study *unit = stepped(BT_EVENT_SERVICE, &request);
  bt_event_effect *effect = &unit->drift->drift->events[0];
  for (size_t i = 0; i < sizeof looks / sizeof *looks; i++) {
    effect->differs = looks[i].differs;
    effect->about.low = looks[i].low;
    effect->about.high = looks[i].high;
    char *one = made_drift_printed(unit, true);
    must_say(one, looks[i].said);
    free(one);
  }
  bt_unit_study_free(unit);
}

Test(drift_event, what_is_not_looked_at_is_counted) {
  bt_report_request request;
  bt_unit_study *unit = stepped(BT_EVENT_SERVICE, &request);
  bt_drift *drift = unit->drift->drift;
  char *none = made_drift_printed(unit, true);
  cr_expect_null(strstr(none, "Left out of the chart"));
  free(none);
  drift->looked_from = drift->window.from;
  drift->misread = 1;
  drift->of_no_age = 2;
  drift->off_baseline = 3;
  char *one = made_drift_printed(unit, true), *page = made_drift_page_text(unit, &request);
  static const char said[] =
      "Left out of the chart’s points from 24 Aug 2026 on: 1 outside tolerance, which the retest did "
      "not confirm; 2 whose gas age is unknown, or over a day older than any of the baseline; 3 that "
      "the screening of a baseline left out.";
  must_say(one, said);
  must_say(page, said);
  free(one);
  free(page);
  bt_unit_study_free(unit);
}
