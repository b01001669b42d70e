/* What the depth in the test plate did: depth a pulse, one value a day, in µm. It is no chart of
 * its own (a fluence may be derived from it), but the one witness beside the energy that many logs
 * have.
 *
 * R1 Moved along its own slope inside the fills over its first 60 days' values, where that differs
 *    from zero.
 * R2 Its window begins at the last cleaning, service, recalibration, meter or bottle change: no
 *    comparison before and after tells whether that moved it. */
#include "study_drift.h"

#include <stdlib.h>

typedef struct depths {
  double *day, *value, *age;
  int32_t *fill, *stretch;
  uint8_t *known, *use;
  size_t n;
} depths;

static bool depth_of(const bt_history *history, size_t i, double *depth) {
  const uint32_t both = 1U << BT_READING_PLATE_DEPTH_UM | 1U << BT_READING_PLATE_PULSES;
  if ((history->present[i] & both) != both || history->reading[BT_READING_PLATE_PULSES][i] <= 0)
    return false;
  *depth =
      history->reading[BT_READING_PLATE_DEPTH_UM][i] / history->reading[BT_READING_PLATE_PULSES][i];
  return history->state[i] != BT_AS_LEFT;
}

/* The first check of each day. */
static void gather(const study_place *place, depths *of) {
  const bt_history *history = place->history;
  int64_t last = INT64_MIN;
  for (size_t i = 0; i < history->n; i++) {
    double depth;
    if (bt_day_of(history->at[i]) == last || !depth_of(history, i, &depth))
      continue;
    last = bt_day_of(history->at[i]);
    size_t k = of->n++;
    of->day[k] = drift_day(history->at[i]);
    of->value[k] = depth;
    of->age[k] = place->age_days[i];
    of->fill[k] = place->fill[i];
    of->stretch[k] = place->stretch[i];
    of->known[k] = place->known[i];
    of->use[k] = k < STUDY_SUGGESTED_POINTS;
  }
}

/* R1, R2. Drops what is before the window. */
static void move(const depths *all, const bt_slope *slope, double from, depths *kept) {
  bool moved = slope->use == BT_AGE_USED;
  size_t n = 0;
  for (size_t i = 0; i < all->n; i++) {
    if (all->day[i] < from || (moved && all->known[i] == 0) || all->n - i > DRIFT_MOST_VALUES)
      continue;
    kept->day[n] = all->day[i];
    kept->value[n] = all->value[i];
    if (moved)
      kept->value[n] -= slope->per_day * (all->age[i] - slope->mean_age_days);
    n++;
  }
  kept->n = n;
}

bt_status study_drift_plate(const drift_unit *of, bt_change *change, bt_moved *moved,
                            bt_error *error) {
  const bt_history *history = &of->unit->history;
  size_t n = history->n;
  *moved = (bt_moved){0};
  depths all = {.day = bt_new(n, sizeof(double)),
                .value = bt_new(n, sizeof(double)),
                .age = bt_new(n, sizeof(double)),
                .fill = bt_new(n, sizeof(int32_t)),
                .stretch = bt_new(n, sizeof(int32_t)),
                .known = bt_new(n, 1),
                .use = bt_new(n, 1)};
  bt_status status =
      all.day && all.value && all.age && all.fill && all.stretch && all.known && all.use
          ? BT_OK
          : bt_fail_memory(error);
  bt_slope slope = {0};
  if (status == BT_OK) {
    gather(of->place, &all);
    status = bt_slope_fit(all.value, all.age, all.fill, all.stretch, all.known, all.use, all.n,
                          &slope, error);
  }
  if (status == BT_OK && all.n > 0) {
    depths kept = all; /* in place: what is kept never stands after what it comes from */
    move(&all, &slope, drift_day(bt_window_find(history, of->unit->until).from), &kept);
    bt_look look = bt_look_of(kept.n, of->charts, of->looks_a_year);
    if (look.given)
      status = bt_change_find(kept.day, kept.value, kept.n, change, error);
    if (look.given && status == BT_OK)
      *moved = bt_moved_of(change, &look);
  }
  free(all.day);
  free(all.value);
  free(all.age);
  free(all.fill);
  free(all.stretch);
  free(all.known);
  free(all.use);
  return status;
}
