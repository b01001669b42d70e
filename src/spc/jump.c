/* A jump back behind signals: signals of one side, then a range beyond its limit toward the other
 * side, and no such limit is passed again. Where no event is recorded there, something was done, or
 * came, that the record does not hold: a person is to be asked, nothing is concluded.
 *
 * Requirements
 *   J1  A jump goes from a judged point to the next one, both of Phase II, and its moving range is
 *       beyond the range's limit.
 *   J2  Of the last 5 judged points before it 3 or more have a zone rule broken on the side that it
 *       leaves: one far reading is no level.
 *   J3  The next 8 judged points from it on break no 3-sigma limit of that side.
 *   J4  The means of those 5 and of those 8 points lie farther apart than a range may.
 *
 * Single ranges pass their limit by chance too, and 5 to 21 % of a steady characteristic's years
 * hold one behind several signals with no point beyond the limit after it. With J4 it is under 1 %
 * where the values are independent (simulated, a baseline of 20 to 50 points, 250 to 1,095 points a
 * year; those that hang together ask more often). Our own choice, no source. */
#include "beamtally/spc.h"

#include <math.h>
#include <stdlib.h>

enum { SIGNALS_BEFORE = 3, LOOKED_AT = 5, QUIET_AFTER = 8 };

static size_t judged_before(const bt_jump_basis *of, size_t point) {
  while (point > of->phase2)
    if (of->judged[--point] == 1)
      return point;
  return BT_NONE;
}

/* J3, and the mean of those points; NaN where the log ends too early or a limit is passed. */
static double level_from(const bt_jump_basis *of, bt_side side, size_t point) {
  double sum = 0;
  size_t judged = 0;
  for (size_t i = point; i < of->n && judged < QUIET_AFTER; i++) {
    if (of->judged[i] != 1)
      continue;
    if ((of->rules[side][i] & BT_WE1) != 0)
      return NAN;
    sum += of->value[i];
    judged++;
  }
  return judged == QUIET_AFTER ? sum / QUIET_AFTER : NAN;
}

/* J2, and the mean of those points; NaN where there are too few, or too few signals. */
static double level_before(const bt_jump_basis *of, bt_side side, size_t point) {
  double sum = 0;
  size_t signals = 0;
  for (size_t k = 0; k < LOOKED_AT; k++) {
    if (point == BT_NONE)
      return NAN;
    signals += (of->rules[side][point] & BT_ZONE_RULES) != 0;
    sum += of->value[point];
    point = judged_before(of, point);
  }
  return signals >= SIGNALS_BEFORE ? sum / LOOKED_AT : NAN;
}

static bool is_jump(const bt_jump_basis *of, const bt_jump *jump) {
  bt_side side = jump->by > 0 ? BT_LOW : BT_HIGH;
  if (of->has_range[jump->at] == 0 || !(of->moving_range[jump->at] > of->range_limit)) /* J1 */
    return false;
  double apart = level_from(of, side, jump->at) - level_before(of, side, jump->before);
  return fabs(apart) > of->range_limit; /* J4 */
}

bt_status bt_jumps_find(const bt_jump_basis *of, bt_jump **jumps, size_t *n, bt_error *error) {
  bt_jump *found = NULL;
  size_t room = 0;
  *jumps = NULL;
  *n = 0;
  for (size_t i = of->phase2; i < of->n; i++) {
    bt_jump jump = {.before = judged_before(of, i), .at = i};
    if (of->judged[i] != 1 || jump.before == BT_NONE)
      continue;
    jump.by = of->value[i] - of->value[jump.before];
    if (!is_jump(of, &jump))
      continue;
    if (!bt_grow(&found, &room, *n + 1, sizeof *found)) {
      free(found);
      *n = 0;
      return bt_fail_memory(error);
    }
    found[(*n)++] = jump;
  }
  *jumps = found;
  return BT_OK;
}
