/* What the first page says before its table: a paragraph a characteristic that wants a look.
 *
 * R1 A check that is missing comes first, since all else is then of the past.
 *    Next to it what failed within the month, though the last check did not.
 * R2 Then a last check outside tolerance; then what drifts, as drift_order.c has it; then an open
 *    alarm, and an open notice.
 * R3 There are as many as the page has room for; what drifts and has none is named under the
 *    table. */
#include "report_drift.h"

#include <stdlib.h>

enum { OUTSIDE, DRIFT, ALARM, NOTICE, UNFLAGGED };

typedef struct lead {
  const bt_study *of;
  const bt_drift *drift; /* or NULL: it has nothing of its own to tell */
  int rank;              /* R2 */
  size_t order;
} lead;

static const bt_drift *told_drift(const bt_unit_study *unit, const bt_study *of) {
  for (size_t i = 0; unit->drift != NULL && i < unit->drift->n; i++)
    if (unit->drift->drift[i].study == of && report_drift_is_told(&unit->drift->drift[i]))
      return &unit->drift->drift[i];
  return NULL;
}

static lead lead_of(const bt_unit_study *unit, const bt_study *of, size_t order) {
  lead one = {.of = of, .drift = told_drift(unit, of), .order = order, .rank = UNFLAGGED};
  bt_verdict verdict = bt_study_shown_verdict(of);
  if (!report_is_judged(of))
    return one;
  one.rank = verdict == BT_VERDICT_OUT_OF_TOLERANCE ? OUTSIDE
             : one.drift != NULL                    ? DRIFT
             : verdict == BT_VERDICT_ALARM          ? ALARM
             : verdict == BT_VERDICT_NOTICE         ? NOTICE
                                                    : UNFLAGGED;
  return one;
}

static int in_order(const void *a, const void *b) {
  const lead *x = a, *y = b;
  if (x->rank != y->rank)
    return x->rank - y->rank;
  if (x->drift != NULL && y->drift != NULL)
    return report_drift_order(x->drift, y->drift);
  if ((x->drift == NULL) != (y->drift == NULL))
    return x->drift != NULL ? -1 : 1;
  return x->order < y->order ? -1 : x->order > y->order;
}

/* All that are flagged or drift, in order; owned. */
static lead *find(report_builder *builder, const bt_unit_study *unit, size_t *n) {
  lead *found = bt_new(unit->studies_n, sizeof *found);
  *n = 0;
  if (found == NULL) {
    report_no_memory(builder);
    return NULL;
  }
  for (size_t i = 0; i < unit->studies_n; i++) {
    lead one = lead_of(unit, unit->studies[i], i);
    if (one.rank != UNFLAGGED)
      found[(*n)++] = one;
  }
  if (*n > 1)
    qsort(found, *n, sizeof *found, in_order);
  return found;
}

static double put(report_builder *builder, double y, report_words *words) {
  report_frame frame = report_frame_of(builder);
  double height = 0;
  if (!bt_text_empty(&words->text))
    height = 0.8 + report_paragraph(builder, frame.left, y, frame.right - frame.left, BT_STYLE_BODY,
                                    BT_INK_TEXT, words)
                       .height;
  if (words->text.failed)
    report_no_memory(builder);
  report_words_free(words);
  return y + height;
}

void report_lead_current(const bt_unit_study *unit, report_words *words) {
  char date[REPORT_DATE_TEXT], end[REPORT_DATE_TEXT], number[REPORT_NUMBER_TEXT];
  (void)report_short_date(unit->until - 1, end);
  if (!unit->has_check) {
    report_words_bold(words, "No check:");
    report_words_add(words,
                     " the log holds none up to %s. Import it with “beamtally import”, or find out "
                     "why none was made.",
                     end);
    return;
  }
  if (unit->current)
    return;
  int64_t days = bt_day_of(unit->until - 1) - bt_day_of(unit->last_check);
  report_words_bold(words, "No current check:");
  report_words_add(words, " the last one is of ");
  report_words_bold(words, "%s", report_short_date(unit->last_check, date));
  report_words_add(words, ", ");
  report_count(&words->text, (uint64_t)days, "day", "days");
  report_words_add(words,
                   " before %s, the last day of this record; one is expected within %s days. ", end,
                   report_plain(unit->expected_days, number));
  report_words_add(words, "Import the log with “beamtally import”, or find out why no check was "
                          "made. All that follows is of the checks up to then.");
}

/* Told in one line, where no paragraph has room: a failed check, which comes first, has its own. */
static bool is_one_line(const lead *found, size_t most) {
  return most == 0 && found->drift != NULL && found->rank == DRIFT;
}

/* The names of those that drift, or of the others; how many. */
static size_t names_of(const lead *found, size_t n, bool drifts, report_words *words) {
  size_t of = 0, named = 0;
  for (size_t i = 0; i < n; i++)
    of += (found[i].drift != NULL) == drifts;
  for (size_t i = 0; i < n; i++)
    if ((found[i].drift != NULL) == drifts)
      report_words_add(words, "%s%s", report_list_join(named++, of), found[i].of->quantity.title);
  return of;
}

/* "Fluence has changed as well, Discharge voltage is flagged: see the table." */
static void rest_names(const lead *found, size_t n, report_words *words) {
  enum { MOST_NAMES = 5 };
  if (n > MOST_NAMES) {
    report_words_add(words, "%zu more characteristics have changed or are flagged: see the table.",
                     n);
    return;
  }
  size_t changed = names_of(found, n, true, words);
  if (changed > 0)
    report_words_add(words, " %s changed as well%s", changed == 1 ? "has" : "have",
                     changed < n ? ", " : "");
  size_t flagged = names_of(found, n, false, words);
  if (flagged > 0)
    report_words_add(words, " %s flagged%s", flagged == 1 ? "is" : "are",
                     changed == 0 ? " as well" : "");
  report_words_add(words, ": see the table.");
}

/* "Fluence: the last check is outside tolerance (171.1 mJ/cm² on 25 Sep 2026).": what its chart
 * shows stands in the table. */
static void failed_line(const bt_study *of, report_words *words) {
  bt_text value = {0};
  report_last_value(of, true, &value);
  report_words_bold(words, "%s: the last check is outside tolerance", of->quantity.title);
  report_words_add(words, " (%s).", bt_text_get(&value));
  report_text_pass(&value, &words->text);
}

/* Of those without a paragraph: the weightiest in a line where there is none at all, the others by
 * their names. */
static void rest_words(const bt_unit_study *unit, const lead *found, size_t n, size_t most,
                       report_words *words) {
  if (n == 0 && unit->has_check && unit->current && !report_is_failing(unit->verdict))
    report_words_add(words, "No signal is open. That says what the log shows, not that all is well "
                            "with the laser.");
  if (n <= most)
    return;
  size_t told = most;
  if (most == 0) {
    if (is_one_line(found, most))
      report_drift_one_line(unit, found->drift, words);
    else if (found->of->tolerance.last_is_outside)
      failed_line(found->of, words);
    else
      report_lead(unit, found->of, words);
    told = 1;
    report_words_add(words, n > told ? " " : "");
  }
  if (n > told)
    rest_names(found + told, n - told, words);
}

double report_summary_leads(report_builder *builder, const bt_unit_study *unit, bt_time month,
                            size_t most, double y) {
  size_t n = 0;
  lead *found = find(builder, unit, &n);
  report_words words = {0};
  report_lead_current(unit, &words); /* R1 */
  y = put(builder, y, &words);
  report_lead_failed(unit, bt_month_start(month, 0), bt_month_start(month, 1), &words);
  y = put(builder, y, &words);
  for (size_t i = 0; i < n && i < most; i++) {
    if (found[i].drift != NULL)
      report_drift_lead(unit, found[i].drift, i > 0 ? found[i - 1].drift : NULL, &words);
    else
      report_lead(unit, found[i].of, &words);
    y = put(builder, y, &words);
  }
  rest_words(unit, found, n, most, &words);
  y = put(builder, y, &words);
  free(found);
  return y - 0.8;
}

/* The first question to a drift, answered as on its page; on one line where that takes leaving its
 * reason to the page. */
static double gas_line(report_builder *builder, const bt_unit_study *unit, double y) {
  const bt_drift *asked = report_drift_asked_for_gas(unit);
  bt_text words = {0};
  if (asked == NULL)
    asked = report_drift_of_gas(unit);
  if (asked == NULL)
    return y;
  report_drift_gas_brief(unit, asked, true, &words);
  if (!report_summary_fits(builder, bt_text_get(&words))) {
    bt_text_clear(&words);
    report_drift_gas_brief(unit, asked, false, &words);
  }
  y = report_summary_line(builder, y, "Is it the gas?", bt_text_get(&words));
  report_text_end(builder, &words);
  return y;
}

double report_summary_drift_lines(report_builder *builder, const bt_unit_study *unit, size_t most,
                                  bool terse, double y) {
  size_t n = 0, told = 0;
  lead *found = find(builder, unit, &n);
  bt_text words = {0};
  for (size_t i = 0; i < n; i++) {
    told += found[i].drift != NULL;
    if (found[i].drift == NULL || i < most || (i == 0 && is_one_line(&found[i], most)))
      continue;
    bt_text_clear(&words); /* R3 */
    report_drift_headline(unit, found[i].drift, true, &words);
    if (bt_text_empty(&words))
      report_drift_short_about(unit, found[i].drift, &words);
    y = report_summary_line(builder, y, "Drift", bt_text_get(&words));
  }
  bt_text_clear(&words);
  if (told == 0) {
    report_drift_none(unit, true, &words);
    y = report_summary_line(builder, y, "Drift", bt_text_get(&words));
    bt_text_clear(&words);
    report_drift_looked_at(unit, &words);
  } else if (terse)
    report_drift_quiet_brief(unit, &words);
  else
    report_drift_quiet(unit, &words);
  if (!bt_text_empty(&words))
    y = report_summary_line(builder, y, told == 0 ? "Looked at for it" : "Other drift",
                            bt_text_get(&words));
  bt_text_clear(&words);
  report_drift_dates(unit, terse, &words);
  if (!bt_text_empty(&words))
    y = report_summary_line(builder, y, "Dates", bt_text_get(&words));
  y = gas_line(builder, unit, y);
  report_text_end(builder, &words);
  free(found);
  return y;
}
