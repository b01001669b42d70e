/* The details under the answers on a drift: what was looked at, events, covariates, what moved
 * beside it, past forecasts, dioptres, and the days to look back to. */
#include "report_drift.h"

/* Who asks a hundred times finds one of the hundred under 0.01. */
static const char single_p[] = "how often chance alone would give as much, of this one question";

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
    bt_text_format(
        out,
        "; their scatter (variance) is %s times that before (%s to %s), %s (test of Brown "
        "and Forsythe)",
        report_number(about->ratio, 1, number), report_number(about->ratio_low, 1, low),
        report_number(about->ratio_high, 1, high), report_p(about->spread_p, p));
  bt_text_format(out, "; the last %zu before it (as found): %s", about->as_found.n,
                 report_number(about->as_found.mean, decimals, number));
  bt_text_format(out, "; the first %zu after it (as left): %s", about->as_left.n,
                 report_number(about->as_left.mean, decimals, number));
}

/* Which of two differences counts, and what lies between told and not told. */
static void add_counts(const bt_comparison *beyond, bt_text *out) {
  bool perhaps = beyond->has_interval && (beyond->low > 0 || beyond->high < 0) && beyond->p >= 0.01;
  bt_text_add(out, " (while the line goes on, this counts, not the difference before it)");
  if (perhaps)
    bt_text_add(out, ": perhaps a difference; a single look does not settle it");
}

static void add_beyond(const bt_drift *drift, const bt_event_effect *effect, bt_text *out) {
  const bt_comparison *beyond = &effect->beyond;
  char p[REPORT_NUMBER_TEXT];
  if (!beyond->given)
    return;
  bt_text_add(out, effect->moved ? "; the line fitted up to it, carried on over it, taken off: "
                                 : "; the fitted line, which falls or rises all the while, taken "
                                   "off: ");
  report_drift_rate(drift, beyond->difference, beyond->low, beyond->high, "", 1, out);
  if (beyond->has_interval)
    bt_text_format(out, ", %s", report_p(beyond->p, p));
  if (!effect->moved) /* else the line ended with it */
    add_counts(beyond, out);
}

/* Whether it differs after the event; what lies between told and not told is said so. */
static void add_side(const bt_event_effect *effect, bt_text *out) {
  const bt_comparison *about = &effect->about;
  if (!about->has_interval)
    return;
  const char *side = about->difference < 0 ? "lower" : "higher";
  if (effect->differs)
    bt_text_format(out, "%s after it; ", side);
  else if (about->low > 0 || about->high < 0)
    bt_text_format(out, "perhaps %s after it, which a single look does not settle; ", side);
  else
    bt_text_add(out, "no difference told from chance; ");
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
    else {
      add_side(&drift->events[i], &words);
      add_comparison(drift, about, &words);
      add_beyond(drift, &drift->events[i], &words);
    }
    report_drift_answer(out, "    ", &words);
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
    report_drift_answer(out, "    ", &words);
  }
  bt_text_free(&words);
}

static void add_look_back(const bt_drift *drift, bt_text *out) {
  const bt_look_back *of = &drift->look_back;
  bt_text words = {0};
  char date[REPORT_DATE_TEXT];
  if (!report_drift_looks_back(drift))
    return;
  bt_text_format(out, "  Days with a check in this log since the last %s before the change\n",
                 drift->tolerance != NULL ? "good one" : "one");
  bt_text_add(&words, "Beamtally does not know on which of them the laser was used. ");
  report_drift_last_good(drift, &words);
  if (report_drift_is_changed(drift) && report_drift_was_changed(drift))
    bt_text_format(&words,
                   "The days of the change until %s are not among these: the command above "
                   "lists them. ",
                   report_short_date(drift->before.until, date));
  report_count(&words, of->days, "day", "days");
  if (of->days > 0) {
    bt_text_add(&words, ": ");
    report_drift_days_by_month(drift->look_back_day, of->days, &words);
  }
  bt_text_add(&words, ".");
  if (of->days > REPORT_DAYS_ONE_BY_ONE)
    bt_text_add(&words, " Each day: “--format json”, or the pages of “beamtally evidence”.");
  if (of->restored != BT_NONE)
    bt_text_format(&words, " They end at the check of %s, after what brought it back.",
                   report_short_date(drift->study->checks.at[of->restored], date));
  report_drift_answer(out, "    ", &words);
  bt_text_free(&words);
}

static void add_dioptres(const bt_drift *drift, bt_text *out) {
  const bt_dioptres *of = &drift->dioptres;
  bt_text words = {0};
  if (!of->given || !report_drift_is_changed(drift))
    return;
  bt_text_add(&words, "From ");
  report_dioptre_words(of, " with a threshold of", &words);
  bt_text_add(out, "  How much that is: an aid to judge its importance, no figure to treat by\n");
  report_drift_answer(out, "    ", &words);
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
    report_drift_answer(out, "    ", &words);
  }
  bt_text_free(&words);
}

/* Energy, fluence and plate side by side: which of them moved. */
static void add_parts(const bt_unit_study *unit, const bt_drift *drift, bt_text *out) {
  static const bt_characteristic parts[] = {BT_ENERGY_RATIO, BT_FLUENCE};
  bt_text words = {0}, plate = {0};
  const bt_drift *fluence = bt_unit_drift_of(unit->drift, BT_FLUENCE);
  bool has_plate = report_drift_plate(unit->drift, &plate);
  if ((drift->characteristic == BT_ENERGY_RATIO || drift->characteristic == BT_FLUENCE) &&
      (has_plate || fluence != NULL)) {
    bt_text_add(out, "  Which part moved\n");
    for (size_t k = 0; k < sizeof parts / sizeof *parts; k++) {
      const bt_drift *part = bt_unit_drift_of(unit->drift, parts[k]);
      if (part != NULL)
        report_drift_short(unit, part, &words);
      report_drift_answer(out, "    ", &words);
    }
    report_drift_together(unit, &words);
    report_drift_answer(out, "    ", &words);
    report_drift_answer(out, "    ", &plate);
  }
  bt_text_free(&words);
  bt_text_free(&plate);
}

void report_drift_details(const bt_unit_study *unit, const bt_drift *drift, bt_text *out) {
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
  bt_text_add(&words, " ");
  report_drift_likelihood(drift, &words);
  report_drift_answer(out, "  ", &words);
  report_drift_left_out(drift, &words);
  report_drift_answer(out, "  ", &words);
  report_drift_far(drift, &words);
  report_drift_answer(out, "  ", &words);
  report_drift_first_signals(drift, &words);
  report_drift_answer(out, "  ", &words);
  report_drift_trend(drift, &words);
  report_drift_answer(out, "  ", &words);
  if (drift->events_n > 0) {
    bt_text_format(
        &words, "Before and after events%s. In brackets: 95" REPORT_JOIN "%% intervals. p: %s",
        drift->study->adjusted ? ", as if each fill were of the mean age" : "", single_p);
    report_drift_answer(out, "  ", &words);
  }
  add_events(unit, drift, out);
  add_meters(unit, drift, out);
  add_parts(unit, drift, out);
  if (drift->covariates_n > 0) {
    bt_text_format(&words,
                   "What it goes along with (covariates), a trend over time taken off. p: %s",
                   single_p);
    report_drift_answer(out, "  ", &words);
  }
  add_covariates(drift, out);
  report_drift_past(drift, out);
  add_dioptres(drift, out);
  add_look_back(drift, out);
  bt_text_free(&words);
}
