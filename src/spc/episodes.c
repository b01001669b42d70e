/* Episodes: signals that belong together.
 *
 * Requirements
 *   E1  A point signals on a side when it has any rule bit there, judged by rules or not: a failed
 *       tolerance counts wherever it stands.
 *   E2  Signals of one side with fewer than 8 quiet points between them are one episode. A quiet
 *       point is a judged one without a rule bit on that side; others neither count nor divide.
 *   E3  The two sides never share an episode.
 *   E4  An episode has the worst strength of its signals and all the rules that signalled in it.
 *   E5  Episodes stand in the order of their first points.
 *   E6  No episode goes on over a baseline's border: each is judged by one set of limits.
 *
 * Checked by a plain search over all pairs (tests/unit/spc/episodes.c). */
#include "beamtally/spc.h"

#include <stdlib.h>

/* The episode that a side is in, and the quiet points since its last signal. */
typedef struct side_episode {
  size_t index; /* BT_NONE before the first */
  size_t quiet;
} side_episode;

bt_status bt_episodes_find(const int32_t *segment, const uint8_t *judged,
                           bt_rules *const rules[BT_SIDES], const uint8_t *strength, size_t n,
                           bt_episode **episodes, size_t *episodes_n, bt_error *error) {
  bt_episode *found = NULL;
  size_t found_n = 0, capacity = 0;
  side_episode now[BT_SIDES] = {{.index = BT_NONE}, {.index = BT_NONE}}; /* E3 */
  *episodes = NULL;
  *episodes_n = 0;

  for (size_t i = 0; i < n; i++) {
    if (segment != NULL && i > 0 && segment[i] != segment[i - 1]) /* E6 */
      now[BT_LOW].index = now[BT_HIGH].index = BT_NONE;
    for (int side = 0; side < BT_SIDES; side++) {
      if (rules[side][i] == 0) { /* E1 */
        now[side].quiet += judged[i] != 0;
        continue;
      }
      if (now[side].index == BT_NONE || now[side].quiet >= BT_EPISODE_QUIET) { /* E2 */
        if (!bt_grow(&found, &capacity, found_n + 1, sizeof *found)) {
          free(found);
          return bt_fail_memory(error);
        }
        now[side].index = found_n++; /* E5 */
        found[now[side].index] = (bt_episode){.side = (bt_side)side, .first = i};
      }
      now[side].quiet = 0;
      bt_episode *episode = &found[now[side].index];
      episode->last = i;
      episode->signals++;
      episode->rules |= rules[side][i]; /* E4 */
      if (strength[i] > episode->strength)
        episode->strength = (bt_strength)strength[i];
    }
  }
  *episodes = found;
  *episodes_n = found_n;
  return BT_OK;
}
