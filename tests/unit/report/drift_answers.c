/* The answers on a drift say what the data support and no more: gas or not, a step or a drift,
 * causes without a change, readings that never differ, no tolerance. */
#include "fixture.h"
#include "made_drift.h"
#include "report_drift.h"

#include <criterion/criterion.h>
#include <stdlib.h>
#include <string.h>

static void name_only(bt_drift *drift, bt_cause_kind kind, uint32_t evidence) {
  drift->causes_n = 1;
  drift->causes[0] = (bt_cause){.kind = kind, .strength = BT_CAUSE_MODERATE, .evidence = evidence};
}

/* The question's own answer stands before the numbers, and claims no more than the causes. */
Test(drift_answers, gas_or_not_is_answered_by_what_is_named) {
  static const struct {
    bt_cause_kind kind;
    uint32_t evidence;
    const char *words, *not ;
  } cases[] = {
      {BT_CAUSE_NOT_RESTORED_BY_REFILL, BT_FACT_LEVELS_FALL | BT_FACT_LOSS_UNCHANGED,
       "Likely not the ageing of the gas in its fills; the gas supply is not ruled out: refills do not "
       "bring the loss back, and inside the fills no greater loss than in the baseline shows.",
       "likely: the fills"},
      {BT_CAUSE_NOT_RESTORED_BY_REFILL, BT_FACT_LEVELS_FALL,
       "Gas: no sign that the fills age faster, but the gas supply is not ruled out: refills do not bring the loss back. ",
       "no greater loss"},
      {BT_CAUSE_GAS_AGEING, BT_FACT_LOSS_STEEPER | BT_FACT_LEVELS_HOLD,
       "Gas: yes, likely: the fills lose more than in the baseline, and refills bring it back. ",
       "no sign"},
      {BT_CAUSE_GAS_AGEING, BT_FACT_LOSS_STEEPER,
       "Gas: yes, likely: the fills lose more than in the baseline. ", "bring it back"},
      {BT_CAUSE_METER, BT_FACT_ENERGY_STEPS | BT_FACT_METER_THEN,
       "The log cannot tell whether it is the gas: what moved with it speaks neither for nor",
       "likely: the fills"},
  };
  for (size_t k = 0; k < sizeof cases / sizeof *cases; k++) {
    bt_report_request request;
    bt_unit_study *unit = made_drift(true, &request);
    name_only(unit->drift->drift, cases[k].kind, cases[k].evidence);
    char *text = made_drift_printed(unit, true), *page = made_drift_page_text(unit, &request);
    must_say(text, cases[k].words);
    cr_expect_lt(strstr(text, cases[k].words), strstr(text, "Is it drifting?"), "it stands first");
    must_say(text, "The gas fills Inside a fill");
    cr_expect_null(strstr(text, cases[k].not ), "%zu: %s", k, text);
    char opening[13] = "";
    memcpy(opening, cases[k].words, sizeof opening - 1);
    must_say(page, opening);
    free(page);
    free(text);
    bt_unit_study_free(unit);
  }
}

Test(drift_answers, gas_or_not_of_both_of_a_gain_and_behind_the_energy) {
  bt_report_request request;
  bt_unit_study *unit = made_drift(true, &request);
  bt_drift *drift = unit->drift->drift;
  drift->causes[1] = (bt_cause){.kind = BT_CAUSE_GAS_AGEING, .evidence = BT_FACT_LOSS_STEEPER};
  char *text = made_drift_printed(unit, true);
  must_say(text, "Gas: in part, likely: the fills lose more");
  free(text);
  drift->causes_n = 0;
  drift->moved.sign = 1;
  text = made_drift_printed(unit, true);
  must_say(text, "Gas: no sign: it is no loss, which is what ageing gas would make.");
  free(text);
  drift->moved.sign = -1;
  drift->characteristic = BT_FLUENCE;
  unit->drift->evidence.energy = (bt_moved){.looked_at = true};
  text = made_drift_printed(unit, true);
  must_say(text, "Gas: no sign: the energy, which the gas acts on first, shows no change.");
  free(text);
  drift->characteristic = BT_HIGH_VOLTAGE;
  drift->loss = drift->moved.sign = 1;
  unit->drift->evidence.demand = (bt_moved){.looked_at = true, .changed = true, .sign = 1};
  text = made_drift_printed(unit, true);
  must_say(text, "Gas: no sign: the demand climbs, and the voltage with it");
  free(text);
  bt_unit_study_free(unit);
}

/* Over all findings: one plain answer, none that a finding speaks against, and what the lasting
 * loss may be of is named. */
Test(drift_answers, gas_or_not_is_plain_for_every_finding) {
  static const char *const answers[] = {
      "Gas: no sign: there is no loss past the threshold",
      "Gas: in part, likely:",
      "Gas: yes, likely:",
      "Gas: no sign that the fills age faster, but the gas supply is not ruled out: ",
      "Gas: no sign: it is no loss,",
      "The log cannot tell whether it is the gas: too few gas fills are known",
      "The log cannot tell whether it is the gas: what moved",
      "Likely not the ageing of the gas in its fills; the gas supply is not ruled out: "};
  enum { NOTHING, BOTH, GAS, NOT, GAIN, FEW, UNTOLD, NOT_IN_FILLS, ANSWERS };
  bt_report_request request;
  bt_unit_study *unit = made_drift(true, &request);
  bt_drift *drift = unit->drift->drift;
  for (unsigned bits = 0; bits < 128; bits++) {
    bool gas = (bits & 1) != 0, rest = (bits & 2) != 0, loss = (bits & 4) != 0;
    bt_text text = {0};
    drift->moved.changed = (bits & 8) != 0;
    drift->fills_tell = (bits & 16) != 0;
    drift->moved.sign = loss ? -1 : 1;
    drift->causes_n = 0;
    if (gas && loss) /* causes of the gas are named of losses alone */
      drift->causes[drift->causes_n++] = (bt_cause){
          .kind = BT_CAUSE_GAS_AGEING,
          .evidence = BT_FACT_LOSS_STEEPER | ((bits & 32) != 0 ? BT_FACT_LEVELS_HOLD : 0U)};
    if (rest && loss)
      drift->causes[drift->causes_n++] = (bt_cause){
          .kind = BT_CAUSE_NOT_RESTORED_BY_REFILL,
          .evidence = BT_FACT_LEVELS_FALL | ((bits & 64) != 0 ? BT_FACT_LOSS_UNCHANGED : 0U)};
    report_drift_gas(unit, drift, &text);
    bool unchanged = (bits & 64) != 0; /* the fills' loss: their ageing is then spoken of first */
    int wanted = !drift->moved.changed ? NOTHING
                 : !drift->fills_tell  ? FEW
                 : !loss               ? GAIN
                 : gas && rest         ? BOTH
                 : gas                 ? GAS
                 : rest                ? (unchanged ? NOT_IN_FILLS : NOT)
                                       : UNTOLD;
    cr_expect_eq(strncmp(bt_text_get(&text), answers[wanted], strlen(answers[wanted])), 0, "%u: %s",
                 bits, bt_text_get(&text));
    for (int a = 0; a < ANSWERS; a++)
      cr_expect(a == wanted || strstr(bt_text_get(&text), answers[a]) == NULL, "%u: %s", bits,
                bt_text_get(&text));
    cr_expect_eq(strstr(bt_text_get(&text), "he gas supply is not ruled out") != NULL,
                 wanted == NOT || wanted == NOT_IN_FILLS, "%u: %s", bits, bt_text_get(&text));
    bt_text_free(&text);
  }
  bt_unit_study_free(unit);
}

/* What is uncertain has its interval. */
Test(drift_answers, a_fill_s_days_and_the_baseline_s_loss_have_intervals) {
  bt_report_request request;
  bt_unit_study *unit = made_drift(true, &request);
  bt_drift *drift = unit->drift->drift;
  drift->fill_days = (bt_fill_days){
      .use = BT_FILL_GIVEN, .limit = 0.96, .days = 6.2, .has_high = true, .low = 5.2, .high = 27};
  unit->fills.interval_days = 3.04;
  bt_baseline *baseline = &drift->study->segments[drift->study->segments_n - 1].baseline;
  baseline->oldest_age_days = 4;
  char *text = made_drift_printed(unit, true);
  must_say(text, "of the baseline it went by −0.400 % a day (−0.450 to −0.350)");
  must_say(text, "about 6.2 days before its mean meets 0.96 (95 %: 5.2 to 27), single checks "
                 "earlier; in this log a refill comes about every 3 days. That is no reason to "
                 "refill later.");
  baseline->oldest_age_days = 3; /* no fill was half as long: no number is made of that */
  free(text);
  text = made_drift_printed(unit, true);
  cr_expect_null(strstr(text, "would last"), "%s", text);
  baseline->oldest_age_days = 4;
  drift->has_alarm = true; /* then it would read as leave to wait */
  free(text);
  text = made_drift_printed(unit, true);
  cr_expect_null(strstr(text, "would last"), "%s", text);
  drift->has_alarm = false;
  free(text);
  drift->fill_days.has_high = false;
  text = made_drift_printed(unit, true);
  must_say(text, "meets 0.96 (95 %: with no finite end)");
  cr_expect_null(strstr(text, "read off the pulse counter"));
  free(text);
  unit->fills.from_counter = true;
  text = made_drift_printed(unit, true);
  must_say(text, "No refill is recorded: they are read off the pulse counter");
  free(text);
  bt_unit_study_free(unit);
}

/* A step that fits hardly better than a drift: the forecast is of the drift, and nothing says that
 * the step "says nothing of what comes". */
Test(drift_answers, step_or_drift_is_left_open_where_both_fit) {
  bt_report_request request;
  bt_unit_study *unit = made_drift(true, &request);
  bt_drift *drift = unit->drift->drift;
  drift->moved.kind = drift->change.kind = BT_CHANGE_STEP;
  drift->change.step = (bt_step){.given = true, .before = 1, .after = 0.99};
  drift->forecast.step_possible = true;
  char *text = made_drift_printed(unit, true);
  must_say(text, "It is lower, in a step or by a slow drift: these checks do not tell which.");
  must_say(text, "A slow drift explains the checks about as well, and a forecast is of that.");
  cr_expect_null(strstr(text, "nothing of what comes"), "%s", text);
  cr_expect_null(strstr(text, "A step explains"), "%s", text);
  free(text);
  drift->forecast.use = BT_FORECAST_STEP;
  drift->forecast.step_possible = false;
  text = made_drift_printed(unit, true);
  must_say(text, "It is lower, in a step. ");
  must_say(text, "in the step, which says nothing of what comes.");
  static const char why[] =
      "No forecast: a step does not go on, so that there is no day to name. "
      "What counts is the level that it left, held against the tolerance, and "
      "whether the next checks keep to it.";
  must_say(text, why);
  free(text);
  drift->forecast.use = BT_FORECAST_NO_DRIFT;
  text = made_drift_printed(unit, true);
  char *page = made_drift_page_text(unit, &request);
  must_say(text, why);
  must_say(page, "No forecast: a step does not go on");
  free(page);
  free(text);
  drift->forecast.use = BT_FORECAST_STEP;
  drift->moved.levelled = drift->change.levelled = true;
  text = made_drift_printed(unit, true);
  must_say(text, "It is lower, by a slope that has ended. ");
  must_say(text, " or more in all, which says nothing of what comes.");
  must_say(text, "No forecast: a slope that has ended does not go on, so that there is no "
                 "day to name.");
  cr_expect_null(strstr(text, "lower, in a step"), "%s", text);
  free(text);
  bt_unit_study_free(unit);
}

/* A cause without a change of its own (the meter moved it) is not hidden where all are asked for.
 */
Test(drift_answers, a_cause_without_a_change_is_told) {
  bt_report_request request;
  bt_unit_study *unit = made_drift(false, &request);
  bt_drift *drift = unit->drift->drift;
  drift->window = (bt_window){.event = 0, .from = report_drift_time(MADE_DRIFT_FROM)};
  char *text = made_drift_printed(unit, false);
  must_say(text, "no change past the threshold since 27 May 2026, when an event moved it.");
  must_say(text, "may be there all the same");
  cr_expect_null(strstr(text, "What the data support"));
  free(text);
  name_only(drift, BT_CAUSE_METER, BT_FACT_METER_DIFFERS);
  text = made_drift_printed(unit, false);
  must_say(text,
           "moderate The energy meter. for: energy differs before and after the meter change");
  must_say(text, "Have the energy meter compared with another one");
  free(text);
  bt_text line = {0};
  report_drift_line(unit, drift, &line);
  must_say(bt_text_get(&line), "when an event moved it; what the data support: “The energy meter”");
  bt_text_free(&line);
  bt_unit_study_free(unit);
}

Test(drift_answers, a_suspected_refill_is_pointed_out_where_all_are_asked_for) {
  bt_report_request request;
  bt_unit_study *unit = made_drift(false, &request);
  bt_drift *drift = unit->drift->drift;
  drift->suspected_n = 1;
  drift->suspected = fixture_filled(1, sizeof *drift->suspected);
  drift->suspected[0].first = 10;
  char *text = made_drift_printed(unit, false);
  must_say(text, "threshold. 1 jump looks like a refill that nobody recorded, the last before the "
                 "check of 6 Jun 2026");
  free(text);
  bt_unit_study_free(unit);
}

/* A set target that never differs isn't "too coarse". */
Test(drift_answers, readings_that_never_differ) {
  bt_report_request request;
  bt_unit_study *unit = made_drift(false, &request);
  bt_drift *drift = unit->drift->drift;
  bt_segment *now = &unit->studies[0]->segments[unit->studies[0]->segments_n - 1];
  drift->use = BT_DRIFT_COARSE;
  now->resolution.useless = true;
  for (int alike = 0; alike < 2; alike++) {
    now->resolution.step = alike ? 0 : 0.1;
    char *text = made_drift_printed(unit, true);
    cr_expect_eq(strstr(text, "no two readings of its baseline differ") != NULL, alike, "%s", text);
    cr_expect_eq(strstr(text, "too coarse") != NULL, !alike, "%s", text);
    cr_expect_eq(strstr(text, "meant to be the same each time") != NULL, alike, "%s", text);
    free(text);
  }
  bt_unit_study_free(unit);
}

/* Without a tolerance no check can be called good. */
Test(drift_answers, no_last_good_check_without_a_tolerance) {
  bt_report_request request;
  bt_unit_study *unit = made_drift(true, &request);
  bt_drift *drift = unit->drift->drift;
  char *text = made_drift_printed(unit, true);
  must_say(text, "since the last good one before the change");
  must_say(text, "Last good check before the change: ");
  free(text);
  drift->tolerance = NULL;
  text = made_drift_printed(unit, true);
  must_say(text, "since the last one before the change");
  must_say(text, "(no tolerance is entered, so that no check can be called good)");
  cr_expect_null(strstr(text, "ast good"), "%s", text);
  free(text);
  bt_unit_study_free(unit);
}

/* The other laser is named, and the meter asked about though it is not the first cause. */
Test(drift_answers, lasers_of_one_meter_are_named) {
  bt_report_request request;
  bt_unit_study *unit = made_drift(true, &request);
  unit->drift->meters = fixture_filled(1, sizeof *unit->drift->meters);
  unit->drift->meters[unit->drift->meters_n++] = (bt_meter_unit){.unit = bt_copy("Suite West"),
                                                                 .meter = bt_copy("M7"),
                                                                 .from = MADE_DRIFT_FROM,
                                                                 .to = MADE_DRIFT_FROM + 4};
  char *text = made_drift_printed(unit, true);
  must_say(text, "Suite West, meter M7: a day between 27 May 2026 and 31 May 2026");
  must_say(text, "Have the energy meter compared");
  must_say(text, "Show this to the manufacturer's engineer");
  free(text);
  bt_unit_study_free(unit);
}

/* A cleaning helped for a while: the first loss is told as well as the one that came after. */
Test(drift_answers, a_loss_that_goes_on_after_a_cleaning_is_told_with_the_one_before) {
  bt_report_request request;
  bt_unit_study *unit = made_drift(true, &request);
  bt_drift *drift = unit->drift->drift;
  unit->history.events[0].kind = BT_EVENT_OPTICS_CLEANED;
  unit->history.events[0].time = report_drift_time(MADE_DRIFT_FROM - 30);
  drift->window = (bt_window){.event = 0, .from = unit->history.events[0].time};
  drift->before = (bt_drift_before){
      .changed = true, .until = drift->window.from, .change = drift->change, .moved = drift->moved};
  drift->before.change.from -= 60;
  drift->before.change.to -= 60;
  drift->change.open = true;
  drift->events_n = 1;
  drift->events = fixture_filled(1, sizeof *drift->events);
  drift->events[0] = (bt_event_effect){
      .differs = true, .about = {.given = true, .difference = 0.009, .low = 0.007, .high = 0.011}};
  char *one = made_drift_printed(unit, true);
  bt_text brief = {0};
  report_drift_short(unit, drift, &brief);
  must_say(one, "(optics cleaned) it was falling since a day between 27 Apr 2026 and 17 May 2026");
  must_say(one, "What was named the day before, and the days it affects: “beamtally drift --unit ");
  must_say(one, "A day between 26 Jun 2026 and 16 Jul 2026, or earlier");
  must_say(bt_text_get(&brief), "a day between 26 Jun 2026 and 16 Jul 2026, or earlier");
  must_say(bt_text_get(&brief),
           " from the centre of its baseline; before, until 27 Apr 2026 (optics "
           "cleaned), it was falling since a day between 27 Apr 2026 and 17 May");
  bt_text_clear(&brief);
  report_drift_short_about(unit, drift, &brief);
  must_say(bt_text_get(&brief), "(optics cleaned), it was falling since about ");
  drift->has_alarm = drift->has_notice = true;
  drift->alarm_at = drift->notice_at = drift->before.until - BT_DAY;
  bt_text_clear(&brief);
  report_drift_short(unit, drift, &brief);
  must_say(bt_text_get(&brief), "; its alarm is open since then, 26 Apr 2026");
  bt_text_clear(&brief);
  report_drift_first_signals(drift, &brief);
  must_say(bt_text_get(&brief),
           "The alarm came with the change until 27 Apr 2026, and is open since.");
  bt_text_free(&brief);
  free(one);
  bt_unit_study_free(unit);
}

/* Another event moved the level between: the sentence says which ended the change, and that nothing
 * is told between the two. */
Test(drift_answers, a_change_before_an_event_that_was_not_the_last) {
  bt_report_request request;
  bt_unit_study *unit = made_drift(false, &request);
  bt_drift *drift = unit->drift->drift;
  cr_assert_gt(unit->history.events_n, 1);
  bt_event *first = &unit->history.events[0], *last = &unit->history.events[1];
  first->kind = BT_EVENT_OPTICS_CLEANED;
  first->time = report_drift_time(MADE_DRIFT_FROM);
  last->kind = BT_EVENT_SERVICE;
  last->time = report_drift_time(MADE_DRIFT_FROM + 30);
  drift->window = (bt_window){.event = 1, .from = last->time};
  drift->before = (bt_drift_before){.changed = true,
                                    .until = first->time,
                                    .change = {.from = 20453, .to = 20552},
                                    .moved = {.sign = -1}};
  drift->look.n = 12;
  bt_text text = {0};
  report_drift_before(unit, drift, &text);
  must_say(bt_text_get(&text), "Until the event of 27 May 2026 (optics cleaned) it was ");
  must_say(bt_text_get(&text),
           " No change is told from chance between it and that of 26 Jun 2026 "
           "(service visit), which moved the level as well. Since then 12 values");
  must_say(bt_text_get(&text), "--until 2026-05-26”.");
  bt_text_clear(&text);
  report_drift_short(unit, drift, &text);
  must_say(bt_text_get(&text), "; before that, until 27 May 2026 (optics cleaned), it was ");
  bt_text_free(&text);
  bt_unit_study_free(unit);
}

/* A voltage loses nothing: ageing gas makes it climb. */
Test(drift_answers, a_voltage_that_climbs_is_called_no_loss) {
  bt_report_request request;
  bt_unit_study *unit = made_drift(true, &request);
  bt_drift *drift = unit->drift->drift;
  drift->characteristic = BT_HIGH_VOLTAGE;
  drift->loss = drift->moved.sign = 1;
  name_only(drift, BT_CAUSE_NOT_RESTORED_BY_REFILL, BT_FACT_LEVELS_FALL);
  char *text = made_drift_printed(unit, true);
  must_say(text, "the gas supply is not ruled out: refills do not bring the climb down.");
  must_say(text, "A climb that refills do not bring down: optics, cavity, gas supply or meter");
  cr_expect_null(strstr(text, "loss"), "%s", text);
  free(text);
  drift->causes[0].kind = BT_CAUSE_GAS_AGEING;
  drift->causes[0].evidence = BT_FACT_LEVELS_HOLD;
  text = made_drift_printed(unit, true);
  must_say(text, "Gas: yes, likely: it climbs more inside the fills than in the baseline, and "
                 "refills bring it down.");
  free(text);
  bt_unit_study_free(unit);
}

/* A hundred dates in a block are read by nobody; a few are held against the surgery days. */
Test(drift_answers, many_days_are_told_by_the_month) {
  bt_time day[14];
  for (int d = 0; d < 14; d++) /* 26 Jul 2026 on, every second; the last alone in September */
    day[d] = report_drift_time(d < 13 ? 20660 + 2 * d : 20700);
  bt_text many = {0}, few = {0};
  report_drift_days_by_month(day, 14, &many);
  report_drift_days_by_month(day, 4, &few);
  cr_expect_str_eq(bt_text_get(&many), "3 from 26 to 30 Jul 2026, 10 from 1 to 19 Aug 2026, "
                                       "4 Sep 2026");
  cr_expect_str_eq(bt_text_get(&few), "26, 28, 30 Jul 2026, 1 Aug 2026");
  bt_text_free(&many);
  bt_text_free(&few);
}

/* After a repair nothing changes: what it brought back is said all the same, with its days. */
Test(drift_answers, what_an_event_brought_back) {
  bt_report_request request;
  bt_unit_study *unit = made_drift(true, &request);
  bt_drift *drift = unit->drift->drift;
  unit->history.events[0].kind = BT_EVENT_OPTICS_CLEANED;
  unit->history.events[0].time = report_drift_time(MADE_DRIFT_FROM + 89);
  drift->window = (bt_window){.event = 0, .from = unit->history.events[0].time};
  drift->before = (bt_drift_before){
      .changed = true, .until = drift->window.from, .change = drift->change, .moved = drift->moved};
  drift->moved.changed = false;
  drift->causes_n = 0;
  drift->forecast.use = BT_FORECAST_NO_DRIFT;
  drift->events_n = 1;
  drift->events = fixture_filled(1, sizeof *drift->events);
  drift->events[0] = (bt_event_effect){
      .differs = true, .about = {.given = true, .difference = 0.009, .low = 0.007, .high = 0.011}};
  drift->look_back = (bt_look_back){.last_good = 0, .days = 1, .event = 0, .restored = 1};
  drift->look_back_day = fixture_filled(1, sizeof *drift->look_back_day);
  drift->look.n = 12;
  char *all = made_drift_printed(unit, false), *one = made_drift_printed(unit, true);
  must_say(one, "Since then 12 values, and no change past the threshold.");
  const char *was = strstr(one, "Until the event of 24 Aug 2026");
  cr_assert_not_null(was);
  cr_expect_lt(was, strstr(one, "Is it drifting?"), "it stands first");
  must_say(all, "no change past the threshold since 24 Aug 2026, when an event moved it, +0.90 % "
                "after minus before (+0.70 to +1.10); before that "
                "it was falling since a day between 26 Jun 2026 and 16 Jul 2026.");
  must_say(one,
           "Until the event of 24 Aug 2026 (optics cleaned) it was falling since a day between "
           "26 Jun 2026 and 16 Jul 2026 (likeliest 6 Jul 2026). After it the mean lies +0.9 % "
           "from that before: the cleaning may have helped; another reason on those days is not "
           "ruled out.");
  must_say(
      one,
      "What was named the day before: “beamtally drift --unit 'Suite North' --characteristic energy_ratio "
      "--until 2026-08-23”.");
  must_say(one, "whether the days of the change are affected");
  must_say(one, "Last good check before the change: ");
  must_say(one, "after what brought it back.");
  char *page = made_drift_page_text(unit, &request);
  must_say(page, "Until the event of 24 Aug 2026 (optics cleaned) it was");
  free(page);
  cr_expect_null(strstr(one, "Since when?"), "%s", one);
  free(one);
  drift->before.changed = false;
  drift->before.went_on = true;
  drift->past_n = 1;
  drift->past = fixture_filled(1, sizeof *drift->past);
  drift->past[0] = (bt_past_forecast){
      .until = report_drift_time(MADE_DRIFT_FROM + 97),
      .forecast = {.use = BT_FORECAST_GIVEN},
      .result = BT_PAST_OPEN,
  };
  one = made_drift_printed(unit, true);
  must_say(one, "Until the event of 24 Aug 2026 (optics cleaned) it was falling since a day");
  must_say(one, "No change past the threshold since that event.");
  must_say(one, "No forecast without a change. That of 31 Aug 2026, still open, rests on checks "
                "before the event of 24 Aug 2026 and no longer holds.");
  must_say(one, ": open, but it no longer holds, as nothing has changed in the days looked at now");
  free(all);
  free(one);
  bt_unit_study_free(unit);
}

/* Which part moved: energy and plate side by side, the plate with its date and size. */
Test(drift_answers, the_plate_beside_the_energy) {
  bt_report_request request;
  bt_unit_study *unit = made_drift(false, &request);
  char *text = made_drift_printed(unit, true);
  cr_expect_null(strstr(text, "Which part moved"), "%s", text);
  free(text);
  unit->drift->evidence.plate = (bt_moved){.looked_at = true};
  unit->drift->plate = (bt_change){.n = 90,
                                   .kind = BT_CHANGE_STEP,
                                   .from = MADE_DRIFT_FROM + 30,
                                   .to = MADE_DRIFT_FROM + 33,
                                   .step = {.given = true, .before = 0.4, .after = 0.39}};
  text = made_drift_printed(unit, true);
  must_say(text,
           "Which part moved Pulse-energy ratio: no change past the threshold Depth a pulse in "
           "the test plate: no change past the threshold");
  free(text);
  unit->drift->evidence.plate =
      (bt_moved){.looked_at = true, .changed = true, .kind = BT_CHANGE_STEP, .sign = -1};
  unit->drift->plate_per_cent = -2.5;
  text = made_drift_printed(unit, true);
  must_say(text,
           "test plate: lower, in a step, since a day between 26 Jun 2026 and 29 Jun 2026, by "
           "−2.5 %");
  free(text);
  text = made_drift_page_text(unit, &request);
  must_say(text, "test plate: lower, in a step, since a day between 26 Jun 2026");
  free(text);
  bt_unit_study_free(unit);
}

/* Readings that get better as the gas ages, where a log's rows note refills: is the map right? */
Test(drift_answers, refills_on_the_wrong_side_are_asked_about) {
  for (int asked = 0; asked < 2; asked++) {
    bt_report_request request;
    bt_unit_study *unit = made_drift(true, &request);
    bt_drift *drift = unit->drift->drift;
    bt_text screen = {0};
    bt_error error;
    drift->slope = (bt_slope){.df = 20, .per_day = 0.004, .t = 5};
    drift->refill_doubt = (bt_refill_doubt){.wrong_side = asked != 0, .slope = drift->slope};
    char *text = made_drift_printed(unit, true);
    cr_assert_eq(bt_report_status(unit, false, &screen, &error), BT_OK);
    cr_expect_eq(strstr(text, "is “before” or “after” of the refills right") != NULL, asked, "%s",
                 text);
    cr_expect_eq(strstr(bt_text_get(&screen), "rises with the age of the gas (") != NULL, asked,
                 "%s", bt_text_get(&screen));
    cr_expect_eq(strstr(text, "5.0 standard errors") != NULL, asked, "%s", text);
    bt_text_free(&screen);
    free(text);
    bt_unit_study_free(unit);
  }
}

/* What `status` says of drift on one line, blanks and line breaks as one blank. Owned. */
static char *status_of(const bt_unit_study *unit) {
  bt_text screen = {0}, flat = {0};
  bt_error error;
  cr_assert_eq(bt_report_status(unit, false, &screen, &error), BT_OK);
  on_one_line(bt_text_get(&screen), &flat);
  bt_text_free(&screen);
  return bt_text_take(&flat);
}

/* That none was found, that none was looked for, and that the forecast's day has come. */
Test(drift_answers, status_says_what_the_look_for_drift_gave) {
  bt_report_request request;
  bt_unit_study *unit = made_drift(false, &request);
  char *text = status_of(unit);
  must_say(text, "Drift looked for in 1 characteristic: none past the threshold");
  free(text);
  bt_unit_drift *all = unit->drift;
  unit->drift = NULL;
  text = status_of(unit);
  must_say(text, "Drift not looked for here, as no chart signals; “beamtally drift --unit");
  free(text);
  unit->drift = all;
  bt_unit_study_free(unit);

  unit = made_drift(true, &request);
  bt_drift *drift = unit->drift->drift;
  unit->last_check = unit->until - 3 * BT_DAY; /* one of today is not asked for again */
  drift->forecast.fail_5 = (double)(unit->until / BT_DAY) - 1;
  drift->forecast.fail_50 = (double)(unit->until / BT_DAY) + 9;
  text = status_of(unit);
  cr_expect_null(strstr(text, "passed: measure now"), "%s", text);
  free(text);
  drift->forecast.fail_5 -= 1;
  text = status_of(unit);
  must_say(text, "; the first of them has passed: measure now");
  free(text);
  drift->forecast.fail_50 -= 20;
  text = status_of(unit);
  must_say(text, "; both dates have passed: measure now");
  free(text);
  drift->causes_n = 0;
  drift->forecast.use = BT_FORECAST_STEP;
  text = status_of(unit);
  must_say(text, "Drift Pulse-energy ratio: falling since a day between");
  free(text);
  bt_unit_study_free(unit);
}

/* A forecast by the line is no news of values that have left it. */
Test(drift_answers, newest_values_off_the_line_are_told) {
  bt_report_request request;
  bt_unit_study *unit = made_drift(true, &request);
  bt_drift *drift = unit->drift->drift;
  drift->newest = (bt_newest){.given = true,
                              .n = 5,
                              .difference = -0.012,
                              .low = -0.015,
                              .high = -0.009,
                              .p = 0.00001,
                              .differs = true};
  static const char told[] =
      "The newest 5 values lie off that line by −1.20 % on average (−1.50 to "
      "−0.90), as chance gives in under 1 of 1,000 looks: look again after "
      "the next checks";
  char *text = made_drift_printed(unit, true), *page = made_drift_page_text(unit, &request);
  must_say(text, told);
  must_say(text, "after the next checks, and reckon with earlier days than those of the forecast.");
  must_say(page, "The newest 5 values lie off that line by ");
  free(text);
  free(page);
  drift->newest.difference = 0.012;
  text = made_drift_printed(unit, true);
  must_say(text, "after the next checks; the forecast goes by the line.");
  free(text);
  drift->newest.differs = false;
  text = made_drift_printed(unit, true);
  cr_expect_null(strstr(text, "The newest 5"), "%s", text);
  free(text);
  bt_unit_study_free(unit);
}
