/* Which signals and episodes are open, and what people concluded of an episode. */
#include "beamtally/finding.h"

/* The first of the last 8 judged points; of the last 8 points where fewer are judged, as in a
 * series that has no control chart. */
static size_t recent_from(const bt_study *study) {
  size_t seen = 0, n = study->points.n;
  for (size_t i = n; i > 0; i--)
    if (study->judged[i - 1] != 0 && ++seen == 8)
      return i - 1;
  return n > 8 ? n - 8 : 0;
}

bool bt_study_is_open(const bt_study *study, const bt_episode *episode) {
  return episode->last >= recent_from(study);
}

bool bt_study_concludes(const bt_study *study, const bt_episode *episode, size_t d) {
  const bt_disposition *disposition = &study->dispositions[d];
  return disposition->high == (episode->side == BT_HIGH) &&
         disposition->to >= study->points.at[episode->first] &&
         disposition->from <= study->points.at[episode->last];
}

size_t bt_study_revised(const bt_study *study, const bt_episode *episode) {
  size_t n = 0;
  for (size_t d = 0; d < study->dispositions_n && d < episode->disposition; d++)
    n += bt_study_concludes(study, episode, d);
  return episode->disposition < study->dispositions_n ? n : 0;
}

size_t bt_study_newest_across(const bt_study *study, bt_side side) {
  static const double on_line = 1e-9; /* as for the zone rules */
  size_t n = 0, points = study->points.n;
  const int32_t *segment = study->points.segment;
  for (size_t i = points; i > 0 && study->judged[i - 1] != 0; i--) {
    double away = side == BT_HIGH ? -study->z[i - 1] : study->z[i - 1];
    if (away <= on_line || segment[i - 1] != segment[points - 1])
      break;
    n++;
  }
  return n;
}

const bt_episode *bt_study_open_episode(const bt_study *study) {
  const bt_episode *worst = NULL;
  for (size_t i = 0; i < study->episodes_n; i++) {
    const bt_episode *episode = &study->episodes[i];
    if (bt_study_is_open(study, episode) && (worst == NULL || episode->strength >= worst->strength))
      worst = episode;
  }
  return worst;
}

bt_strength bt_study_open_strength(const bt_study *study) {
  bt_strength worst = BT_QUIET;
  for (size_t i = recent_from(study); i < study->points.n; i++)
    if (study->strength[i] > (uint8_t)worst)
      worst = (bt_strength)study->strength[i];
  return worst;
}

bt_strength bt_study_open_strength_on(const bt_study *study, bt_side side) {
  bt_strength worst = BT_QUIET;
  for (size_t i = recent_from(study); i < study->points.n && worst != BT_ALARM; i++) {
    bt_strength strength = bt_rules_strength(study->rules[side][i]);
    worst = strength > worst ? strength : worst;
  }
  return worst;
}
