/* An event: something done to a unit at a time, and the kinds that there are. */
#ifndef BEAMTALLY_RECORD_EVENT_H
#define BEAMTALLY_RECORD_EVENT_H

#include "beamtally/base.h"

/* X(ID, key, words for a page, what such an event is). */
#define BT_EVENTS(X)                                                                               \
  X(GAS_REFILL, gas_refill, "gas refill",                                                          \
    "the laser was filled with fresh gas: a gas fill begins")                                      \
  X(GAS_BOTTLE, gas_bottle, "gas bottle changed",                                                  \
    "another bottle was connected; the refill from it is noted as well")                           \
  X(OPTICS_CLEANED, optics_cleaned, "optics cleaned", "a window, mirror or lens was cleaned")      \
  X(SERVICE, service, "service visit",                                                             \
    "the laser was maintained, aligned or repaired, or a part of it exchanged")                    \
  X(RECALIBRATION, recalibration, "recalibration", "the laser or its tracker was calibrated anew") \
  X(MOVED, moved, "moved", "the laser was brought to another place")                               \
  X(METER_CHANGED, meter_changed, "meter changed",                                                 \
    "the energy is read with another meter, or this one calibrated anew")                          \
  X(OTHER, other, "other", "anything else that a page should show")

typedef enum bt_event_kind {
#define X(ID, key, words, meaning) BT_EVENT_##ID,
  BT_EVENTS(X)
#undef X
      BT_EVENT_COUNT
} bt_event_kind;

typedef struct bt_event {
  const char *unit;
  bt_time time;
  bool has_clock;
  bt_event_kind kind;
  const char *note;        /* NULL where there is none */
  int64_t number;          /* the ledger's, by which a correction names it; 0 in what comes in */
  int64_t line, last_line; /* 0 for an event typed in by hand */
} bt_event;

/* Frees the texts of an event that owns them; accepts NULL. */
void bt_event_free(bt_event *event);

const char *bt_event_key(bt_event_kind kind);
const char *bt_event_words(bt_event_kind kind);
const char *bt_event_meaning(bt_event_kind kind);
/* All keys, with `last` before the last one, as " or ", into the buffer, which it returns. */
#define BT_EVENT_KEYS_TEXT 160
const char *bt_event_keys(const char *last, char *buffer);

/* True and *kind when key names a kind ("gas_refill"; case, blanks and hyphens don't matter). */
bool bt_event_kind_of(const char *key, bt_event_kind *kind) BT_MUST_CHECK;

#endif
