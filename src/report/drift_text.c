/* `drift --format text`: the answers first, then what the data support, what to do, and details. */
#include "report_drift.h"

#include <stdio.h>

/* A paragraph under its question; nothing where there is no answer. */
static void answer(bt_text *out, const char *head, bt_text *words) {
  if (words->length > 0)
    report_wrap_plain(out, head, bt_text_get(words));
  out->failed |= words->failed;
  bt_text_clear(words);
}

static void add_causes(const bt_drift *drift, bt_text *out) {
  bt_text words = {0}, head = {0};
  bt_text_add(out, "\nWhat the data support\n");
  if (drift->causes_n == 0)
    report_wrap_plain(out, "  ",
                      report_drift_is_changed(drift)
                          ? "No cause is named: what moved together with it points to none."
                      : drift->use == BT_DRIFT_LOOKED_AT ? "No cause is named without a change."
                                                         : "Nothing: it was not looked at.");
  for (size_t c = 0; c < drift->causes_n; c++) {
    const bt_cause *cause = &drift->causes[c];
    bt_text_clear(&head);
    bt_text_format(&head, "  %-10s", report_cause_strength(cause->strength));
    bt_text_add(&words, report_cause_words(cause));
    bt_text_add(&words, ".");
    answer(out, bt_text_get(&head), &words);
    bt_facts_words(cause->evidence, &words);
    answer(out, "            for: ", &words);
    bt_facts_words(cause->against, &words);
    answer(out, "            against: ", &words);
  }
  out->failed |= head.failed;
  bt_text_free(&words);
  bt_text_free(&head);
}

static void add_next(const bt_drift *drift, bt_text *out) {
  bt_text step = {0};
  bt_text_add(out, "\nWhat to do next\n");
  for (size_t i = 0; report_drift_next(drift, i, &step); i++)
    report_wrap_plain(out, "  - ", bt_text_get(&step));
  out->failed |= step.failed;
  bt_text_free(&step);
}

/* The mean of all checks about the event moved by the difference; as found and as left are those
 * next to it, so that one isn't the other's difference. */
static void add_comparison(const bt_drift *drift, const bt_comparison *about, bt_text *out) {
  char number[REPORT_NUMBER_TEXT], p[REPORT_NUMBER_TEXT], low[REPORT_NUMBER_TEXT],
      high[REPORT_NUMBER_TEXT];
  int decimals = report_decimals(&drift->study->quantity, drift->sigma);
  bt_text_format(out, "the mean of %zu checks after less that of %zu before is ", about->after.n,
                 about->before.n);
  report_drift_rate(drift, about->difference, about->low, about->high, "", 1, out);
  if (about->has_interval)
    bt_text_format(out, ", %s", report_p(about->p, p));
  if (about->has_ratio)
    bt_text_format(out,
                   "; its variance is %s times that before (%s to %s), %s by Brown and Forsythe",
                   report_number(about->ratio, 1, number), report_number(about->ratio_low, 1, low),
                   report_number(about->ratio_high, 1, high), report_p(about->spread_p, p));
  bt_text_format(out, "; as found, the last %zu: %s", about->as_found.n,
                 report_number(about->as_found.mean, decimals, number));
  bt_text_format(out, "; as left, the first %zu: %s", about->as_left.n,
                 report_number(about->as_left.mean, decimals, number));
}

static void add_events(const bt_unit_study *unit, const bt_drift *drift, bt_text *out) {
  bt_text words = {0};
  char date[REPORT_DATE_TEXT];
  for (size_t i = 0; i < drift->events_n; i++) {
    const bt_comparison *about = &drift->events[i].about;
    const bt_event *event = &unit->history.events[drift->events[i].event];
    bt_text_format(&words, "%s, %s: ", report_short_date(event->time, date),
                   bt_event_words(event->kind));
    if (!about->given)
      bt_text_add(&words, "too few checks about it");
    else
      add_comparison(drift, about, &words);
    answer(out, "    ", &words);
  }
  bt_text_free(&words);
}

static void add_covariates(const bt_drift *drift, bt_text *out) {
  static const char *const names[] = {
      [BT_COVARIATE_TEMPERATURE] = "temperature, per degree",
      [BT_COVARIATE_HUMIDITY] = "humidity, per %",
      [BT_COVARIATE_TIME_OF_DAY] = "time of day, per hour",
      [BT_COVARIATE_OPERATOR] = "operator",
  };
  bt_text words = {0};
  char p[REPORT_NUMBER_TEXT];
  for (size_t i = 0; i < drift->covariates_n; i++) {
    const bt_covariate_effect *of = &drift->covariates[i];
    bt_text_add(&words, names[of->of]);
    if (of->code != NULL)
      bt_text_format(&words, " %s against all others", of->code);
    bt_text_add(&words, ": ");
    report_drift_rate(drift, of->effect.slope, of->effect.low, of->effect.high, "", 1, &words);
    bt_text_format(&words, ", %s", report_p(of->effect.p, p));
    answer(out, "    ", &words);
  }
  bt_text_free(&words);
}

/* The day of the characteristic's last check. */
static const char *log_end(const bt_drift *drift, char *buffer) {
  const bt_series *checks = &drift->study->checks;
  return report_short_date(checks->at[checks->n - 1], buffer);
}

static void add_past(const bt_drift *drift, bt_text *out) {
  bt_text words = {0};
  char until[REPORT_DATE_TEXT], five[REPORT_DATE_TEXT], fifty[REPORT_DATE_TEXT],
      came[REPORT_DATE_TEXT];
  size_t given = 0;
  for (size_t i = 0; i < drift->past_n; i++) {
    const bt_past_forecast *of = &drift->past[i];
    const bt_forecast *forecast = &of->forecast;
    if (forecast->use != BT_FORECAST_GIVEN)
      continue;
    if (given++ == 0)
      bt_text_add(out, "  Forecasts of month ends before, made again, and what came\n");
    bt_text_format(
        &words,
        "%s: first failing check possible (5" REPORT_JOIN "%%) by %s, likely (50" REPORT_JOIN
        "%%) by %s; ",
        report_short_date(of->until - BT_DAY, until),
        forecast->has_fail_5 ? report_short_date(report_drift_time(forecast->fail_5), five)
                             : "no date",
        forecast->has_fail_50 ? report_short_date(report_drift_time(forecast->fail_50), fifty)
                              : "no date");
    if (of->failed)
      bt_text_format(&words, "one came on %s",
                     report_short_date(report_drift_time(of->failed_on), came));
    else
      bt_text_format(&words, "none in the log, which ends on %s", log_end(drift, came));
    answer(out, "    ", &words);
  }
  bt_text_free(&words);
}

static void add_look_back(const bt_drift *drift, bt_text *out) {
  const bt_look_back *of = &drift->look_back;
  bt_text words = {0};
  if (!report_drift_is_changed(drift))
    return;
  bt_text_format(out, "  Days with a check in this log since the last %s before the change\n",
                 drift->tolerance != NULL ? "good one" : "one");
  bt_text_add(&words, "Beamtally does not know the surgery days. ");
  report_drift_last_good(drift, &words);
  report_count(&words, of->days, "day", "days");
  if (of->days > 0) {
    bt_text_add(&words, ": ");
    report_drift_days(drift->look_back_day, of->days, &words);
  }
  bt_text_add(&words, ".");
  answer(out, "    ", &words);
  bt_text_free(&words);
}

static void add_dioptres(const bt_drift *drift, bt_text *out) {
  const bt_dioptres *of = &drift->dioptres;
  bt_text words = {0};
  char from[REPORT_NUMBER_TEXT], to[REPORT_NUMBER_TEXT], by[REPORT_NUMBER_TEXT];
  if (!of->given || !report_drift_is_changed(drift))
    return;
  bt_text_format(&words,
                 "From %s to %s mJ/cm², by the blow-off model for a %s spot with a threshold of "
                 "%.0f (%.0f to %.0f) mJ/cm²:",
                 report_number(of->from, 1, from), report_number(of->to, 1, to),
                 of->beam == BT_BEAM_GAUSSIAN ? "Gaussian" : "flat-top", of->threshold,
                 of->threshold_low, of->threshold_high);
  for (size_t k = 0; k < BT_DIOPTRE_ROWS; k++) {
    const bt_dioptre_row *row = &of->row[k];
    bt_text_format(&words, " at %.0f D %s D (%s to %s)%s", row->correction,
                   report_signed(row->change, 2, by), report_signed(row->low, 2, from),
                   report_signed(row->high, 2, to), k + 1 < BT_DIOPTRE_ROWS ? "," : ".");
  }
  bt_text_add(out, "  How much that is: an aid to judge its importance, no figure to treat by\n");
  answer(out, "    ", &words);
  bt_text_free(&words);
}

/* The other lasers that one meter reads, and that stepped with this one. */
static void add_meters(const bt_unit_study *unit, const bt_drift *drift, bt_text *out) {
  bt_text words = {0};
  char from[REPORT_DATE_TEXT], to[REPORT_DATE_TEXT];
  if (drift->characteristic != BT_ENERGY_RATIO || unit->drift->meters_n == 0)
    return;
  bt_text_add(out,
              "  Lasers read with the same meter whose energy stepped then, to the same side\n");
  for (size_t i = 0; i < unit->drift->meters_n; i++) {
    const bt_meter_unit *of = &unit->drift->meters[i];
    bt_text_format(&words, "%s, meter %s: a day between %s and %s", of->unit, of->meter,
                   report_short_date(report_drift_time(of->from), from),
                   report_short_date(report_drift_time(of->to), to));
    answer(out, "    ", &words);
  }
  bt_text_free(&words);
}

static void add_details(const bt_unit_study *unit, const bt_drift *drift, bt_text *out) {
  bt_text words = {0};
  char number[REPORT_NUMBER_TEXT];
  bt_text_add(out, "\nDetails\n");
  report_drift_span(unit, drift, &words);
  bt_text_add(&words, " ");
  report_count(&words, drift->look.charts, "chart of the laser is", "charts of the laser are");
  bt_text_format(
      &words,
      " looked at on %s days a year: of a laser that has not changed a change is claimed in "
      "under 5" REPORT_JOIN "%% of years.",
      report_number(drift->look.looks_a_year, 0, number));
  if (drift->misread > 0) {
    bt_text_add(&words, " Left out: ");
    report_count(&words, drift->misread, "reading", "readings");
    bt_text_add(&words, " outside tolerance that the retest did not confirm.");
  }
  answer(out, "  ", &words);
  report_drift_trend(drift, &words);
  answer(out, "  ", &words);
  if (drift->events_n > 0) {
    bt_text_format(&words,
                   "Before and after events%s, with intervals of 95" REPORT_JOIN
                   "%%; each p is of a single look",
                   drift->study->adjusted ? ", at the mean fill age" : "");
    answer(out, "  ", &words);
  }
  add_events(unit, drift, out);
  add_meters(unit, drift, out);
  if (drift->covariates_n > 0)
    bt_text_add(out, "  Covariates, beside a trend over time; each p is of a single look\n");
  add_covariates(drift, out);
  add_past(drift, out);
  add_dioptres(drift, out);
  add_look_back(drift, out);
  bt_text_free(&words);
}

static void add_one(const bt_unit_study *unit, const bt_drift *drift, bt_text *out) {
  bt_text words = {0};
  char date[REPORT_DATE_TEXT];
  bt_text_format(&words, "%s, %s, up to its last check, of %s", unit->history.unit,
                 drift->study->quantity.title, log_end(drift, date));
  answer(out, "", &words);
  bt_text_add(out, "\n");
  report_drift_is(drift, &words);
  bt_text_add(&words, " ");
  report_drift_level(drift, &words);
  answer(out, "Is it drifting?  ", &words);
  report_drift_since(drift, &words);
  answer(out, "Since when?      ", &words);
  report_drift_gas(unit, drift, &words);
  answer(out, "Gas or not?      ", &words);
  report_drift_when(unit, drift, &words);
  answer(out, "When it matters  ", &words);
  add_causes(drift, out);
  add_next(drift, out);
  if (drift->use == BT_DRIFT_LOOKED_AT)
    add_details(unit, drift, out);
  bt_text_add(out, "\n");
  bt_text_free(&words);
}

/* That nothing was looked at must not read as nothing found. */
static void add_looked_at(const bt_unit_drift *all, bt_text *out) {
  size_t told = 0;
  for (size_t i = 0; i < all->n; i++)
    told += report_drift_is_told(&all->drift[i]);
  if (all->n == 0)
    bt_text_add(out, "The log holds no reading that drift is looked for in.\n");
  else if (report_drift_looked(all) == 0)
    report_wrap_plain(out, "",
                      "Nothing was looked at: nothing here says that the laser has not "
                      "changed.");
  else if (report_drift_looked(all) > told)
    report_wrap_plain(out, "",
                      "A drift too slow, or too young, to be told from chance may be there all the "
                      "same; “--characteristic” tells more of each.");
  if (told < all->n || all->n == 0)
    bt_text_add(out, "\n");
}

bt_status bt_report_drift(const bt_unit_study *unit, const bt_drift *only, bt_text *out,
                          bt_error *error) {
  const bt_unit_drift *all = unit->drift;
  bt_text words = {0};
  if (only != NULL)
    add_one(unit, only, out);
  for (size_t i = 0; only == NULL && i < all->n; i++)
    if (report_drift_is_told(&all->drift[i]))
      add_one(unit, &all->drift[i], out);
  for (size_t i = 0; only == NULL && i < all->n; i++)
    if (!report_drift_is_told(&all->drift[i])) {
      report_drift_short(&all->drift[i], &words);
      bt_text_add(&words, ".");
      report_drift_suspected(&all->drift[i], &words);
      answer(out, "", &words);
    }
  if (only == NULL)
    add_looked_at(all, out);
  report_wrap_plain(out, "", report_caution);
  bt_text_free(&words);
  return bt_text_ok(out) ? BT_OK : bt_fail_memory(error);
}
