/* Two-sided tabular CUSUM of z, the distance from the centre in sigma.
 *
 *   C+ = max(0, C+ + z - k)      C- = max(0, C- - z - k)      signal where C > h
 *
 * k and h in sigma; k = 0.5, h = 5 by design. Requirements
 *   C1  A sum within 1e-9 of 0 is 0; a sum within 1e-9 of h is on the line, so no signal.
 *   C2  N counts the judged points, up to and with this one, at which C > 0; it is 0 where C is 0.
 *   C3  The signal's run began at the first of those N points ("signal run began").
 *   C4  No reset at a signal. One entry an excursion: a stay above h. A stay ends with the last
 *       judged point above h, at the end of the segment, or before a restart.
 *   C5  A restart begins both sides anew at headstart x h, before its point, with N = 0: the first
 *       point after it has N = 1 where its sum is above 0.
 *   C6  Size of the shift = +-sigma (k + C/N), and +-sigma (k + (C - headstart x h)/N) while the
 *       headstart is carried: from a restart until the sum is first 0. Both are the mean of z over
 *       the run, times sigma.
 *   C7  A point that isn't judged is stepped over; its sums and N are written as 0.
 *   C9  A run that falls below h and crosses it again is one run: each of its excursions names the
 *       one with which the run first signalled.
 *   C8  State is empty at `from`: nothing carries over from before.
 *
 * Source: Page, Biometrika 41 (1954); headstart: Lucas and Crosier, Technometrics 24 (1982).
 * Checked against two published examples (tests/published/spc/cusum.c), published run lengths
 * (tests/published/spc/run_lengths.c) and a plain loop (tests/unit/spc/cusum.c). */
#include "beamtally/spc.h"
#include "spc_lines.h"

/* One side's state. */
typedef struct side_sum {
  double sum;       /* C */
  double carried;   /* the headstart that the sum still holds */
  uint32_t run;     /* N */
  size_t began;     /* point where N became 1 */
  size_t entry;     /* excursion of the present stay above h, or BT_NONE */
  double direction; /* +1 high, -1 low */
} side_sum;

/* Where a run writes and what it needs for an entry. */
typedef struct cusum_run {
  bt_cusum *cusum;
  double sigma;
  size_t capacity; /* of the excursions */
} cusum_run;

static void restart(side_sum *side, double headstart) {
  side->sum = side->carried = headstart; /* C5 */
  side->run = 0;
  side->entry = BT_NONE; /* C4 */
}

/* Selections rather than branches: on a laser that hasn't changed either is taken half the time. */
static inline void advance(side_sum *side, double step, size_t point) {
  double sum = side->sum + step;
  bool above = sum > SPC_ON_LINE; /* C1 */
  side->sum = above ? sum : 0;
  side->carried = above ? side->carried : 0;
  side->run = above ? side->run + 1 : 0;              /* C2 */
  side->began = side->run == 1 ? point : side->began; /* C3 */
}

/* C9 */
static size_t first_of_run(const bt_cusum *cusum, size_t entry) {
  const bt_excursion *of = &cusum->excursions[entry];
  for (size_t before = entry; before > 0; before--) {
    const bt_excursion *one = &cusum->excursions[before - 1];
    if (one->side == of->side)
      return one->run_began == of->run_began ? one->run_first : entry;
  }
  return entry;
}

/* Books a point above h: a new excursion, or the stay goes on. Gives its place, BT_NONE without
 * memory. The side comes by value, so that the loop can hold its state in registers. */
static size_t book(cusum_run *run, side_sum side, size_t point) {
  bt_cusum *cusum = run->cusum;
  size_t entry = side.entry;
  if (entry == BT_NONE) {
    if (!bt_grow(&cusum->excursions, &run->capacity, cusum->excursions_n + 1,
                 sizeof *cusum->excursions))
      return BT_NONE;
    entry = cusum->excursions_n++;
    double mean = cusum->k + (side.sum - side.carried) / side.run; /* C6 */
    cusum->excursions[entry] = (bt_excursion){.side = side.direction > 0 ? BT_HIGH : BT_LOW,
                                              .signal = point,
                                              .run_began = side.began,
                                              .size = side.direction * run->sigma * mean};
    cusum->excursions[entry].run_first = first_of_run(cusum, entry);
  }
  cusum->excursions[entry].last = point;
  return entry;
}

/* The first restart at or after that point, or `to`. */
static size_t next_restart(const bt_cusum *cusum, size_t point, size_t to) {
  size_t next = to;
  for (size_t r = 0; r < cusum->restarts_n; r++)
    if (cusum->restarts[r].point >= point && cusum->restarts[r].point < next)
      next = cusum->restarts[r].point;
  return next;
}

/* Runs both sides over points [from, to), within which nothing restarts. False without memory. */
static bool run_span(cusum_run *run, side_sum sides[BT_SIDES], const double *z,
                     const uint8_t *judged, size_t from, size_t to) {
  double *high = run->cusum->high, *low = run->cusum->low;
  uint32_t *run_high = run->cusum->run_high, *run_low = run->cusum->run_low;
  double k = run->cusum->k, line = run->cusum->h + SPC_ON_LINE; /* C1 */
  side_sum up = sides[BT_HIGH], down = sides[BT_LOW];
  for (size_t i = from; i < to; i++) {
    if (judged[i] == 0) { /* C7 */
      high[i] = low[i] = 0;
      run_high[i] = run_low[i] = 0;
      continue;
    }
    advance(&up, z[i] - k, i);
    advance(&down, -z[i] - k, i);
    high[i] = up.sum;
    low[i] = down.sum;
    run_high[i] = up.run;
    run_low[i] = down.run;

    up.entry = up.sum > line ? book(run, up, i) : BT_NONE; /* C4 */
    down.entry = down.sum > line ? book(run, down, i) : BT_NONE;
    if ((up.sum > line && up.entry == BT_NONE) || (down.sum > line && down.entry == BT_NONE))
      return false;
  }
  sides[BT_HIGH] = up;
  sides[BT_LOW] = down;
  return true;
}

bt_status bt_cusum_run(const double *z, const uint8_t *judged, size_t from, size_t to, double sigma,
                       bt_cusum *cusum, bt_error *error) {
  side_sum sides[BT_SIDES] = {[BT_LOW] = {.entry = BT_NONE, .direction = -1},
                              [BT_HIGH] = {.entry = BT_NONE, .direction = 1}}; /* C8 */
  cusum_run run = {.cusum = cusum, .sigma = sigma, .capacity = cusum->excursions_n};
  size_t start = from, stop = next_restart(cusum, from, to);
  for (;;) {
    if (!run_span(&run, sides, z, judged, start, stop))
      return bt_fail_memory(error);
    if (stop >= to)
      return BT_OK;
    start = stop;
    stop = next_restart(cusum, start + 1, to);
    restart(&sides[BT_HIGH], cusum->headstart * cusum->h);
    restart(&sides[BT_LOW], cusum->headstart * cusum->h);
  }
}
