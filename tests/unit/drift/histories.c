/* Small histories for tests. */
#include "histories.h"

#include <criterion/criterion.h>

void history_begin(small_history *made) {
  *made = (small_history){0};
  made->history.at = made->at;
  made->history.present = made->present;
  made->history.reading[BT_READING_FILL_AGE_DAYS] = made->age;
  made->history.reading[BT_READING_PULSES] = made->pulses;
  made->history.refill = made->refill;
  made->history.has_clock = made->has_clock;
  made->history.events = made->events;
}

static bt_time moment(double hours) {
  return HISTORY_START + (bt_time)(hours * (double)BT_HOUR + 0.5);
}

void history_check(small_history *made, double hours, double age_days, bt_refill refill) {
  size_t i = made->history.n++;
  cr_assert_lt(i, HISTORY_MOST);
  made->at[i] = moment(hours);
  made->has_clock[i] = 1;
  made->refill[i] = (uint8_t)refill;
  if (age_days >= 0) {
    made->present[i] = 1U << BT_READING_FILL_AGE_DAYS;
    made->age[i] = age_days;
  }
  cr_assert(i == 0 || made->at[i - 1] <= made->at[i]);
}

void history_pulses(small_history *made, double pulses) {
  made->present[made->history.n - 1] |= 1U << BT_READING_PULSES;
  made->pulses[made->history.n - 1] = pulses;
}

void history_event(small_history *made, double hours, bt_event_kind kind) {
  size_t i = made->history.events_n++;
  cr_assert_lt(i, HISTORY_MOST);
  made->events[i] = (bt_event){.time = moment(hours), .has_clock = true, .kind = kind};
  cr_assert(i == 0 || made->events[i - 1].time <= made->events[i].time);
}

void history_check_without_clock(small_history *made) {
  made->has_clock[made->history.n - 1] = 0;
}

void history_event_without_clock(small_history *made) {
  made->events[made->history.events_n - 1].has_clock = false;
}
