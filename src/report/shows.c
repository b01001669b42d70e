/* "What it shows.": tolerance first, then control state. Every clause comes from the finding, none
 * says more than it holds; the dates of open signals stand in a table of their own (dates.c). */
#include "report_episodes.h"
#include "report_sentences.h"

const char *const report_room_sentence =
    "Room conditions stand beside the laser’s readings; neither rules nor a tolerance judge them.";

/* Where the newest points lie, beside a signal whose size is that of its beginning. */
static void recent_sentence(const bt_study *of, report_words *words) {
  if (of->recent_n < 2)
    return;
  bt_text size = {0};
  report_add_size(of, of->recent_shift, &size);
  report_words_next(words);
  report_words_add(words, "The last %zu points lie on average ", of->recent_n);
  report_words_bold(words, "%s", bt_text_get(&size));
  report_words_add(words, " from the centre.");
  report_text_pass(&size, &words->text);
}

/* So that freezing again and again can't ratchet a loss away. */
static void first_sentence(const bt_study *of, report_words *words) {
  const bt_from_first *first = &of->from_first;
  char period[REPORT_DATE_TEXT];
  if (!first->given)
    return;
  bt_text size = {0};
  report_add_size(of, first->shift, &size);
  report_words_next(words);
  report_words_add(words, "The newest points lie on average ");
  report_words_bold(words, "%s", bt_text_get(&size));
  report_words_add(words, " from the centre of the first baseline (%s).",
                   report_short_period(first->from, first->to, period));
  report_text_pass(&size, &words->text);
}

static void open_sentence(const bt_study *of, const bt_episode *episode, bt_time from,
                          report_words *words) {
  bt_text rules = {0};
  char date[REPORT_DATE_TEXT];
  report_rule_names(of, episode->rules, &rules);
  report_words_add(words, "Signals on the %s side: %s, ", report_side_word(episode->side),
                   bt_text_get(&rules));
  if (episode->signals == 1)
    report_words_add(words, "at one point");
  else
    report_words_add(words, "at %zu points", episode->signals);
  report_episode_strengths(of, episode, &words->text);
  if (of->points.at[episode->first] < from)
    report_words_add(words, ", the first of them before the days shown, on %s",
                     report_short_date(of->points.at[episode->first], date));
  report_words_add(words, ".");
  bt_text state = {0};
  report_episode_state(of, episode, &state);
  report_words_add(words, " Episode %s: %s.", episode->id, bt_text_get(&state));
  report_text_pass(&state, &words->text);
  report_text_pass(&rules, &words->text);
}

/* Its run may have signalled in an episode before: its first signal is another day than the first
 * of this one. */
static void run_sentence(const bt_study *of, const bt_episode *episode,
                         const bt_excursion *excursion, report_words *words) {
  char date[REPORT_DATE_TEXT];
  bt_text size = {0};
  report_add_size(of, excursion->size, &size);
  report_words_next(words);
  (void)report_short_date(of->points.at[excursion->signal], date);
  if (excursion->signal < episode->first)
    report_words_add(words,
                     "The run of its CUSUM signalled before this episode as well, first on %s, and "
                     "then put its mean shift at about %s.",
                     date, bt_text_get(&size));
  else
    report_words_add(
        words,
        "The CUSUM first signalled in it on %s, and then put the mean shift of its run at "
        "about %s.",
        date, bt_text_get(&size));
  report_text_pass(&size, &words->text);
}

typedef struct shown_counts {
  size_t alarms;                             /* of the signalling ones */
  size_t points, judged, signalling, newest; /* newest: index of the last signalling point */
  bt_rules rules;
} shown_counts;

static shown_counts count_shown(const bt_study *of, bt_time from, bt_time to) {
  size_t first = 0, last = 0;
  report_between(&of->points, from, to, &first, &last);
  shown_counts counts = {.points = last - first};
  for (size_t i = first; i < last; i++) {
    bt_rules bits = of->rules[BT_LOW][i] | of->rules[BT_HIGH][i];
    counts.judged += of->judged[i] != 0;
    counts.signalling += bits != 0;
    counts.alarms += bits != 0 && of->strength[i] == BT_ALARM;
    counts.rules |= bits;
    if (bits != 0)
      counts.newest = i;
  }
  return counts;
}

/* Where the newest signals of a side ended in the span without the readings: then also where these
 * lie now. */
static void ended_sentence(const bt_study *of, bt_time from, bt_time to, report_words *words) {
  bool any = false;
  for (bt_side side = BT_LOW; side <= BT_HIGH; side++) {
    const bt_episode *newest = report_newest_of(of, side);
    bt_text ended = {0};
    if (newest != NULL && of->points.at[newest->last] >= from && of->points.at[newest->last] < to &&
        report_add_ended(of, newest, false, &ended)) {
      report_words_next(words);
      report_words_add(words, "The newest signals on the %s side %s.", report_side_word(side),
                       bt_text_get(&ended));
      any = true;
    }
    report_text_pass(&ended, &words->text);
  }
  if (any)
    recent_sentence(of, words);
}

/* No episode is open: what the lane of the shown span holds all the same. */
static void quiet_sentence(const bt_study *of, const shown_counts *counts, bt_time from, bt_time to,
                           report_words *words) {
  char period[REPORT_DATE_TEXT], date[BT_TIME_TEXT];
  (void)report_from_to(from, to - 1, period);
  if (counts->signalling > 0) {
    bt_text rules = {0};
    report_rule_names(of, counts->rules, &rules);
    report_words_add(words, "No signal is open now; in the span shown, %s signalled at ",
                     bt_text_get(&rules));
    if (counts->signalling == 1)
      report_words_add(words, "one point, on %s.",
                       report_short_date(of->points.at[counts->newest], date));
    else {
      report_words_add(words, "%zu points", counts->signalling);
      if (counts->alarms > 0)
        report_add_strengths(counts->alarms, counts->signalling - counts->alarms, &words->text);
      report_words_add(words, ", the last on %s.",
                       report_short_date(of->points.at[counts->newest], date));
    }
    report_text_pass(&rules, &words->text);
  } else if (counts->judged > 0)
    report_words_add(words, "No rule signalled in the log %s (%zu %s judged).", period,
                     counts->judged, counts->judged == 1 ? "point" : "points");
  else
    report_words_add(words, "No point %s is judged by the rules.", period);
}

/* A signal of that side which belongs to no open episode. */
static bool is_other(const bt_study *of, const bt_episode *open, bt_side side, size_t i) {
  return of->rules[side][i] != 0 && (open == NULL || i < open->first || i > open->last);
}

/* Signals in the shown span beside the open episodes. */
static void other_sentence(const bt_study *of, bt_time from, bt_time to, report_words *words) {
  size_t first = 0, last = 0, n = 0, newest = 0;
  char date[REPORT_DATE_TEXT];
  const bt_episode *low = report_open_on(of, BT_LOW), *high = report_open_on(of, BT_HIGH);
  report_between(&of->points, from, to, &first, &last);
  for (size_t i = first; i < last; i++) {
    if (!is_other(of, low, BT_LOW, i) && !is_other(of, high, BT_HIGH, i))
      continue;
    n++;
    newest = i;
  }
  if (n == 0)
    return;
  report_words_next(words);
  (void)report_short_date(of->points.at[newest], date);
  if (n == 1)
    report_words_add(words, "One signal of another episode in the span shown, on %s.", date);
  else
    report_words_add(
        words, "Signals of other episodes in the span shown: %zu points, the last on %s.", n, date);
}

static void jump_sentence(const bt_study *of, bt_time from, bt_time to, report_words *words) {
  bt_text jump = {0};
  report_jump_words(of, from, to, &jump);
  if (!bt_text_empty(&jump)) {
    report_words_next(words);
    report_words_add(words, "%s", bt_text_get(&jump));
  }
  report_text_pass(&jump, &words->text);
}

static void control_sentences(const bt_study *of, const shown_counts *counts, bt_time from,
                              bt_time to, report_words *words) {
  bool open = false;
  for (bt_side side = BT_LOW; side <= BT_HIGH; side++) {
    const bt_episode *episode = report_open_on(of, side);
    if (episode == NULL)
      continue;
    if (open)
      report_words_next(words);
    open = true;
    open_sentence(of, episode, from, words);
    const bt_excursion *excursion = report_excursion_of(of, episode);
    if (excursion != NULL)
      run_sentence(of, episode, excursion, words);
  }
  if (open) {
    recent_sentence(of, words);
    other_sentence(of, from, to, words);
  } else {
    quiet_sentence(of, counts, from, to, words);
    ended_sentence(of, from, to, words);
  }
  jump_sentence(of, from, to, words);
  first_sentence(of, words);
  report_other_target_sentence(of, words);
  report_within_sentence(of, from, to, words);
  if (counts->judged > 0)
    report_aside_sentences(of, from, to, words);
}

static void restart_sentence(const bt_study *of, report_words *words) {
  if (of->restarted >= of->cusum.restarts_n)
    return;
  const bt_restart *restart = &of->cusum.restarts[of->restarted];
  char date[REPORT_DATE_TEXT];
  report_words_next(words);
  report_words_add(words, restart->ended ? "The CUSUM restarted after the check of "
                                         : "The CUSUM restarted on ");
  report_words_bold(words, "%s", report_short_date(restart->at, date));
  report_words_add(words, " (%s): too early to say how it goes on.",
                   restart->resolved ? "asked for with a disposition"
                                     : bt_event_words(restart->kind));
}

/* What follows is old news then. */
static void stale_sentence(const bt_unit_study *unit, const bt_study *of, report_words *words) {
  int64_t days = of->stale_days;
  char date[REPORT_DATE_TEXT], end[REPORT_DATE_TEXT];
  if (days == 0)
    return;
  report_words_bold(words, "The last reading is of %s, %lld days before %s.",
                    report_short_date(of->checks.at[of->checks.n - 1], date), (long long)days,
                    report_short_date(unit->until - 1, end));
  report_words_add(words, " ");
}

/* Nothing judges what comes after such a baseline, so it is told. */
static void alike_sentence(const bt_study *of, const bt_segment *segment, report_words *words) {
  char first[BT_TIME_TEXT];
  size_t moved = report_first_moved(of);
  report_words_add(words, "All readings of the baseline are the same: there is no spread to judge "
                          "by, so no rule is applied.");
  if (moved == BT_NONE)
    return;
  size_t differ = 0;
  for (size_t p = moved; p < segment->to; p++)
    differ += report_is_moved(of, segment, p);
  report_words_add(words, " Of the points after it ");
  report_words_bold(words, "%zu of %zu differ from them, the first on %s", differ,
                    segment->to - segment->phase2, bt_time_day(of->points.at[moved], first));
  report_words_add(words, ": look at what was changed then.");
}

static void no_baseline_sentence(const bt_study *of, report_words *words) {
  size_t failed, points;
  if (!report_is_barred(of, &failed, &points)) {
    report_words_add(words, "There is no baseline yet (it takes at least 8 points), so no rule is "
                            "applied.");
    return;
  }
  report_words_add(words,
                   "There is no baseline (it takes at least 8 points), so no rule is applied: ");
  report_barred_words(failed, points, &words->text);
  report_words_add(words,
                   ". If these readings are usual for this laser, compare the tolerance with "
                   "its source, and its unit with that of the readings.");
}

void report_shows(const bt_unit_study *unit, const bt_study *of, report_speaks speaks, bt_time from,
                  bt_time to, report_words *words) {
  const bt_segment *segment = bt_study_now(of);
  shown_counts counts = count_shown(of, from, to);
  char period[REPORT_DATE_TEXT];
  report_words_bold(words, "What it shows.");
  if (of->points.n == 0) {
    report_words_add(words, of->checks.n == 0
                                ? " The log holds no reading of this characteristic."
                                : " Every reading is marked as left or is a retest, so there is no "
                                  "point to chart; each is judged by tolerance only.");
    return;
  }
  bt_text_add(&words->text, " ");
  stale_sentence(unit, of, words);
  size_t before = words->text.length;
  report_tolerance_sentences(unit, of, speaks, from, to, words);
  if (words->text.length > before)
    report_words_next(words);
  if (counts.points == 0)
    report_words_add(words, "There is no point %s. ", report_from_to(from, to - 1, period));
  if (!report_is_judged(of))
    report_words_add(words, "%s", report_room_sentence);
  else if (segment == NULL || segment->state == BT_CHART_TOO_FEW)
    no_baseline_sentence(of, words);
  else if (segment->state == BT_CHART_RESOLUTION && report_has_one_limit(of))
    report_words_add(words, "The readings of x or y are too coarse for a control chart of the "
                            "offset, so no rule is applied: log more digits.");
  else if (segment->state == BT_CHART_RESOLUTION && !(segment->resolution.step > 0))
    alike_sentence(of, segment, words);
  else if (segment->state == BT_CHART_RESOLUTION)
    report_words_add(words, "The readings are too coarse for a control chart, so no rule is "
                            "applied: log more digits.");
  else {
    control_sentences(of, &counts, from, to, words);
    restart_sentence(of, words);
  }
}
