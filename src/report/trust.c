/* How far the baseline itself can be trusted: whether its period drifts, with the power of the
 * test; and whether it reads otherwise today than when it was frozen. */
#include "report_sentences.h"

static void drift_numbers(double trend_p, double step_p, report_words *words) {
  char trend[REPORT_NUMBER_TEXT], step[REPORT_NUMBER_TEXT];
  report_words_add(words, "(trend %s, step %s)", report_p(trend_p, trend), report_p(step_p, step));
}

static void suggested_sentence(const bt_stability *found, report_words *words) {
  char number[REPORT_NUMBER_TEXT];
  report_words_next(words);
  if (found->drifting) {
    report_words_bold(words, "The points that they were suggested from drift ");
    drift_numbers(found->trend_p, found->step_p, words);
    report_words_add(words, ": choose another period, or say why when freezing this one "
                            "(--accept-drift).");
    return;
  }
  report_words_add(words, "No drift of the baseline’s own points could be told ");
  drift_numbers(found->trend_p, found->step_p, words);
  if (found->detectable > 0)
    report_words_add(words, ". A shift of %sσ between their halves would be found 8 times in 10.",
                     report_number(found->detectable, 1, number));
  else
    report_words_add(words, ".");
}

void report_stability_sentence(const bt_segment *segment, report_words *words) {
  const bt_stability *found = &segment->stability;
  if (segment->stated)
    return;
  if (segment->provisional) {
    if (found->n > 0)
      suggested_sentence(found, words);
    return;
  }
  if (segment->baseline.drift_accepted) {
    report_words_next(words);
    report_words_add(words, "The baseline was frozen although its period drifts ");
    drift_numbers(segment->baseline.trend_p, segment->baseline.step_p, words);
    report_words_add(words, ".");
  } else if (found->n > 0 && found->drifting) {
    report_words_next(words);
    report_words_add(words, "As it reads today, the baseline’s period drifts ");
    drift_numbers(found->trend_p, found->step_p, words);
    report_words_add(words, ".");
  }
}

void report_refit_sentence(const bt_study *of, const bt_segment *segment, report_words *words) {
  const bt_refit *refit = &segment->refit;
  char low[REPORT_NUMBER_TEXT], high[REPORT_NUMBER_TEXT];
  if (!refit->differs || segment->provisional || segment->stated)
    return;
  report_words_next(words);
  report_words_bold(words, "The frozen baseline’s period reads otherwise today");
  report_words_add(words, " (a correction, late entry or retest): ");
  int decimals = report_decimals(&of->quantity, refit->sigma);
  if (!refit->given)
    report_words_add(words, "no limits could be taken from its %zu points now.", refit->n);
  else if (report_has_one_limit(of))
    report_words_add(words, "from its %zu points the limit would be %s.", refit->n,
                     report_number(refit->ucl, decimals, high));
  else
    report_words_add(words, "from its %zu points the limits would be %s and %s.", refit->n,
                     report_number(refit->lcl, decimals, low),
                     report_number(refit->ucl, decimals, high));
  report_words_add(words, " Those drawn stay until somebody freezes again.");
}
