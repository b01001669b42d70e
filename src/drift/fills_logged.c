/* Refills that are read off what the checks log: the age of the gas fill, or its pulse counter.
 *
 * Requirements
 *   A1  By age: it drops, or is shorter by over a day than the time since the last check that
 *       logged it (a drop that passing time hides; a day, since ages are often logged in whole
 *       days). The moment is the check's time less its logged age, but after the check before it.
 *   A2  By counter: it falls from one check that logs it to the next. Where it does so under 3
 *       times it is no counter of the fill: one of the laser's life is set back seldom.
 *   A3  The moment is the check's time less its reading at the mean rate of counting (all rises
 *       over the days that they took), but after the check before it.
 *   A4  After the last recorded refill as A1, that refill standing for a check with an age of 0;
 *       within a day of it they are one.
 *
 * A refill after which more was fired by the next check than the counter showed before is not seen
 * by the counter. Source: this program's design, section 7. Checked by hand-written histories
 * (tests/unit/drift/fills.c). */
#include "beamtally/drift.h"
#include "drift_refills.h"

enum { LEAST_RESETS = 3 };

bool drift_has_age(const bt_history *history, size_t i) {
  return (history->present[i] >> BT_READING_FILL_AGE_DAYS & 1U) != 0;
}

static double logged_age(const bt_history *history, size_t i) {
  return history->reading[BT_READING_FILL_AGE_DAYS][i];
}

/* The refill that a logged age tells of, never later than its check. */
static bt_time filled_at(const bt_history *history, size_t i) {
  double seconds = logged_age(history, i) * (double)BT_DAY;
  /* An age of more than 300 years is no reading; it must not overflow a time. */
  return history->at[i] - (seconds < 1e10 ? (bt_time)(seconds + 0.5) : (bt_time)1e10);
}

/* A1 */
bool drift_refills_by_age(const bt_history *history, bt_time until, drift_refills *list,
                          bool *has_first, bt_time *first) {
  size_t before = BT_NONE;
  for (size_t i = 0; i < history->n && history->at[i] < until; i++) {
    if (!drift_has_age(history, i))
      continue;
    bt_time at = filled_at(history, i);
    if (before == BT_NONE) {
      *has_first = at <= history->at[0]; /* F5 of fills.c */
      *first = at;
      if (!*has_first && !drift_refill_add(list, at, true, false))
        return false;
    } else {
      double elapsed = (double)(history->at[i] - history->at[before]) / (double)BT_DAY;
      double age = logged_age(history, i);
      bool dropped = age < logged_age(history, before) || elapsed > age + 1;
      if (dropped && at <= history->at[before])
        at = history->at[before] < history->at[i] ? history->at[before] + 1 : history->at[i];
      if (dropped && !drift_refill_add(list, at, true, false))
        return false;
    }
    before = i;
  }
  return true;
}

/* A4 */
bool drift_refills_by_age_after(const bt_history *history, bt_time recorded, drift_refills *list) {
  bt_time before = recorded;
  double age_before = 0;
  for (size_t i = 0; i < history->n; i++) {
    if (history->at[i] < recorded || !drift_has_age(history, i))
      continue;
    double elapsed = (double)(history->at[i] - before) / (double)BT_DAY;
    double age = logged_age(history, i);
    bt_time at = filled_at(history, i);
    bool dropped = age < age_before || elapsed > age + 1;
    if (at <= before)
      at = before < history->at[i] ? before + 1 : history->at[i];
    if (dropped && at > recorded + BT_DAY && !drift_refill_add(list, at, true, false))
      return false;
    before = history->at[i];
    age_before = age;
  }
  return true;
}

static double counter(const bt_history *history, size_t i) {
  return history->reading[BT_READING_PULSES][i];
}

/* The next check from i on that logs the counter, or n. */
static size_t next_counted(const bt_history *history, size_t i) {
  while (i < history->n && (history->present[i] >> BT_READING_PULSES & 1U) == 0)
    i++;
  return i;
}

bool drift_refills_by_counter(const bt_history *history, drift_refills *list) {
  double risen = 0, days = 0;
  size_t resets = 0, first = next_counted(history, 0);
  for (size_t before = first, i = first; i < history->n; before = i) {
    i = next_counted(history, i + 1);
    if (i == history->n)
      break;
    if (counter(history, i) < counter(history, before))
      resets++;
    else {
      risen += counter(history, i) - counter(history, before);
      days += (double)(history->at[i] - history->at[before]) / (double)BT_DAY;
    }
  }
  if (resets < LEAST_RESETS)
    return true; /* A2 */
  for (size_t before = first, i = first; i < history->n; before = i) {
    i = next_counted(history, i + 1);
    if (i == history->n)
      break;
    if (!(counter(history, i) < counter(history, before)))
      continue;
    bt_time earliest =
        history->at[before] < history->at[i] ? history->at[before] + 1 : history->at[i];
    double since = risen > 0 ? counter(history, i) * days / risen * (double)BT_DAY : 0;
    double most = (double)(history->at[i] - earliest);
    bt_time at = history->at[i] - (bt_time)(since < most ? since : most); /* A3 */
    if (!drift_refill_add(list, at, true, false))
      return false;
  }
  return true;
}
