/* Where an episode's days are now: a baseline's border ends an episode and begins another, whose id
 * is new, and a new baseline, a correction or a setting may leave an episode without its first
 * signal, and so without its id. */
#include "episode_parts.h"

#include <string.h>
#include <strings.h>

/* Judged points after `from` and before `to`. */
static size_t judged_between(const bt_study *of, size_t from, size_t to) {
  size_t n = 0;
  for (size_t p = from + 1; p < to; p++)
    n += of->judged[p] != 0;
  return n;
}

/* The point after the episode's last from which another baseline judges, fewer quiet points away
 * than end an episode; BT_NONE where it ended by itself. */
static size_t border_of(const bt_study *of, const bt_episode *episode) {
  size_t quiet = 0;
  for (size_t p = episode->last + 1; p < of->points.n && quiet < BT_EPISODE_QUIET; p++) {
    if (of->points.segment[p] != of->points.segment[episode->last])
      return p;
    quiet += of->judged[p] != 0;
  }
  return BT_NONE;
}

const bt_episode *cli_episode_goes_on(const bt_study *of, const bt_episode *episode) {
  size_t border = border_of(of, episode);
  const bt_episode *open = NULL;
  for (size_t e = 0; border != BT_NONE && e < of->episodes_n; e++) {
    const bt_episode *next = &of->episodes[e];
    if (next->side != episode->side || next->first < border)
      continue;
    if (judged_between(of, episode->last, next->first) < BT_EPISODE_QUIET)
      return next;
    if (bt_study_is_open(of, next))
      open = next;
  }
  return open;
}

const bt_episode *cli_episode_within(const bt_study *of, const bt_side *side, bt_time from,
                                     bt_time to, size_t *others) {
  const bt_episode *found = NULL;
  *others = 0;
  for (size_t e = 0; e < of->episodes_n; e++) {
    const bt_episode *episode = &of->episodes[e];
    if (of->points.at[episode->first] <= to && of->points.at[episode->last] >= from &&
        (side == NULL || episode->side == *side) &&
        (found == NULL || episode->first < found->first))
      found = episode;
  }
  for (size_t e = 0; found != NULL && e < of->episodes_n; e++) {
    const bt_episode *episode = &of->episodes[e];
    *others += episode != found && episode->side == found->side &&
               of->points.at[episode->first] <= to && of->points.at[episode->last] >= from;
  }
  return found;
}

void cli_add_episode(const bt_study *of, const bt_episode *episode, bt_text *out) {
  char first[BT_TIME_TEXT], last[BT_TIME_TEXT];
  bt_text_format(out, "%s (%s, %s side, %s to %s)", episode->id,
                 bt_study_is_open(of, episode) ? "open" : "past",
                 episode->side == BT_HIGH ? "high" : "low",
                 bt_time_day_iso(of->points.at[episode->first], first),
                 bt_time_day_iso(of->points.at[episode->last], last));
}

void cli_add_others(size_t others, const char *unit, bt_text *out) {
  if (others == 0)
    return;
  bt_text_format(out, " and %zu other%s (`beamtally signals --unit ", others,
                 others == 1 ? "" : "s");
  bt_text_add_shell_word(out, unit);
  bt_text_format(out, "` lists %s)", others == 1 ? "it" : "them");
}

/* The point whose id begins with these digits; BT_NONE where none does. */
static bt_status find_point(const bt_unit_study *study, const bt_study *of, const char *digits,
                            size_t *point, bt_error *error) {
  bt_status status = BT_OK;
  *point = BT_NONE;
  for (size_t p = 0; status == BT_OK && p < of->points.n && *point == BT_NONE; p++) {
    char id[BT_ID_DIGITS + 1];
    status = bt_episode_id(study->history.unit, of->quantity.key, of->points.at[p],
                           of->points.sequence[p], id, error);
    if (status == BT_OK && strncasecmp(id, digits, strlen(digits)) == 0)
      *point = p;
  }
  return status;
}

bt_status cli_lost_episode(const bt_unit_study *study, const bt_study *of, const char *digits,
                           cli_lost *lost, bt_error *error) {
  size_t point = BT_NONE;
  bt_status status = find_point(study, of, digits, &point, error);
  *lost = (cli_lost){.at = 0};
  if (status != BT_OK || point == BT_NONE)
    return status;
  bt_time from = of->points.at[point], to = from;
  const bt_side *side = NULL;
  bt_side concluded = BT_LOW;
  for (size_t d = 0; d < of->dispositions_n; d++)
    if (strncasecmp(of->dispositions[d].episode, digits, strlen(digits)) == 0) {
      to = of->dispositions[d].to;
      concluded = of->dispositions[d].high ? BT_HIGH : BT_LOW;
      side = &concluded;
      lost->whole = true;
    }
  lost->known = true;
  lost->at = from;
  lost->instead = cli_episode_within(of, side, from, to, &lost->others);
  /* It went on from its first signal for fewer than 8 quiet points at a time. */
  for (size_t e = 0; lost->instead == NULL && e < of->episodes_n; e++)
    if (of->episodes[e].first > point && (side == NULL || of->episodes[e].side == *side) &&
        judged_between(of, point, of->episodes[e].first) < BT_EPISODE_QUIET)
      lost->instead = &of->episodes[e];
  lost->open = lost->instead == NULL ? bt_study_open_episode(of) : NULL;
  return status;
}
