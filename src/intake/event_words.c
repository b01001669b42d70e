/* What kind of event a text tells of, by parts of its words, in several languages: a help for the
 * person who writes a map, never a decision. */
#include "event_words.h"

/* The first part that the text has decides: a gas bottle before gas, a meter before its
 * calibration. */
static const struct {
  const char *part;
  bt_event_kind kind;
} parts[] = {
    {"bottle", BT_EVENT_GAS_BOTTLE},
    {"cylinder", BT_EVENT_GAS_BOTTLE},
    {"flasche", BT_EVENT_GAS_BOTTLE},
    {"bouteille", BT_EVENT_GAS_BOTTLE},
    {"botella", BT_EVENT_GAS_BOTTLE},
    {"gas", BT_EVENT_GAS_REFILL},
    {"refill", BT_EVENT_GAS_REFILL},
    {"new fill", BT_EVENT_GAS_REFILL},
    {"füllung", BT_EVENT_GAS_REFILL},
    {"gaz", BT_EVENT_GAS_REFILL},
    {"clean", BT_EVENT_OPTICS_CLEANED},
    {"reinig", BT_EVENT_OPTICS_CLEANED},
    {"geputzt", BT_EVENT_OPTICS_CLEANED},
    {"nettoy", BT_EVENT_OPTICS_CLEANED},
    {"limpi", BT_EVENT_OPTICS_CLEANED},
    {"meter", BT_EVENT_METER_CHANGED},
    {"messkopf", BT_EVENT_METER_CHANGED},
    {"messgerät", BT_EVENT_METER_CHANGED},
    {"calibr", BT_EVENT_RECALIBRATION},
    {"kalibr", BT_EVENT_RECALIBRATION},
    {"moved", BT_EVENT_MOVED},
    {"relocat", BT_EVENT_MOVED},
    {"umzug", BT_EVENT_MOVED},
    {"umgestellt", BT_EVENT_MOVED},
    {"service", BT_EVENT_SERVICE},
    {"maintenance", BT_EVENT_SERVICE},
    {"wartung", BT_EVENT_SERVICE},
    {"engineer", BT_EVENT_SERVICE},
    {"technik", BT_EVENT_SERVICE},
    {"repair", BT_EVENT_SERVICE},
    {"reparatur", BT_EVENT_SERVICE},
};

bt_event_kind intake_event_guess(const char *text) {
  for (size_t i = 0; i < sizeof parts / sizeof *parts; i++)
    if (bt_name_has(text, parts[i].part))
      return parts[i].kind;
  return BT_EVENT_OTHER;
}
