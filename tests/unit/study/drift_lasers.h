/* Simulated lasers in memory, looked at by the study itself: bt_history built directly, judged and
 * looked at for drift as a ledger's is. */
#ifndef DRIFT_LASERS_H
#define DRIFT_LASERS_H

#include "study_room.h"

enum { LASER_MOST = 420, LASER_EVENTS = 260 };

/* Sizes in sigma of a check. */
typedef struct laser_plan {
  size_t checks;
  bool weekdays;    /* five checks a week; else one a day */
  int refill_every; /* days */
  double fill_loss; /* of energy and fluence, a day of fill age */
  bool others;     /* also fluence, voltage, demand, spread and tracker: six charts beside energy */
  bool plate;      /* also the depth in the test plate */
  size_t onset;    /* check from which what follows acts; `checks`: never */
  double optics;   /* loss of energy and fluence a day that refills don't restore */
  double gas;      /* further loss a day of fill age, of fills begun at or after the onset */
  double voltage;  /* climb of the voltage a day */
  double creep;    /* of the demand, a step every 14 days; the voltage follows at a third of it */
  double delivery; /* loss of fluence and plate a day */
  double plate_step, meter_step, tracker_step;
  double spread;                               /* growth a day */
  bool meter_event, moved_event, bottle_event; /* at the onset */
  double low;                                  /* tolerance of the energy, in sigma below 1 */
  double ceiling;                              /* of the voltage, in sigma above its level */
} laser_plan;

typedef struct laser {
  bt_history history; /* points into the arrays below */
  bt_time at[LASER_MOST];
  int32_t sequence[LASER_MOST];
  int64_t source[LASER_MOST], line[LASER_MOST];
  uint32_t present[LASER_MOST];
  double reading[BT_READING_COUNT][LASER_MOST];
  uint8_t state[LASER_MOST], refill[LASER_MOST], has_clock[LASER_MOST];
  bt_event events[LASER_EVENTS];
  bt_settings settings;
  bt_tolerance tolerances[2];
  double onset_day; /* real, of the first check that is changed */
} laser;

#define LASER_SIGMA 0.004 /* of the energy ratio */

void laser_make(laser *made, const laser_plan *plan, uint64_t seed);

/* The unit with its drift after `checks` checks: of all that is logged, or of the energy ratio with
 * its alarms and episodes as well. */
bt_unit_study *laser_look(laser *made, size_t checks);
bt_unit_study *laser_judge(laser *made, size_t checks);
void laser_look_end(bt_unit_study *unit);

#endif
