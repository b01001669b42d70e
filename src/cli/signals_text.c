/* Episodes as `signals` prints them: two lines each, with what people concluded under it. */
#include "signals.h"

#include "beamtally/report.h"

#include <string.h>

enum { LINE = 80, RULES_AT = 52, WORDS_AT = 12 };

const char *signals_side(bool high) {
  return high ? "high" : "low";
}

const char *signals_strength(bt_strength strength) {
  return strength == BT_ALARM ? "alarm" : "notice";
}

const bt_disposition *signals_disposition(const bt_study *of, const bt_episode *episode) {
  return episode->disposition < of->dispositions_n ? &of->dispositions[episode->disposition] : NULL;
}

/* Words from the line's column `at` on, wrapped there; the line has reached that column. */
static void add_wrapped(bt_text *out, size_t at, const char *words) {
  size_t used = at;
  for (const char *word = words; *word != '\0'; word += strspn(word, " ")) {
    size_t bytes = strcspn(word, " ");
    if (used > at && used + 1 + bytes > LINE) {
      bt_text_format(out, "\n%*s", (int)at, "");
      used = at;
    }
    bt_text_add(out, used > at ? " " : "");
    bt_text_add_bytes(out, word, bytes);
    used += bytes + (used > at ? 1 : 0);
    word += bytes;
  }
  bt_text_add(out, "\n");
}

void signals_add_concluded(const bt_disposition *disposition, bt_text *words) {
  char at[BT_TIME_TEXT];
  bt_text_format(words, "%s, ", bt_time_day_iso(disposition->at, at));
  (void)cli_plain(words, disposition->by, SIZE_MAX);
  bt_text_add(words, ": ");
  (void)cli_plain(words, disposition->cause, SIZE_MAX);
  bt_text_add(words, "; ");
  (void)cli_plain(words, disposition->action, SIZE_MAX);
}

/* What people concluded before what stands; the newest first. */
static void add_earlier(const bt_study *of, const bt_episode *episode, bt_text *out) {
  for (size_t d = bt_study_revised(of, episode) > 0 ? episode->disposition : 0; d-- > 0;) {
    bt_text words = {0};
    if (!bt_study_concludes(of, episode, d))
      continue;
    bt_text_add(&words, "before: ");
    signals_add_concluded(&of->dispositions[d], &words);
    bt_text_format(out, "%*s", WORDS_AT, "");
    add_wrapped(out, WORDS_AT, bt_text_get(&words));
    out->failed = out->failed || words.failed;
    bt_text_free(&words);
  }
}

static void add_disposition(const bt_disposition *disposition, bt_text *out) {
  char at[BT_TIME_TEXT];
  bt_text words = {0};
  signals_add_concluded(disposition, &words);
  if (disposition->restart && disposition->restart_at == 0)
    bt_text_format(&words, "; CUSUM restarted after %s", bt_time_day_iso(disposition->to, at));
  else if (disposition->restart)
    bt_text_format(&words, "; CUSUM restarted from %s on",
                   bt_time_iso(disposition->restart_at, disposition->restart_at % BT_DAY != 0, at));
  bt_text_format(out, "%*s", WORDS_AT, "");
  add_wrapped(out, WORDS_AT, bt_text_get(&words));
  out->failed = out->failed || words.failed;
  bt_text_free(&words);
}

/* As `status` and the report call it. */
static void add_open(const bt_study *of, const bt_episode *episode, bt_text *out) {
  bt_strength now = bt_study_open_strength_on(of, episode->side);
  if (!bt_study_is_open(of, episode))
    bt_text_format(out, "past %s", signals_strength(episode->strength));
  else
    bt_text_format(out, "open %s%s", signals_strength(now),
                   now < episode->strength ? " (alarm earlier)" : "");
}

/* Not as if it had been cured. */
static void add_ended(const bt_study *of, const bt_episode *episode, bt_text *out) {
  const bt_restart *by = bt_study_ended_by(of, episode);
  bt_text words = {0};
  char at[BT_TIME_TEXT];
  if (by == NULL)
    return;
  bt_text_format(&words, "ended by the CUSUM's restart %s %s (%s), %s by readings",
                 by->ended ? "after" : "of", bt_time_day_iso(by->at, at),
                 by->resolved ? "asked for with a disposition" : bt_event_words(by->kind),
                 bt_study_ended_in_part(of, episode) ? "of other rules" : "not");
  bt_text_format(out, "%*s", WORDS_AT, "");
  add_wrapped(out, WORDS_AT, bt_text_get(&words));
  out->failed = out->failed || words.failed;
  bt_text_free(&words);
}

void signals_add_episode(const bt_study *of, const bt_episode *episode, bt_text *out) {
  char first[BT_TIME_TEXT], last[BT_TIME_TEXT];
  const bt_disposition *disposition = signals_disposition(of, episode);
  bt_text rules = {0};
  bt_rule_keys(episode->rules, " ", &rules);
  bt_text_format(out, "  %-8s  %-4s  %-8s  %-10s  %-10s  ", episode->id,
                 signals_side(episode->side == BT_HIGH), signals_strength(episode->strength),
                 bt_time_day_iso(of->points.at[episode->first], first),
                 bt_time_day_iso(of->points.at[episode->last], last));
  add_wrapped(out, RULES_AT, bt_text_get(&rules));
  bt_text_format(out, "%*s", WORDS_AT, "");
  add_open(of, episode, out);
  if (disposition != NULL) {
    bt_text_add(out, "\n");
    add_disposition(disposition, out);
    add_earlier(of, episode, out);
  } else
    bt_text_add(out, "; undecided\n");
  add_ended(of, episode, out);
  out->failed = out->failed || rules.failed;
  bt_text_free(&rules);
}

void signals_add_alone(const bt_study *of, bt_text *out) {
  for (size_t i = 0; i < of->dispositions_n; i++) {
    char from[BT_TIME_TEXT], to[BT_TIME_TEXT];
    const bt_disposition *alone = &of->dispositions[i];
    if (of->disposition_used[i])
      continue;
    bt_text_format(out, "  %-8s  %-4s  no episode now, then %s to %s\n", alone->episode,
                   signals_side(alone->high), bt_time_day_iso(alone->from, from),
                   bt_time_day_iso(alone->to, to));
    add_disposition(alone, out);
  }
}
