/* Fill ages by the pulse counter in place of elapsed time, in days of a stated number of pulses:
 *
 *   age = pulses since the refill / pulses a day
 *
 * so that what follows from ages (a slope a day, a fill's oldest age) keeps its unit: a day stands
 * for that many pulses.
 *
 * Requirements
 *   C1  A counter that is lower at a fill's first reading than at the last one before began anew at
 *       the refill. Where it did at half of the refills or more, or no refill lies between two
 *       readings, the counter is the fill's, as record.h has it: it reads the pulses since the
 *       refill, whether that is known or not.
 *   C2  Else it runs on over refills: the pulses since the refill are those since the last reading
 *       before it. What was fired between that one and the refill is counted to the new fill: the
 *       same for all its checks, so that the slope doesn't notice. The age is known where the
 *       fill's start is and there was a reading before.
 *   C3  Without a reading the age is that of the reading before, in the fill, and a day more for
 *       each day since; without one it stays as it was. It isn't known.
 *   C4  A counter that falls inside a fill was reset: C3 for that check, and what is counted on
 *       from it isn't known either, until the next fill.
 *
 * Source: this program's design, section 7. Checked by hand-written histories
 * (tests/unit/drift/fill_pulses.c). */
#include "beamtally/drift.h"

typedef struct counting {
  const bt_history *history;
  double a_day;
  bool anew; /* C1 */
} counting;

static bool is_read(const bt_history *history, size_t i) {
  return (history->present[i] >> BT_READING_PULSES & 1U) != 0;
}

static bool begins_anew(const bt_history *history, const int32_t *fill) {
  const double *pulses = history->reading[BT_READING_PULSES];
  size_t last = BT_NONE, fell = 0, rose = 0;
  for (size_t i = 0; i < history->n; i++) {
    if (!is_read(history, i))
      continue;
    if (last != BT_NONE && fill[i] != fill[last]) {
      fell += pulses[i] < pulses[last];
      rose += pulses[i] >= pulses[last];
    }
    last = i;
  }
  return fell >= rose;
}

/* Days of pulses that check i read since `last`; below zero where the counter fell. */
static double days_since(const counting *of, size_t i, size_t last) {
  const double *pulses = of->history->reading[BT_READING_PULSES];
  return (pulses[i] - pulses[last]) / of->a_day;
}

/* C3: *age is as it was where no check of the fill was read. */
static void pass_time(const counting *of, size_t i, size_t last, const double *ages, double *age) {
  if (last != BT_NONE)
    *age = ages[last] + (double)(of->history->at[i] - of->history->at[last]) / (double)BT_DAY;
}

void bt_fills_age_by_pulses(const bt_history *history, double pulses_a_day, const int32_t *fill,
                            double *age_days, uint8_t *known) {
  counting of = {history, pulses_a_day, begins_anew(history, fill)};
  const double *pulses = history->reading[BT_READING_PULSES];
  size_t last = BT_NONE, before = BT_NONE; /* readings: in this fill, and the last of the others */
  bool trusted = true;                     /* C2, C4 */
  for (size_t i = 0; i < history->n; i++) {
    if (i > 0 && fill[i] != fill[i - 1]) {
      before = last != BT_NONE ? last : before;
      last = BT_NONE;
      trusted = true;
    }
    if (!is_read(history, i)) {
      pass_time(&of, i, last, age_days, &age_days[i]);
      known[i] = 0;
      continue;
    }
    if (last != BT_NONE && days_since(&of, i, last) >= 0) {
      age_days[i] = age_days[last] + days_since(&of, i, last);
    } else if (last != BT_NONE) {
      pass_time(&of, i, last, age_days, &age_days[i]);
      trusted = false;
    } else if (of.anew) {
      age_days[i] = pulses[i] / pulses_a_day;
    } else if (before != BT_NONE && days_since(&of, i, before) >= 0) {
      age_days[i] = days_since(&of, i, before);
      trusted = known[i] != 0;
    } else {
      trusted = false;
    }
    known[i] = trusted;
    last = i;
  }
}
