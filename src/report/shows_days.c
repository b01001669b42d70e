/* What the days of a page show, and nothing beside them: for pages about an event, whose days lie
 * somewhere in the log. */
#include "report_episodes.h"
#include "report_sentences.h"

static bool signals_of_side(const bt_study *of, bt_side side, bt_time from, bt_time to,
                            report_words *words) {
  size_t begin = 0, end = 0, n = 0, first = 0, last = 0;
  bt_rules bits = 0;
  char date[REPORT_DATE_TEXT];
  report_between(&of->points, from, to, &begin, &end);
  for (size_t p = begin; p < end; p++)
    if (of->rules[side][p] != 0) {
      first = n++ == 0 ? p : first;
      last = p;
      bits |= of->rules[side][p];
    }
  if (n == 0)
    return false;
  bt_text rules = {0};
  report_rule_names(of, bits, &rules);
  report_words_next(words);
  report_words_add(words, "Signals on the %s side: %s, ", report_side_word(side),
                   bt_text_get(&rules));
  if (n == 1)
    report_words_add(words, "at one point, on ");
  else
    report_words_add(words, "at %zu points, the first on ", n);
  report_words_bold(words, "%s", report_short_date(of->points.at[first], date));
  if (n > 1)
    report_words_add(words, " and the last on %s", report_short_date(of->points.at[last], date));
  report_words_add(words, ".");
  report_text_pass(&rules, &words->text);
  return true;
}

void report_shows_days(const bt_unit_study *unit, const bt_study *of, bt_time from, bt_time to,
                       report_words *words) {
  size_t first = 0, end = 0, judged = 0;
  report_between(&of->points, from, to, &first, &end);
  for (size_t p = first; p < end; p++)
    judged += of->judged[p] != 0;
  report_words_bold(words, "What these days show.");
  bt_text_add(&words->text, " ");
  size_t before = words->text.length;
  report_tolerance_in_days(unit, of, from, to, words);
  if (words->text.length > before)
    report_words_next(words);
  bool low = signals_of_side(of, BT_LOW, from, to, words);
  bool high = signals_of_side(of, BT_HIGH, from, to, words);
  if (!low && !high && judged > 0)
    report_words_add(words, "No rule signalled (%zu %s judged).", judged,
                     judged == 1 ? "point" : "points");
  else if (!low && !high)
    report_words_add(words, "No point is judged by the rules.");
  report_within_sentence(of, from, to, words);
  if (judged > 0)
    report_aside_sentences(of, from, to, words);
}
