/* What the days of a page show, and nothing beside them: for pages about an event, whose days lie
 * somewhere in the log. */
#include "report_room.h"

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

report_tolerance_counts report_count_tolerance(const bt_unit_study *unit, const bt_study *of,
                                               bt_time from, bt_time to) {
  size_t first = 0, end = 0;
  report_between(&of->checks, from, to, &first, &end);
  report_tolerance_counts counts = {.checks = end - first};
  for (size_t i = first; i < end; i++) {
    bool judged = bt_settings_tolerance(&unit->settings, unit->history.unit, of->characteristic,
                                        of->checks.at[i]) != NULL;
    counts.judged += judged;
    if (judged && (of->checks.flags[i] & BT_POINT_OUT_OF_TOLERANCE) != 0) {
      counts.outside++;
      counts.last = i;
    }
  }
  return counts;
}

static bool is_same(const bt_tolerance *a, const bt_tolerance *b) {
  return a != NULL && b != NULL && a->from == b->from;
}

/* Where checks shown were judged by another tolerance than the newest, whose lines the chart has.
 */
static void older_tolerances(const bt_unit_study *unit, const bt_study *of, bt_time from,
                             bt_time to, report_words *words) {
  size_t first = 0, end = 0, next;
  char period[REPORT_DATE_TEXT];
  report_between(&of->checks, from, to, &first, &end);
  for (size_t i = first; i < end; i = next) {
    const bt_tolerance *here = bt_settings_tolerance(&unit->settings, unit->history.unit,
                                                     of->characteristic, of->checks.at[i]);
    for (next = i + 1; next < end; next++) {
      const bt_tolerance *then = bt_settings_tolerance(&unit->settings, unit->history.unit,
                                                       of->characteristic, of->checks.at[next]);
      if (then != here && !is_same(then, here))
        break;
    }
    if (here == NULL || is_same(here, of->tolerance.now))
      continue;
    bt_text range = {0};
    report_tolerance_range(here, &of->quantity, &range);
    report_words_next(words);
    report_words_add(words,
                     "The checks of %s were judged by the tolerance then in force, %s; the "
                     "chart draws the newest.",
                     report_short_period(of->checks.at[i], of->checks.at[next - 1], period),
                     bt_text_get(&range));
    report_text_pass(&range, &words->text);
  }
}

void report_tolerance_in_days(const bt_unit_study *unit, const bt_study *of, bt_time from,
                              bt_time to, report_words *words) {
  report_tolerance_counts counts = report_count_tolerance(unit, of, from, to);
  char date[REPORT_DATE_TEXT];
  if (!report_may_have_tolerance(of))
    return;
  if (counts.judged == 0) {
    report_words_add(words, "No tolerance was in force on the days shown.");
    return;
  }
  const char *checks = counts.judged == 1 ? "check" : "checks";
  if (counts.outside == 0 && counts.checks == 1)
    report_words_add(words, "The one check shown");
  else if (counts.outside == 0)
    report_words_add(words, "None of the %zu %s shown", counts.judged, checks);
  else
    report_words_bold(words, "%zu of the %zu %s", counts.outside, counts.judged, checks);
  report_words_add(words, "%s%s", counts.outside == 0 ? "" : " shown",
                   counts.judged < counts.checks ? " that were made under a tolerance" : "");
  if (counts.outside == 0 && counts.checks == 1)
    report_words_add(words, " is inside tolerance");
  else
    report_words_add(words, " %s outside tolerance", counts.outside <= 1 ? "is" : "are");
  if (counts.outside > 0)
    report_words_add(words, "%s on %s", counts.outside == 1 ? "," : ", the last",
                     report_short_date(of->checks.at[counts.last], date));
  report_words_add(words, ".");
  older_tolerances(unit, of, from, to, words);
}

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
  report_words_add(words, "Signals on the %s side: %s, ", side == BT_LOW ? "low" : "high",
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
