/* What alarm limits cost: how often they are expected to be crossed on a laser that has not
 * changed, for all charts together and for this one, with the range that a small baseline leaves.
 */
#include "report_sentences.h"

#include <stdio.h>
#include <string.h>

/* "±4.07σ, CUSUM above 8.25": all digits of the limits, which are whole hundredths. */
static void add_limits(const bt_alarm_limits *alarm, bt_text *out) {
  char number[REPORT_NUMBER_TEXT];
  if (alarm->t2_limit > 0)
    bt_text_format(out, "T² above %s", report_number(alarm->t2_limit, 2, number));
  if (alarm->limit > 0)
    bt_text_format(out, "±%sσ", report_number(alarm->limit, 2, number));
  if (alarm->h > 0)
    bt_text_format(out, "%sCUSUM above %s", alarm->limit > 0 ? ", " : "",
                   report_number(alarm->h, 2, number));
}

static void add_budget(const bt_alarm_limits *alarm, report_words *words) {
  char rate[REPORT_NUMBER_TEXT];
  (void)report_rate(alarm->budget_a_year, rate);
  const char *alarms = strcmp(rate, "1") == 0 ? "alarm" : "alarms";
  if (alarm->charts == 1)
    report_words_add(words,
                     "this laser’s one chart with alarm limits gives about %s false %s a year",
                     rate, alarms);
  else
    report_words_add(
        words, "this laser’s %zu charts with alarm limits together give about %s false %s a year",
        alarm->charts, rate, alarms);
  if (alarm->n > 0)
    report_words_add(words, ", for a %sbaseline of %zu points", alarm->screened ? "screened " : "",
                     alarm->n);
}

/* Where neighbours are alike no rate holds: the sentence on autocorrelation follows. */
static void add_share(const bt_segment *segment, report_words *words) {
  const bt_alarm_limits *alarm = &segment->alarm;
  char share[REPORT_NUMBER_TEXT], low[REPORT_NUMBER_TEXT], high[REPORT_NUMBER_TEXT];
  if (segment->autocorrelation.exceeded)
    report_words_add(words, " whose neighbouring points are unrelated.");
  else if (alarm->share_a_year > 0 && alarm->high > alarm->low)
    report_words_add(
        words,
        ". This chart’s share is about %s a year on average over such baselines; yours "
        "may give between %s and %s.",
        report_rate(alarm->share_a_year, share), report_rate(alarm->low, low),
        report_rate(alarm->high, high));
  else if (alarm->share_a_year > 0)
    report_words_add(words, ". This chart’s share is about %s a year.",
                     report_rate(alarm->share_a_year, share));
  else
    report_words_add(words, ".");
}

void report_alarm_sentence(const bt_study *of, const bt_segment *segment, report_words *words) {
  const bt_alarm_limits *alarm = &segment->alarm;
  size_t n = segment->chart.n;
  report_words_next(words);
  if (alarm->given) {
    bt_text limits = {0};
    add_limits(alarm, &limits);
    report_words_add(words, "Alarm limits (%s) are set so that ", bt_text_get(&limits));
    add_budget(alarm, words);
    add_share(segment, words);
    report_text_pass(&limits, &words->text);
    return;
  }
  const char *all_the_same =
      report_tolerance(of) != NULL ? "; a check outside tolerance is an alarm all the same" : "";
  if (n > 0 && n < REPORT_FEW_POINTS)
    report_words_add(words,
                     "With under 30 points in the baseline the limits are uncertain, and there are "
                     "notices only%s.",
                     all_the_same);
  else
    report_words_add(words, "This chart has no alarm limits: its signals are notices%s.",
                     all_the_same);
}

void report_alarm_brief(const bt_study *of, const bt_segment *segment, report_words *words) {
  const bt_alarm_limits *alarm = &segment->alarm;
  char rate[REPORT_NUMBER_TEXT], share[REPORT_NUMBER_TEXT];
  char low[REPORT_NUMBER_TEXT], high[REPORT_NUMBER_TEXT];
  bt_text limits = {0};
  if (!alarm->given) {
    report_alarm_sentence(of, segment, words);
    return;
  }
  add_limits(alarm, &limits);
  (void)report_rate(alarm->budget_a_year, rate);
  report_words_next(words);
  report_words_add(words, "Alarm limits (%s): about %s false %s a year of ", bt_text_get(&limits),
                   rate, strcmp(rate, "1") == 0 ? "alarm" : "alarms");
  if (alarm->charts == 1)
    report_words_add(words, "this laser’s one chart with alarm limits");
  else
    report_words_add(words, "this laser’s %zu charts with alarm limits", alarm->charts);
  if (!segment->autocorrelation.exceeded && alarm->share_a_year > 0 && alarm->high > alarm->low)
    report_words_add(words,
                     "; of this one %s on average over such baselines, yours may give %s to %s",
                     report_rate(alarm->share_a_year, share), report_rate(alarm->low, low),
                     report_rate(alarm->high, high));
  report_words_add(words, ".");
  report_text_pass(&limits, &words->text);
}

/* Some alarming chart's neighbours are alike, so that no rate holds. */
static bool any_alike(const bt_unit_study *unit) {
  for (size_t i = 0; i < unit->studies_n; i++) {
    const bt_segment *now = bt_study_now(unit->studies[i]);
    if (now != NULL && now->alarm.given && now->autocorrelation.exceeded)
      return true;
  }
  return false;
}

static size_t alarming_charts(const bt_unit_study *unit, bool *tracker) {
  size_t n = 0;
  *tracker = false;
  for (size_t i = 0; i < unit->studies_n; i++) {
    const bt_study *of = unit->studies[i];
    const bt_segment *now = bt_study_now(of);
    if (now == NULL || !now->alarm.given)
      continue;
    n = now->alarm.charts > n ? now->alarm.charts : n;
    *tracker |= of->characteristic == BT_TRACKER_VECTOR || of->characteristic == BT_TRACKER_X ||
                of->characteristic == BT_TRACKER_Y;
  }
  return n;
}

void report_alarm_words(const bt_unit_study *unit, bt_text *out) {
  char rate[REPORT_NUMBER_TEXT];
  if (!(unit->false_alarms_a_year > 0)) {
    bt_text_add(out,
                "no chart has alarm limits yet: a signal is a notice, a check outside tolerance "
                "an alarm");
    return;
  }
  bool tracker;
  size_t n = alarming_charts(unit, &tracker);
  (void)report_rate(unit->false_alarms_a_year, rate);
  bt_text_format(out, "about %s a year expected of the ", rate);
  if (n == 1)
    bt_text_add(out, "one chart with alarm limits");
  else
    bt_text_format(out, "%zu charts with alarm limits together%s", n,
                   tracker ? " (the tracker’s T², x and y count as one)" : "");
  if (any_alike(unit))
    bt_text_add(out, "; more where neighbouring points are alike");
}
