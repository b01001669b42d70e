/* One characteristic in plain half-sentences, for people who read nothing but the summary. Dates
 * are those of flagged points; levels are means of the newest ones. */
#include "report_episodes.h"
#include "report_sentences.h"

#include <math.h>

static void flagged(const bt_study *of, report_words *words) {
  const bt_episode *low = report_open_on(of, BT_LOW), *high = report_open_on(of, BT_HIGH);
  const bt_episode *named = low != NULL ? low : high;
  char first[REPORT_DATE_TEXT], last[REPORT_DATE_TEXT];
  if (named == NULL)
    return;
  (void)report_short_date(of->points.at[named->first], first);
  (void)report_short_date(of->points.at[named->last], last);
  report_words_add(words, " flagged as %s at ", report_side_word(named->side));
  if (named->signals == 1)
    report_words_add(words, "one point");
  else
    report_words_add(words, "%zu points", named->signals);
  report_episode_strengths(of, named, &words->text);
  if (named->signals == 1)
    report_words_add(words, ", on %s", last);
  else
    report_words_add(words, ", the first on %s and the last on %s", first, last);
  if (low != NULL && high != NULL)
    report_words_add(words, "; as high at %zu as well", high->signals);
}

static void level(const bt_study *of, report_words *words) {
  if (of->recent_n < 2 || !report_has_limits(bt_study_now(of)) || report_has_one_limit(of))
    return;
  bt_text size = {0};
  report_add_size(of, fabs(of->recent_shift), &size);
  const char *shown = bt_text_get(&size);
  report_words_add(words, "%s the last %zu points lie on average ",
                   words->text.length > 0 ? ";" : "", of->recent_n);
  if (*shown != '+') /* rounded, it is none */
    report_words_add(words, "at the centre");
  else {
    report_words_bold(words, "%s", shown + 1);
    report_words_add(words, " %s the centre", of->recent_shift < 0 ? "below" : "above");
  }
  report_text_pass(&size, &words->text);
}

static void tolerance_now(const bt_study *of, report_words *words) {
  const bt_tolerance_finding *tolerance = &of->tolerance;
  char date[REPORT_DATE_TEXT];
  if (tolerance->last_is_outside)
    return;
  if (tolerance->now != NULL && tolerance->judged > 0) {
    report_words_add(words, " The last check (%s) is inside tolerance",
                     report_short_date(of->checks.at[of->checks.n - 1], date));
    report_retest_told(of, &words->text);
    report_words_add(words, ".");
  } else if (report_may_have_tolerance(of) && tolerance->now == NULL && tolerance->to_come == NULL)
    report_words_add(words, " No tolerance is entered for it.");
  else if (report_may_have_tolerance(of) && tolerance->now == NULL)
    report_words_add(words, " Its tolerance begins on %s.",
                     report_short_date(tolerance->to_come->from, date));
}

void report_lead_stale(const bt_unit_study *unit, const bt_study *of, report_words *words) {
  bt_text stale = {0};
  if (!report_is_told_current(unit, of))
    report_stale_words(unit, of, &stale);
  if (!bt_text_empty(&stale))
    report_words_add(words, " (Its %s.)", bt_text_get(&stale));
  report_text_pass(&stale, &words->text);
}

void report_lead(const bt_unit_study *unit, const bt_study *of, report_words *words) {
  const bt_tolerance_finding *tolerance = &of->tolerance;
  report_words_bold(words, "%s:", of->quantity.title);
  if (tolerance->last_is_outside) {
    bt_text value = {0};
    report_last_value(of, true, &value);
    report_words_add(words, " ");
    report_words_bold(words, "the last check is outside tolerance");
    report_words_add(words, " (%s)", bt_text_get(&value));
    report_retest_told(of, &words->text);
    report_text_pass(&value, &words->text);
    if (report_open_on(of, BT_LOW) != NULL || report_open_on(of, BT_HIGH) != NULL)
      report_words_add(words, ";");
  }
  flagged(of, words);
  level(of, words);
  report_words_add(words, ".");
  tolerance_now(of, words);
  report_lead_stale(unit, of, words);
}
