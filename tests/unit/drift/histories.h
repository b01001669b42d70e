/* Small histories for tests: checks and events at hours after the start of a day. */
#ifndef HISTORIES_H
#define HISTORIES_H

#include "beamtally/series.h"

enum { HISTORY_MOST = 400 };

/* The first second of the day that hours are counted from. */
#define HISTORY_START ((bt_time)20000 * BT_DAY)

typedef struct small_history {
  bt_history history; /* points into the arrays below */
  bt_time at[HISTORY_MOST];
  uint32_t present[HISTORY_MOST];
  double age[HISTORY_MOST];
  double pulses[HISTORY_MOST];
  uint8_t refill[HISTORY_MOST];
  uint8_t has_clock[HISTORY_MOST];
  bt_event events[HISTORY_MOST];
} small_history;

void history_begin(small_history *made);

/* Appends a check; age_days < 0: none logged. Appends an event. Both in time order. */
void history_check(small_history *made, double hours, double age_days, bt_refill refill);
void history_event(small_history *made, double hours, bt_event_kind kind);

/* Gives the last check a reading of the pulse counter. */
void history_pulses(small_history *made, double pulses);

/* Takes the clock time from the last check, or the last event. */
void history_check_without_clock(small_history *made);
void history_event_without_clock(small_history *made);

#endif
