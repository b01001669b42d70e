/* What a chart shows beside signals: days whose checks differ too much among themselves, points
 * that no rule judges, and checks that are in no point. */
#include "report_sentences.h"

void report_within_sentence(const bt_study *of, bt_time from, bt_time to, report_words *words) {
  size_t first = 0, last = 0, n = 0, newest = 0;
  char date[REPORT_DATE_TEXT];
  report_between(&of->points, from, to, &first, &last);
  for (size_t i = first; i < last && of->within_s_ucl != NULL; i++)
    if (of->within_s_ucl[i] > 0 && of->points.within_s[i] > of->within_s_ucl[i]) {
      n++;
      newest = i;
    }
  if (n == 0)
    return;
  report_words_next(words);
  (void)report_short_date(of->points.at[newest], date);
  if (n == 1)
    report_words_add(words, "On one day, %s, the checks differ more than the within-day limit.",
                     date);
  else
    report_words_add(
        words, "On %zu days, the last on %s, the checks differ more than the within-day limit.", n,
        date);
}

/* "3 of a fill whose refill is not known, 2 of ..." */
static void add_reason(bt_text *reasons, size_t n, const char *reason) {
  if (n > 0)
    bt_text_format(reasons, "%s%zu %s", reasons->length > 0 ? ", " : "", n, reason);
}

void report_aside_sentences(const bt_study *of, bt_time from, bt_time to, report_words *words) {
  bt_left_out out = bt_study_left_out(of, from, to);
  size_t points = out.unknown_age + out.too_old + out.other_target + out.no_baseline;
  bt_text reasons = {0};
  add_reason(&reasons, out.unknown_age, "of a gas fill whose refill is not known");
  add_reason(&reasons, out.too_old, "of a gas fill older than any in the baseline");
  add_reason(&reasons, out.other_target, "at a target over 1" REPORT_JOIN "% from the baseline’s");
  add_reason(&reasons, out.no_baseline, "before the first baseline");
  if (points > 0) {
    report_words_next(words);
    report_words_add(words, "%zu of the points shown %s not judged by the rules: %s.", points,
                     points == 1 ? "is" : "are", bt_text_get(&reasons));
  }
  bt_text_clear(&reasons);
  add_reason(&reasons, out.retests, out.retests == 1 ? "retest" : "retests");
  add_reason(&reasons, out.as_left, "read after an adjustment");
  if (!bt_text_empty(&reasons)) {
    report_words_next(words);
    report_words_add(words, "%zu %s of the span %s in no point, only judged by tolerance: %s.",
                     out.retests + out.as_left, out.retests + out.as_left == 1 ? "check" : "checks",
                     out.retests + out.as_left == 1 ? "is" : "are", bt_text_get(&reasons));
  }
  words->text.failed |= reasons.failed;
  report_text_pass(&reasons, &words->text);
}
