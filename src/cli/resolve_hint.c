/* resolve asks for the event beside what was concluded. */
#include "resolve.h"

/* What was done to the laser is an event of its own: of it the CUSUM restarts, and what came before
 * and after is told apart. Words of an action that hint at one. */
static const struct {
  const char *part;
  bt_event_kind kind;
} hints[] = {{"meter chang", BT_EVENT_METER_CHANGED},
             {"new meter", BT_EVENT_METER_CHANGED},
             {"meter replac", BT_EVENT_METER_CHANGED},
             {"clean", BT_EVENT_OPTICS_CLEANED},
             {"refill", BT_EVENT_GAS_REFILL},
             {"calibrat", BT_EVENT_RECALIBRATION},
             {"servic", BT_EVENT_SERVICE},
             {"replac", BT_EVENT_SERVICE},
             {"realign", BT_EVENT_SERVICE}};

/* The key of the kind that the action hints at, where none was noted since the episode began. */
const char *resolve_hinted_event(const bt_unit_study *study, bt_time since, const char *action) {
  for (size_t i = 0; i < sizeof hints / sizeof *hints; i++) {
    if (!bt_name_has(action, hints[i].part))
      continue;
    for (size_t e = 0; e < study->history.events_n; e++)
      if (study->history.events[e].kind == hints[i].kind &&
          study->history.events[e].time >= since - since % BT_DAY)
        return NULL;
    return bt_event_key(hints[i].kind);
  }
  return NULL;
}
