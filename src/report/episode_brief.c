/* An episode in a few words, for lists of several. */
#include "report_episodes.h"

#include "beamtally/report.h"

void report_episode_brief(const bt_study *of, const bt_episode *episode, bt_text *out) {
  report_episode_word(of, episode, out);
  bt_text_format(out, ", %s side, ", report_side_word(episode->side));
  report_count(out, episode->signals, "point", "points");
  if (episode->strength == BT_ALARM && episode->signals > 1)
    report_episode_strengths(of, episode, out);
  if (bt_study_ended_by(of, episode) != NULL) {
    bt_text_add(out, ", ");
    (void)report_add_ended(of, episode, true, out);
  }
}
