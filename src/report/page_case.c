/* The case in one page: what, since when, how sure, what was done, what it is worth at the
 * treatment plane, what is asked, and what the record holds. */
#include "report_case.h"

static const double label_width = 43, gap = 2.0;

/* A question at the left and its answer beside it. The answer is emptied. */
static void answer(case_pages *on, const char *question, bt_text *words) {
  report_builder *builder = on->builder;
  double left = on->frame.left + label_width, wrap = on->frame.right - left;
  if (!bt_text_ok(words))
    report_no_memory(builder);
  if (words->length > 0) {
    double height = report_measure(builder, BT_STYLE_TABLE, bt_text_get(words), wrap).height;
    report_size label = report_wrapped(builder, on->frame.left, on->y, label_width - 3,
                                       BT_STYLE_TABLE_HEAD, BT_INK_TEXT, question);
    height = label.height > height ? label.height : height;
    (void)report_wrapped(builder, left, on->y, wrap, BT_STYLE_TABLE, BT_INK_TEXT,
                         bt_text_get(words));
    on->y += height + gap;
  }
  bt_text_clear(words);
}

/* "high side, 2 alarms, 22 Jun – 3 Jul 2026, and 13 notices, all within 22 Jun – 31 Jul 2026" */
static void add_alarms(const bt_study *of, const bt_episode *episode, bt_text *words) {
  const bt_series *points = &of->points;
  char day[REPORT_DATE_TEXT];
  size_t first = BT_NONE, last = 0, alarms = 0;
  for (size_t p = episode->first; p <= episode->last; p++)
    if ((of->rules[episode->side][p] & BT_ALARM_RULES) != 0) {
      first = alarms++ == 0 ? p : first;
      last = p;
    }
  bt_text_format(words, "%s side, ", report_side_word(episode->side));
  report_count(words, alarms, "alarm", "alarms");
  if (alarms > 0)
    bt_text_format(words, ", %s", report_short_period(points->at[first], points->at[last], day));
  if (episode->signals == alarms)
    return;
  bt_text_add(words, ", and ");
  report_count(words, episode->signals - alarms, "notice", "notices");
  bt_text_format(words, ", all within %s",
                 report_short_period(points->at[episode->first], points->at[episode->last], day));
}

/* Alarms that are past, or of the span's end, each with its time; at most three a study. */
static void alarms_of(const bt_case *one, const bt_study *of, bt_text *words) {
  size_t named = 0, n = 0;
  for (size_t e = 0; e < of->episodes_n; e++) {
    const bt_episode *episode = &of->episodes[e];
    bt_time first = of->points.at[episode->first], last = of->points.at[episode->last];
    if (episode->strength != BT_ALARM || last < one->from || first >= one->to || n++ >= 3)
      continue;
    if (named++ == 0) {
      report_case_sentence(words);
      bt_text_format(words, "%s: ", of->quantity.title);
    } else
      bt_text_add(words, "; ");
    add_alarms(of, episode, words);
  }
  if (n > 3)
    bt_text_format(words, "; and %zu more", n - 3);
  if (named > 0)
    bt_text_add(words, ".");
}

/* Changes first, then alarms of what didn't change, or changed back. */
static void what(const bt_case *one, const bt_drift *leads, bt_text *words) {
  const bt_unit_study *unit = one->unit;
  size_t changed = 0;
  bool back = false;
  for (size_t i = 0; i < unit->drift->n; i++)
    if (report_drift_is_changed(&unit->drift->drift[i])) {
      report_case_sentence(words);
      report_drift_short(&unit->drift->drift[i], words);
      bt_text_add(words, ".");
      changed++;
    } else
      back = back || (report_case_brought_back(&unit->drift->drift[i]) &&
                      report_case_event(one, &unit->drift->drift[i])->time >= one->from);
  for (size_t s = 0; s < unit->studies_n; s++) {
    const bt_study *of = unit->studies[s];
    const bt_drift *drift = bt_unit_drift_of(unit->drift, of->characteristic);
    if (report_is_judged(of) && (drift == NULL || !report_drift_is_changed(drift)))
      alarms_of(one, of, words);
  }
  if (leads != NULL && leads->far_n > 0) {
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
    bt_text_format(words, " What follows is of the first to look at: %s.",
                   leads->study->quantity.title);
}

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
  on->y += report_wrapped(on->builder, on->frame.left, on->y, width, BT_STYLE_SUBTITLE, BT_INK_SOFT,
                          bt_text_get(&words))
               .height;
  on->y = (on->y < under ? under : on->y) + 3;
  report_text_end(on->builder, &words);
}

/* On this page where there is room for all of them, else on the next; true when it is due there. */
static bool characteristics(case_pages *on, double bottom) {
  double line = report_case_line(on);
  bool fits =
      on->y + 2 + line * (double)(on->one->unit->studies_n + 1) + report_case_flat_height(on) <=
      bottom;
  if (fits)
    report_case_table(on);
  else
    report_case_paragraph(on, BT_STYLE_TABLE, BT_INK_SOFT,
                          "The characteristics stand in a table on the next page.");
  return !fits;
}

/* At the foot; where the answers are long it goes under them. The characteristics between. */
static void cautions(case_pages *on) {
  double wrap = on->frame.right - on->frame.left - 6;
  double height = report_measure(on->builder, BT_STYLE_CAPTION, report_cautions_full, wrap).height;
  double y = on->frame.bottom - height - 3;
  bool due = characteristics(on, y - 1.5);
  if (y < on->y + 1.5) {
    report_case_room(on, height + 6);
    y = on->y + 1.5;
  }
  report_box(on->builder, on->frame.left, y, on->frame.right - on->frame.left, height + 3,
             BT_INK_PANEL);
  (void)report_wrapped(on->builder, on->frame.left + 3, y + 1.5, wrap, BT_STYLE_CAPTION,
                       BT_INK_TEXT, report_cautions_full);
  if (due) {
    report_case_begin(on, "Characteristics");
    report_case_table(on);
  } else
    on->y = on->frame.bottom; /* the cautions stand at the foot */
  report_case_failed(on);
}

void report_case_page(case_pages *on) {
  const bt_case *one = on->one;
  const bt_drift *leads = report_case_leads(one);
  bt_text words = {0};
  report_case_begin(on, one->unit->history.unit);
  head(on);
  if (one->event != NULL) {
    char date[REPORT_DATE_TEXT];
    char kind[REPORT_NUMBER_TEXT];
    bt_text_format(&words, "%s on %s.", report_case_capital(one->event->kind, kind),
                   report_short_date(one->event->time, date));
    answer(on, "It is about", &words);
  }
  what(one, leads, &words);
  answer(on, "What", &words);
  report_case_back(one, &words);
  answer(on, "Brought back", &words);
  if (leads != NULL) {
    report_drift_since(leads, &words);
    report_case_inside(one, &leads->change, &words);
    answer(on, "Since when", &words);
    report_drift_level(leads, &words);
    answer(on, "How sure", &words);
    report_drift_gas(one->unit, leads, &words);
    answer(on, "Gas or not", &words);
    report_drift_when(one->unit, leads, &words);
    if (leads->forecast.use == BT_FORECAST_GIVEN)
      bt_text_add(&words, " A day of it that is past when this is read tells nothing any more: ask "
                          "for a newer check.");
    answer(on, "When it matters", &words);
  }
  report_case_outside(one, &words);
  answer(on, "Tolerance", &words);
  report_case_done(one, &words);
  answer(on, "What was done", &words);
  effect(one, &words);
  answer(on, "Effect at the treatment plane", &words);
  not_held(one, &words);
  answer(on, "Not in the log", &words);
  asked(one, &words);
  answer(on, "What is asked", &words);
  report_case_record(one, &words);
  answer(on, "The record", &words);
  cautions(on);
  bt_text_free(&words);
}
