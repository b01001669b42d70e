/* What a page stands on: whose limits, from how many points, adjusted or raw, and what is uncertain
 * about them. */
#include "report_sentences.h"

#include <stdio.h>

static void limits_sentence(const bt_segment *segment, report_words *words) {
  const bt_baseline *baseline = &segment->baseline;
  char period[REPORT_DATE_TEXT];
  size_t n = segment->chart.n;
  if (segment->stated && n == 0) {
    report_words_add(words, "Centre and sigma were stated for this analysis.");
    return;
  }
  (void)report_short_period(baseline->from, baseline->to, period);
  const char *points = n == 1 ? "point" : "points";
  if (segment->stated)
    report_words_add(words,
                     "Centre or sigma was stated for this analysis; the other comes from %zu %s "
                     "(%s).",
                     n, points, period);
  else if (segment->provisional) {
    size_t all = segment->phase2 - segment->from;
    report_words_add(words, "Limits are provisional: suggested from the first %zu %s (%s), ",
                     all > n ? all : n, all > 1 ? "points" : points, period);
    if (all > n)
      report_words_add(words, "%zu of them used, ", n);
    report_words_add(words, "frozen by nobody yet.");
  } else if (baseline->by != NULL && *baseline->by != '\0')
    report_words_add(words, "Limits were frozen by %s from %zu %s (%s).", baseline->by, n, points,
                     period);
  else
    report_words_add(words, "Limits come from %zu %s (%s).", n, points, period);
}

/* "0.0042 (95 %)": what few points leave open. */
static void uncertainty_sentence(const bt_study *of, const bt_segment *segment,
                                 report_words *words) {
  const bt_uncertainty *found = &segment->uncertainty;
  char a[REPORT_NUMBER_TEXT], b[REPORT_NUMBER_TEXT], c[REPORT_NUMBER_TEXT], d[REPORT_NUMBER_TEXT];
  if (!found->given || segment->chart.n >= REPORT_FEW_POINTS)
    return;
  int decimals = report_decimals(&of->quantity, segment->chart.sigma);
  report_words_next(words);
  report_words_add(words,
                   "So few points leave open what the limits should be: sigma, the usual scatter, "
                   "is between %s and %s",
                   report_number(found->sigma_low, decimals + 1, a),
                   report_number(found->sigma_high, decimals + 1, b));
  report_words_add(words, " (95 %%), so the upper limit belongs between %s and %s, the lower",
                   report_number(found->ucl_low, decimals, a),
                   report_number(found->ucl_high, decimals, b));
  report_words_add(words, " between %s and %s.", report_number(found->lcl_low, decimals, c),
                   report_number(found->lcl_high, decimals, d));
}

/* What a point of T² is, which no unit says. */
static void vector_sentence(const bt_study *of, report_words *words) {
  if (of->characteristic != BT_TRACKER_VECTOR)
    return;
  report_words_next(words);
  report_words_add(words, "T² tells how far an offset lies from its usual place, x and y taken "
                          "together and measured by their usual scatter; it has no unit.");
}

/* What a point of the radius is, and its limit. */
static void radius_sentence(const bt_study *of, const bt_segment *segment, report_words *words) {
  if (of->characteristic != BT_TRACKER_RADIAL || segment->radial.n == 0)
    return;
  report_words_next(words);
  report_words_add(words, "Each point is the length of its day’s mean offset (x, y); 99.73 %% of "
                          "such lengths lie below the limit if the tracker does as in the "
                          "baseline.");
}

/* Why they were left out: the one reason, or each with its count. */
static void reasons(const size_t *counts, const char *const *why, size_t n, report_words *words) {
  size_t kinds = 0, told = 0;
  for (size_t i = 0; i < n; i++)
    kinds += counts[i] > 0;
  for (size_t i = 0; i < n; i++) {
    if (counts[i] == 0)
      continue;
    if (told++ > 0)
      report_words_add(words, ", ");
    if (kinds > 1)
      report_words_add(words, "%zu ", counts[i]);
    report_words_add(words, "%s", why[i]);
  }
  report_words_add(words, ".");
}

/* A point outside tolerance is left out before the first pass of the screening. */
static void left_out_sentence(const bt_study *of, const bt_segment *segment, report_words *words) {
  const char *const why[] = {"outside tolerance",
                             report_has_one_limit(of) ? "beyond the limit" : "beyond 3σ",
                             "of unknown fill age"};
  size_t counts[] = {0, 0, report_without_age(of, segment)}, n = segment->exclusions_n + counts[2];
  for (size_t i = 0; i < segment->exclusions_n; i++)
    counts[segment->exclusions[i].pass == 0 ? 0 : 1]++;
  if (n > 0) {
    report_words_next(words);
    report_words_add(words, "%zu %s left out of the baseline: ", n,
                     n == 1 ? "point was" : "points were");
    reasons(counts, why, sizeof counts / sizeof *counts, words);
  }
  if (segment->screen_stopped) {
    report_words_next(words);
    report_words_add(words, "Screening stopped: a further pass would have left out more than 10 %% "
                            "of the baseline.");
  }
}

/* How much an adjusted chart moves its points, in brief whereto alone; or why it doesn't. */
static void age_sentence(const bt_study *of, const bt_segment *segment, bool brief,
                         report_words *words) {
  const char *raw = NULL;
  char counted[REPORT_NUMBER_TEXT * 2];
  switch (segment->slope.use) {
  case BT_AGE_USED:
    break;
  case BT_AGE_NOT_ASKED:
    raw = bt_characteristic_gas(of->characteristic) == BT_GAS_NONE ? NULL
          : segment->baseline.version > 0 ? "the baseline was frozen as measured"
                                          : "not asked for";
    break;
  case BT_AGE_NO_FILLS:
    if (segment->slope.fills < 2)
      raw = "no refill inside the baseline is known, and 3 gas fills are needed";
    else if (segment->slope.fills < 3)
      raw = "the baseline holds 2 gas fills, where 3 are needed";
    else
      raw = "no gas fill of the baseline has a known age";
    break;
  case BT_AGE_FEW_DF:
    raw = counted;
    (void)snprintf(counted, sizeof counted,
                   "the baseline’s %zu checks in %zu gas fills are too few to tell it by",
                   segment->slope.n, segment->slope.fills);
    break;
  case BT_AGE_NOT_SIGNIFICANT:
    raw = "no trend inside the gas fills could be told from zero (95 %)";
    break;
  }
  if (of->adjusted && brief) {
    report_words_next(words);
    report_words_add(words, "Points are moved to the mean fill age of the baseline, %s days.",
                     report_number(segment->slope.mean_age_days, 1, counted));
  } else if (of->adjusted) {
    char mean[REPORT_NUMBER_TEXT];
    bt_text day = {0};
    report_loss_words(of, segment, &day);
    report_words_next(words);
    report_words_add(words,
                     "Each point is moved to the baseline’s mean fill age (%s days): inside a fill "
                     "the reading changes by %s.",
                     report_number(segment->slope.mean_age_days, 1, mean), bt_text_get(&day));
    report_text_pass(&day, &words->text);
    if (of->pulses_per_day > 0)
      report_words_add(words, " Fill age is counted by pulses: a day of it stands for %s.",
                       report_number(of->pulses_per_day, 0, mean));
  } else if (raw != NULL) {
    report_words_next(words);
    if (segment->chart.n == 0)
      report_words_add(words, "Readings are charted as measured.");
    else
      report_words_add(words, "Readings are charted as measured; adjustment for fill age: %s.",
                       raw);
  }
}

/* Likeness makes false signals more frequent. Unlikeness widens the moving ranges, so that sigma
 * comes out too large and the chart sees less; unless sigma was stated and comes from none. */
static void autocorrelation_sentence(const bt_segment *segment, report_words *words) {
  const bt_autocorrelation *of = &segment->autocorrelation;
  char lag1[REPORT_NUMBER_TEXT], high[REPORT_NUMBER_TEXT];
  if (!of->exceeded)
    return;
  (void)report_number(of->lag1, 2, lag1);
  report_words_next(words);
  if (of->lag1 > of->bound)
    report_words_add(words,
                     "Neighbouring points of the baseline are alike (lag-1 autocorrelation %s): "
                     "false signals will be more frequent than the tables say.",
                     lag1);
  else if (of->lag1 < -of->bound)
    report_words_add(
        words, "Neighbouring points of the baseline are unlike (lag-1 autocorrelation %s)%s", lag1,
        segment->chart.df > 0 ? ": sigma, which comes from their differences, is too "
                                "large, so the chart sees less."
                              : ".");
  else
    report_words_add(words,
                     "It cannot be ruled out that neighbouring points of the baseline are alike "
                     "(lag-1 autocorrelation %s, perhaps up to %s); false signals would then be "
                     "more frequent than the tables say.",
                     lag1, report_number(of->high, 2, high));
}

/* Limits of means of several checks are narrow for a day that has one. */
static void few_checks_sentence(const bt_study *of, const bt_segment *segment,
                                report_words *words) {
  const bt_series *points = &of->points;
  double checks = 0;
  size_t few = 0;
  if (segment->phase2 == segment->from)
    return; /* limits that were stated come from no points */
  for (size_t p = segment->from; p < segment->phase2; p++)
    checks += points->checks[p];
  for (size_t p = segment->phase2; p < segment->to; p++)
    few += of->judged[p] == 1 &&
           2 * points->checks[p] * (double)(segment->phase2 - segment->from) <= checks;
  if (few == 0)
    return;
  report_words_next(words);
  report_words_add(
      words,
      "%zu of the points judged %s of half as many checks as is usual in the baseline, "
      "or fewer: such means can scatter more, and then signal more often than the "
      "tables and the alarm limits say.",
      few, few == 1 ? "is the mean" : "are means");
}

/* In brief without what raises no doubt: a baseline in which no drift was found. */
static void doubts(const bt_study *of, const bt_segment *segment, bool brief, report_words *words) {
  char number[REPORT_NUMBER_TEXT];
  if (!brief || segment->stability.drifting || segment->baseline.drift_accepted)
    report_stability_sentence(segment, words);
  report_refit_sentence(of, segment, words);
  if (brief)
    report_alarm_brief(of, segment, words);
  else
    report_alarm_sentence(of, segment, words);
  /* One limit is a quantile: likeness of neighbours leaves its share of signals alone. */
  if (segment->chart.n > 0 && !report_has_one_limit(of))
    autocorrelation_sentence(segment, words);
  few_checks_sentence(of, segment, words);
  if (segment->resolution.coarse && !segment->resolution.useless) {
    bt_text step = {0};
    bt_text_add(&step, report_plain(segment->resolution.step, number));
    report_add_unit(&step, &of->quantity);
    report_words_next(words);
    report_words_add(words, "Readings go in steps of %s, coarser than sigma: log more digits.",
                     bt_text_get(&step));
    report_text_pass(&step, &words->text);
  }
}

void report_basis(const bt_study *of, report_words *words) {
  const bt_segment *segment = bt_study_now(of);
  if (!report_has_limits(segment))
    return;
  limits_sentence(segment, words);
  uncertainty_sentence(of, segment, words);
  radius_sentence(of, segment, words);
  vector_sentence(of, words);
  if (segment->chart.n > 0)
    left_out_sentence(of, segment, words);
  age_sentence(of, segment, false, words);
  doubts(of, segment, false, words);
}

void report_basis_brief(const bt_study *of, report_words *words) {
  const bt_segment *segment = bt_study_now(of);
  if (!report_has_limits(segment))
    return;
  limits_sentence(segment, words);
  uncertainty_sentence(of, segment, words);
  radius_sentence(of, segment, words);
  vector_sentence(of, words);
  if (segment->screen_stopped)
    left_out_sentence(of, segment, words);
  age_sentence(of, segment, true, words);
  doubts(of, segment, true, words);
}

void report_basis_rest(const bt_study *of, bt_text *out) {
  const bt_segment *segment = bt_study_now(of);
  report_words rest = {0};
  if (!report_has_limits(segment))
    return;
  if (!segment->stability.drifting && !segment->baseline.drift_accepted)
    report_stability_sentence(segment, &rest);
  if (segment->chart.n > 0 && !segment->screen_stopped)
    left_out_sentence(of, segment, &rest);
  if (!bt_text_empty(&rest.text))
    bt_text_format(out, "%s. %s", of->quantity.title, bt_text_get(&rest.text));
  out->failed |= rest.text.failed;
  report_words_free(&rest);
}
