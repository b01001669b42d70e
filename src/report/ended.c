/* What is said of signals that ended as the CUSUM began anew. What was done may be about something
 * else, so that nothing of it says that the readings went back. */
#include "report_episodes.h"

bool report_add_ended(const bt_study *of, const bt_episode *episode, bool brief, bt_text *out) {
  const bt_restart *by = bt_study_ended_by(of, episode);
  char date[REPORT_DATE_TEXT];
  if (by == NULL)
    return false;
  bt_text_format(out, "ended by the CUSUM’s restart %s %s", by->ended ? "after" : "of",
                 report_short_date(by->at, date));
  if (!brief)
    bt_text_format(out, " (%s)",
                   by->resolved ? "asked for with a disposition" : bt_event_words(by->kind));
  bt_text_add(out, bt_study_ended_in_part(of, episode) ? ", of other rules by readings"
                                                       : ", not by readings");
  return true;
}

const bt_episode *report_newest_of(const bt_study *of, bt_side side) {
  for (size_t e = of->episodes_n; e > 0; e--)
    if (of->episodes[e - 1].side == side)
      return &of->episodes[e - 1];
  return NULL;
}
