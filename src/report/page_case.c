/* The case in one page: what, since when, how sure, what was done, what it is worth at the
 * treatment plane, what is asked, and what the record holds. */
#include "report_case.h"

#include <math.h>

static void effect(const bt_case *one, bt_text *words) {
  const bt_drift *fluence = bt_unit_drift_of(one->unit->drift, BT_FLUENCE);
  const bt_unit_setting *setting = bt_settings_unit(&one->unit->settings, one->unit->history.unit);
  if (setting == NULL || setting->beam == BT_BEAM_UNDECLARED)
    bt_text_add(words, "Not given: the spot model of this laser is not declared in the settings.");
  else if (fluence == NULL)
    bt_text_add(words, "Not given: the log has no fluence.");
  else if (fluence->use != BT_DRIFT_LOOKED_AT) {
    bt_text_add(words, "Not given: for drift the fluence was not looked at, as ");
    report_drift_why_not(fluence, words);
    bt_text_add(words, ".");
  } else if (!report_drift_is_changed(fluence) || !fluence->dioptres.given)
    bt_text_add(words, "Not given: no change of the fluence past its threshold.");
  else {
    bt_text_add(words, "Of the fluence alone: from ");
    report_dioptre_words(&fluence->dioptres, ", threshold", words);
    bt_text_add(words, " An aid to judge its importance, no figure to treat by.");
  }
}

/* What an engineer would ask for first, and whether two witnesses may be one. */
static void not_held(const bt_case *one, bt_text *words) {
  const char *meter = bt_case_meter_words(one);
  bt_text_add(words, "No check of the folder has: ");
  if (bt_case_not_held(one, words))
    bt_text_add(words, ". ");
  else
    bt_text_clear(words);
  bt_text_add(words, bt_case_gas_words(one));
  if (meter != NULL)
    bt_text_format(words, " %s", meter);
  bt_text_add(words,
              " Nor does it say where in the beam’s path energy and fluence are read, nor the "
              "laser’s make, model and serial number: they belong on the letter that goes "
              "with this folder.");
}

static bool asks_for_a_cause(const bt_case *one) {
  const bt_unit_drift *all = one->unit->drift;
  bool asks = report_case_leads(one) != NULL;
  for (size_t i = 0; i < all->n; i++)
    asks = asks || (report_case_brought_back(&all->drift[i]) &&
                    report_case_event(one, &all->drift[i])->time >= one->from);
  for (size_t s = 0; s < one->unit->studies_n && !asks; s++) {
    const bt_study *of = one->unit->studies[s];
    for (size_t e = 0; e < of->episodes_n && report_is_judged(of); e++)
      asks = asks || (of->episodes[e].strength == BT_ALARM &&
                      of->points.at[of->episodes[e].last] >= one->from);
    for (size_t i = bt_series_from(&of->checks, one->from); i < of->checks.n; i++)
      asks = asks || (of->checks.flags[i] & BT_POINT_OUT_OF_TOLERANCE) != 0;
  }
  return asks;
}

static void asked(const bt_case *one, bt_text *words) {
  const bt_drift *leads = report_case_leads(one);
  bt_text_add(words, asks_for_a_cause(one) ? "Please look for the cause of what stands above"
                                           : "The record of these days asks for no cause");
  if (leads != NULL && leads->causes_n > 0)
    bt_text_format(words, ". What the data support best (evidence: %s): %s",
                   report_cause_strength(leads->causes[0].strength),
                   report_cause_words(leads, &leads->causes[0]));
  bt_text_add(words,
              ". Please write down readings as found before anything is adjusted and as left "
              "after it, with the meter and its calibration, and what was done. The "
              "manufacturer’s engineer decides what it is.");
}

static void head(case_pages *on) {
  const bt_unit_study *unit = on->one->unit;
  char period[REPORT_DATE_TEXT];
  bt_text words = {0};
  double width = on->frame.panel_left - 3 - on->frame.left;
  double under = on->frame.top + report_banner(on->builder, unit, unit->verdict, NULL);
  if (unit->settings.clinic != NULL && *unit->settings.clinic != '\0')
    bt_text_format(&words, "%s  ·  ", unit->settings.clinic);
  bt_text_format(&words, "evidence for the manufacturer’s engineer  ·  %s",
                 report_short_period(on->one->from, on->one->to - 1, period));
  if (on->builder->document->created > 0)
    bt_text_format(&words, "; ledger of %s",
                   report_short_date(on->builder->document->created, period));
  on->y += report_wrapped(on->builder, on->frame.left, on->y, width, BT_STYLE_SUBTITLE, BT_INK_SOFT,
                          bt_text_get(&words))
               .height;
  on->y = (on->y < under ? under : on->y) + 3;
  report_text_end(on->builder, &words);
}

static double height_of_cautions(const case_pages *on, double wrap) {
  return report_measure(on->builder, BT_STYLE_CAPTION, report_cautions_full, wrap).height + 3;
}

/* At the foot of the page; of the next one where the answers of an uncommonly long case need it. */
static void cautions(case_pages *on, double height, double wrap) {
  report_case_room(on, height);
  double y = on->frame.bottom - height;
  report_box(on->builder, on->frame.left, y, on->frame.right - on->frame.left, height,
             BT_INK_PANEL);
  (void)report_wrapped(on->builder, on->frame.left + 3, y + 1.5, wrap, BT_STYLE_CAPTION,
                       BT_INK_TEXT, report_cautions_full);
}

/* Under the answers where all of them have room above the cautions. */
static bool has_room_for_characteristics(const case_pages *on, double bottom) {
  double line = report_case_line(on);
  return on->y + 2 + line * (double)(on->one->unit->studies_n + 1) + report_case_flat_height(on) <=
         bottom;
}

/* A loss that one meter alone has read may be that meter's. */
static void add_meter(const bt_case *one, const bt_change *change, bt_text *words) {
  bt_time since;
  const char *meter = bt_case_meter(one, &since);
  char date[REPORT_DATE_TEXT];
  if (meter == NULL)
    return;
  bool all = (double)bt_day_of(since) <= floor(change->from);
  bt_text_format(words, " Energy meter: all checks since %s that name one name %s%s.",
                 report_short_date(since, date), meter,
                 all ? ", so that no other meter is known to have read the change"
                     : "; earlier ones, of the dates of the change too, name another");
}

/* What concerns the change that leads the case. */
static void ask_of_change(const bt_case *one, case_answers *answers) {
  const bt_drift *leads = report_case_leads(one);
  if (leads == NULL)
    return;
  bt_text *since = report_case_ask(answers, "Since when");
  report_drift_since(leads, since);
  report_case_inside(one, &leads->change, since);
  if (leads->characteristic == BT_ENERGY_RATIO)
    add_meter(one, &leads->change, since);
  bt_text *sure = report_case_ask(answers, "How sure");
  report_drift_level(leads, sure);
  bt_text_add(sure, " ");
  report_drift_likelihood(leads, sure);
  report_drift_gas(one->unit, leads, report_case_ask(answers, "Gas or not"));
  bt_text *when = report_case_ask(answers, "When it matters");
  report_drift_when(one->unit, leads, when);
  if (leads->forecast.use == BT_FORECAST_GIVEN)
    bt_text_add(when,
                " A day of it that is past when this is read tells nothing any more: ask for a "
                "newer check.");
}

static void ask_all(const bt_case *one, case_answers *answers) {
  char date[REPORT_DATE_TEXT], kind[REPORT_NUMBER_TEXT];
  if (one->event != NULL)
    bt_text_format(report_case_ask(answers, "It is about"), "%s on %s.",
                   report_case_capital(one->event->kind, kind),
                   report_short_date(one->event->time, date));
  report_case_what(one, report_case_ask(answers, "What"));
  report_case_back(one, report_case_ask(answers, "Brought back"));
  ask_of_change(one, answers);
  report_case_outside(one, report_case_ask(answers, "Tolerance"));
  report_case_done(one, report_case_ask(answers, "What was done"));
  effect(one, report_case_ask(answers, "Effect at the treatment plane"));
  not_held(one, report_case_ask(answers, "Not in the log"));
  asked(one, report_case_ask(answers, "What is asked"));
  report_case_record(one, report_case_ask(answers, "The record"));
}

void report_case_page(case_pages *on) {
  case_answers answers = {0};
  report_case_begin(on, on->one->unit->history.unit);
  head(on);
  double wrap = on->frame.right - on->frame.left - 6, foot = height_of_cautions(on, wrap);
  ask_all(on->one, &answers);
  report_case_answers(on, &answers, on->frame.bottom - foot - 1.5);
  bool fits = has_room_for_characteristics(on, on->frame.bottom - foot - 1.5);
  if (fits)
    report_case_table(on);
  cautions(on, foot, wrap);
  if (!fits) {
    report_case_begin(on, "Characteristics");
    report_case_table(on);
  } else
    on->y = on->frame.bottom;
  report_case_failed(on);
  report_case_answers_free(&answers);
}
