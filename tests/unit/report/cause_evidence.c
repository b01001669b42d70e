/* What speaks for and against a cause: an event without an effect stands against the cause that it
 * tests, with its date and interval; one with an effect, one of before the change or inside its
 * dates and one of another kind do not. Of a slope the difference is that which the fitted line
 * leaves. */
#include "made_drift.h"
#include "report_drift.h"

#include <criterion/criterion.h>
#include <stdlib.h>
#include <string.h>

typedef struct event_case {
  bt_event_kind kind;
  double after_change; /* days after the change's latest date */
  double low;          /* of the difference's interval */
  bool given;
  const char *part; /* that it speaks against; NULL: it says nothing */
} event_case;

static const event_case cases[] = {
    {BT_EVENT_GAS_BOTTLE, 20, -0.0022, true, "against the gas supply, without ruling it out"},
    {BT_EVENT_OPTICS_CLEANED, 20, -0.0022, true,
     "against dirt on what was cleaned, without ruling it out"},
    {BT_EVENT_METER_CHANGED, 1, -0.0022, true, "against the meter, without ruling it out"},
    {BT_EVENT_GAS_BOTTLE, 20, 0.0001, true, NULL},
    {BT_EVENT_GAS_BOTTLE, -1, -0.0022, true, NULL},
    {BT_EVENT_GAS_BOTTLE, 20, -0.0022, false, NULL},
    {BT_EVENT_GAS_BOTTLE, 900, -0.0022, true, NULL},
    {BT_EVENT_MOVED, 20, -0.0022, true, NULL}};

static bt_comparison made_comparison(double low, bool given) {
  return (bt_comparison){
      .given = given, .has_interval = true, .difference = 0.0007, .low = low, .high = 0.0036};
}

/* A fact against the whole comes first and is told whole; else an event without effect, by its
 * part's name. */
static void must_be_brief(const bt_unit_study *unit, const bt_drift *drift, const char *part,
                          size_t event) {
  bt_text words = {0}, wanted = {0}, fact = {0};
  char day[REPORT_DATE_TEXT];
  bt_cause cause = {.kind = BT_CAUSE_NOT_RESTORED_BY_REFILL};
  cr_expect_eq(report_cause_against_brief(unit, drift, &cause, &words), part != NULL);
  if (part != NULL) {
    const char *named = strchr(part, ' ') + 1; /* behind "against" */
    bt_text_format(&wanted, "%s %s, no difference shows: %.*s is less likely",
                   bt_event_words(unit->history.events[event].kind),
                   report_short_date(unit->history.events[event].time, day),
                   (int)strcspn(named, ","), named);
  }
  cr_expect_str_eq(bt_text_get(&words), bt_text_get(&wanted));
  bt_text_clear(&words);
  bt_text_clear(&wanted);
  cause.against = BT_FACT_LOSS_STEEPER | BT_FACT_METER_SHARED;
  cr_expect(report_cause_against_brief(unit, drift, &cause, &words));
  bt_facts_words(BT_FACT_LOSS_STEEPER < BT_FACT_METER_SHARED ? BT_FACT_LOSS_STEEPER
                                                             : BT_FACT_METER_SHARED,
                 &fact);
  bt_text_format(&wanted, "against it: %s", bt_text_get(&fact));
  cr_expect_str_eq(bt_text_get(&words), bt_text_get(&wanted));
  bt_text_free(&words);
  bt_text_free(&wanted);
  bt_text_free(&fact);
}

Test(cause_evidence, an_event_without_effect_is_evidence) {
  for (size_t i = 0; i < 2 * (sizeof cases / sizeof *cases); i++) {
    size_t k = i / 2;
    bool is_hinge = i % 2 == 1;
    bt_report_request request;
    fixture_plan plan = fixture_usual();
    plan.events = 1;
    bt_unit_study *unit = made_drift_of(&plan, true, &request);
    bt_drift *drift = unit->drift->drift;
    size_t e = unit->history.events_n - 1;
    bt_event_effect *effects = fixture_filled(2, sizeof *effects);
    unit->history.events[e].kind = cases[k].kind;
    unit->history.events[e].time =
        report_drift_time(drift->moved.to) + (bt_time)(cases[k].after_change * BT_DAY);
    drift->moved.kind = is_hinge ? BT_CHANGE_HINGE : BT_CHANGE_STEP;
    /* what is not asked would say the opposite */
    bt_comparison tells = made_comparison(cases[k].low, cases[k].given),
                  other = made_comparison(cases[k].low > 0 ? -0.0022 : 0.0001, true);
    effects[0] = (bt_event_effect){
        .event = e, .about = is_hinge ? other : tells, .beyond = is_hinge ? tells : other};
    free(drift->events);
    drift->events = effects;
    drift->events_n = 1;
    bt_cause cause = {.kind = BT_CAUSE_NOT_RESTORED_BY_REFILL, .against = BT_FACT_LOSS_STEEPER};
    bt_text words = {0}, facts = {0}, date = {0};
    char day[REPORT_DATE_TEXT];
    report_cause_against(unit, drift, &cause, &words);
    bt_facts_words(cause.against, &facts);
    if (cases[k].part == NULL)
      cr_expect_str_eq(bt_text_get(&words), bt_text_get(&facts), "%zu", k);
    else {
      bt_text_format(&date,
                     "%s; in part, %s: %s on %s, +0.07\xC2\xA0%% after minus before (%s0.22 to "
                     "+0.36): no difference told from chance%s",
                     bt_text_get(&facts), cases[k].part, bt_event_words(cases[k].kind),
                     report_short_date(unit->history.events[e].time, day), REPORT_MINUS,
                     is_hinge ? ", the fitted line taken off" : "");
      cr_expect_str_eq(bt_text_get(&words), bt_text_get(&date), "%zu: %s", k, bt_text_get(&words));
    }
    bt_text_clear(&words);
    cause = (bt_cause){.kind = BT_CAUSE_ALIGNMENT}; /* nothing of these tests it */
    report_cause_against(unit, drift, &cause, &words);
    cr_expect_str_eq(bt_text_get(&words), "nothing in the log");
    bt_text_clear(&words);
    cr_expect_not(report_cause_against_brief(unit, drift, &cause, &words), "%zu", k);
    cr_expect(bt_text_empty(&words), "%s", bt_text_get(&words));
    must_be_brief(unit, drift, cases[k].part, e);
    if (cases[k].part != NULL) { /* two of a kind are one entry, on the page as well */
      effects[1] = effects[0];
      drift->events_n = 2;
      bt_text_clear(&words);
      cause = (bt_cause){.kind = BT_CAUSE_NOT_RESTORED_BY_REFILL};
      report_cause_against(unit, drift, &cause, &words);
      cr_expect_eq(count_of(bt_text_get(&words), bt_event_words(cases[k].kind)), 1, "%s",
                   bt_text_get(&words));
      must_say(bt_text_get(&words), ", and on ");
      must_say(bt_text_get(&words), "nothing as a whole; in part, ");
      char *page = made_drift_page_text(unit, &request);
      must_say(page, cases[k].part);
      free(page);
    }
    bt_text_free(&words);
    bt_text_free(&facts);
    bt_text_free(&date);
    bt_unit_study_free(unit);
  }
}

/* Of a fall: a rise about the bottle is told for the gas supply, a further fall is not; where the
 * finding has it as a fact it isn't told twice. About a meter either side tells. */
Test(cause_evidence, an_event_that_may_have_helped_is_told_for_it) {
  static const struct {
    bt_event_kind kind;
    double difference;
    uint32_t fact;
    const char *part; /* NULL: nothing is told */
  } told[] = {{BT_EVENT_GAS_BOTTLE, 0.003, 0, "for the gas supply"},
              {BT_EVENT_GAS_BOTTLE, -0.003, 0, NULL},
              {BT_EVENT_GAS_BOTTLE, 0.0004, 0, NULL}, /* its interval holds 0 */
              {BT_EVENT_GAS_BOTTLE, 0.003, BT_FACT_BOTTLE_RESTORED, NULL},
              {BT_EVENT_METER_CHANGED, -0.003, 0, "for the meter"},
              {BT_EVENT_MOVED, 0.003, 0, NULL}};
  for (size_t k = 0; k < sizeof told / sizeof *told; k++) {
    bt_report_request request;
    fixture_plan plan = fixture_usual();
    plan.events = 1;
    bt_unit_study *unit = made_drift_of(&plan, true, &request);
    bt_drift *drift = unit->drift->drift;
    size_t e = unit->history.events_n - 1;
    bt_event_effect *effects = fixture_filled(1, sizeof *effects);
    unit->history.events[e].kind = told[k].kind;
    unit->history.events[e].time = report_drift_time(drift->moved.to) + 20 * (bt_time)BT_DAY;
    drift->moved.kind = BT_CHANGE_HINGE;
    drift->moved.sign = -1;
    effects[0] = (bt_event_effect){.event = e,
                                   .beyond = {.given = true,
                                              .has_interval = true,
                                              .difference = told[k].difference,
                                              .low = told[k].difference - 0.001,
                                              .high = told[k].difference + 0.001}};
    free(drift->events);
    drift->events = effects;
    drift->events_n = 1;
    bt_cause cause = {.kind = BT_CAUSE_NOT_RESTORED_BY_REFILL,
                      .evidence = BT_FACT_LEVELS_FALL | told[k].fact};
    bt_text words = {0};
    report_cause_for(unit, drift, &cause, &words);
    cr_expect_eq(strstr(bt_text_get(&words), "without settling it") != NULL, told[k].part != NULL,
                 "%zu: %s", k, bt_text_get(&words));
    if (told[k].part != NULL) {
      must_say(bt_text_get(&words), told[k].part);
      must_say(bt_text_get(&words), "the fitted line taken off (a single look)");
    }
    bt_text_free(&words);
    bt_unit_study_free(unit);
  }
}

/* Without a cause the page says what was looked for. */
Test(cause_evidence, what_was_looked_for_is_said) {
  bt_report_request request;
  bt_unit_study *unit = made_drift(false, &request);
  char *page = made_drift_page_text(unit, &request);
  must_say(page, "nothing changed past its threshold in the days looked at. Looked for, as far as "
                 "the log has the readings: gas that ages faster");
  free(page);
  bt_unit_study_free(unit);
}
