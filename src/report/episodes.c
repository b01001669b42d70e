/* Episodes by their ids, and what people concluded of them. */
#include "report_episodes.h"

const bt_disposition *report_disposition(const bt_study *of, const bt_episode *episode) {
  return episode->disposition < of->dispositions_n ? &of->dispositions[episode->disposition] : NULL;
}

void report_disposition_words(const bt_disposition *disposition, bt_text *out) {
  char date[REPORT_DATE_TEXT];
  bt_text_format(out, "cause: %s; action: %s; %s, %s", disposition->cause, disposition->action,
                 disposition->by, report_short_date(disposition->at, date));
  if (disposition->restart)
    bt_text_format(
        out, "; the CUSUM restarted %s %s",
        disposition->restart_at == 0 ? "after the last check of the episode," : "on",
        report_short_date(disposition->restart_at == 0 ? disposition->to : disposition->restart_at,
                          date));
}

void report_concluded_words(const bt_study *of, const bt_episode *episode, bt_text *out) {
  size_t revised = bt_study_revised(of, episode);
  report_disposition_words(report_disposition(of, episode), out);
  if (revised > 0)
    bt_text_format(out, "; revised %zu time%s", revised, revised == 1 ? "" : "s");
}

void report_disposition_about(const bt_disposition *disposition, bt_text *out) {
  char period[REPORT_DATE_TEXT];
  bt_text_format(out, "%s side, %s", disposition->high ? "high" : "low",
                 report_short_period(disposition->from, disposition->to, period));
}

bool report_is_concluded(const bt_study *of) {
  bool any = false;
  for (bt_side side = BT_LOW; side <= BT_HIGH; side++) {
    const bt_episode *episode = report_open_on(of, side);
    if (episode != NULL && report_disposition(of, episode) == NULL)
      return false;
    any = any || episode != NULL;
  }
  return any;
}

void report_add_concluded(const bt_study *of, const bt_episode *episode, bt_text *out) {
  const bt_disposition *disposition = report_disposition(of, episode);
  char date[REPORT_DATE_TEXT];
  if (disposition != NULL)
    bt_text_format(out, ", concluded by %s on %s", disposition->by,
                   report_short_date(disposition->at, date));
}

void report_episode_state(const bt_study *of, const bt_episode *episode, bt_text *out) {
  const bt_disposition *disposition = report_disposition(of, episode);
  char date[REPORT_DATE_TEXT];
  if (disposition == NULL) {
    bt_text_add(out, "undecided");
    return;
  }
  bt_text_format(out, "concluded by %s on %s", disposition->by,
                 report_short_date(disposition->at, date));
  if (bt_study_is_open(of, episode))
    bt_text_add(out, "; it stays open until 8 points in a row are without a signal");
}

const char *report_strength_word(bt_strength strength) {
  return strength == BT_ALARM ? "alarm" : "notice";
}

const char *report_open_word(const bt_study *of, const bt_episode *episode) {
  bt_strength now = bt_study_open_strength_on(of, episode->side);
  bool passed = episode->strength == BT_ALARM && now != BT_ALARM;
  return passed ? "notice (alarm earlier)" : report_strength_word(now);
}

static size_t first_alarm(const bt_study *of, const bt_episode *episode) {
  size_t at = episode->first;
  while (at < episode->last && (of->rules[episode->side][at] & BT_ALARM_RULES) == 0)
    at++;
  return at;
}

size_t report_open_from(const bt_study *of, const bt_episode *episode) {
  bool alarm = bt_study_open_strength_on(of, episode->side) == BT_ALARM;
  return alarm ? first_alarm(of, episode) : episode->first;
}

void report_open_first(const bt_study *of, const bt_episode *episode, bt_text *out) {
  char since[REPORT_DATE_TEXT], first[REPORT_DATE_TEXT];
  bool alarm = bt_study_open_strength_on(of, episode->side) == BT_ALARM;
  size_t at = report_open_from(of, episode);
  (void)report_short_date(of->points.at[episode->first], first);
  (void)report_short_date(of->points.at[at], since);
  if (!alarm)
    bt_text_format(out, ", first signal %s", first);
  else if (at == episode->first)
    bt_text_format(out, ", first alarm %s", since);
  else
    bt_text_format(out, ", first alarm %s (first signal %s)", since, first);
}

void report_episode_word(const bt_study *of, const bt_episode *episode, bt_text *out) {
  bool open = bt_study_is_open(of, episode);
  bt_text_format(out, "%s %s", open ? "open" : "past",
                 open ? report_open_word(of, episode) : report_strength_word(episode->strength));
}

void report_add_strengths(size_t alarms, size_t notices, bt_text *out) {
  bt_text_add(out, " (");
  if (alarms > 0)
    report_count(out, alarms, "alarm", "alarms");
  if (alarms > 0 && notices > 0)
    bt_text_add(out, ", ");
  if (notices > 0)
    report_count(out, notices, "notice", "notices");
  bt_text_add(out, ")");
}

void report_episode_strengths(const bt_study *of, const bt_episode *episode, bt_text *out) {
  size_t alarms = 0, all = 0;
  char date[REPORT_DATE_TEXT];
  for (size_t i = episode->first; i <= episode->last && i < of->points.n; i++) {
    bt_rules bits = of->rules[episode->side][i];
    all += bits != 0;
    alarms += (bits & BT_ALARM_RULES) != 0;
  }
  if (all > 0)
    report_add_strengths(alarms, all - alarms, out);
  if (report_is_one_reading(of, episode))
    bt_text_format(out, ", all from the one reading of %s, which the CUSUM carries on",
                   report_short_date(of->points.at[episode->first], date));
}

/* So many points across the centre are rare enough where the signal goes on, 1 in 8 where it has
 * ended, and look like a contradiction to who reads the last value beside the side. */
enum { WORTH_A_WORD = 3 };

void report_open_episodes(const bt_study *of, bt_text *out) {
  for (bt_side side = BT_LOW; side <= BT_HIGH; side++) {
    const bt_episode *episode = report_open_on(of, side);
    if (episode == NULL)
      continue;
    bt_text_format(out, "%s%s, ", out->length > 0 ? "; " : "episode ", episode->id);
    report_episode_word(of, episode, out);
    bt_text_format(out, ", %s side", report_side_word(side));
    report_open_first(of, episode, out);
    bt_text_add(out, ", ");
    report_episode_state(of, episode, out);
    size_t across = bt_study_newest_across(of, side);
    if (across >= WORTH_A_WORD)
      bt_text_format(out, "; the newest %zu points lie on the other side of the centre", across);
  }
}
