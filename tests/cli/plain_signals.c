/* Restarts, rules, sums, averages and episodes, read plainly. */
#include "plain_chart.h"

#include <math.h>

enum { DAY = 1440, QUIET = 8 };

#define ON_LINE 1e-9

const char *const plain_events[5] = {"service", "recalibration", "optics_cleaned", "meter_changed",
                                     "moved"};
enum { RESTARTING = 4 };

static const plain_segment *segment_at(const plain_chart *of, size_t p) {
  return &of->segment[of->segment_of[p]];
}

/* The first point judged by rules at or after the event, unless its limits saw what came of it. */
static void place_restarts(plain_chart *of) {
  for (size_t p = 0; p < of->points_n; p++)
    of->restart[p] = -1;
  for (size_t e = 0; e < of->events_n; e++) {
    size_t p = 0;
    while (p < of->points_n && (of->judged[p] != 1 || of->at[of->first[p]] < of->event_at[e]))
      p++;
    if (p == of->points_n || of->event[e] >= RESTARTING)
      continue;
    const plain_segment *segment = segment_at(of, p);
    bool before = segment->phase2 > segment->from
                      ? of->event_at[e] <= of->at[of->first[segment->phase2 - 1]]
                      : of->event_at[e] < segment->first_day * DAY;
    if (!before)
      of->restart[p] = (int)e; /* events come in order: the last one counts */
  }
}

/* How many of the last `of_last` points judged by rules, up to p and of its segment, lie beyond. */
static int beyond(const plain_chart *of, size_t p, int of_last, double side, double line) {
  int n = 0;
  for (size_t k = p + 1; k > segment_at(of, p)->phase2 && of_last > 0; k--)
    if (of->judged[k - 1] == 1) {
      n += side * of->z[k - 1] > line + ON_LINE;
      of_last--;
    }
  return n;
}

/* A side's sum at a point, from the last restart or the segment's first point of Phase II on. */
typedef struct stand {
  double sum, carried;
  int run;
  size_t began;
} stand;

static stand stand_at(const plain_chart *of, size_t p, double side) {
  size_t from = p;
  while (from > segment_at(of, p)->phase2 && of->restart[from] < 0)
    from--;
  stand s = {.sum = of->restart[from] < 0 ? 0 : 2.5};
  s.carried = s.sum;
  for (size_t j = from; j <= p; j++) {
    if (of->judged[j] != 1)
      continue;
    s.sum += side * of->z[j] - 0.5;
    if (s.sum <= ON_LINE) {
      s = (stand){0};
      continue;
    }
    if (s.run++ == 0)
      s.began = j;
  }
  return s;
}

static void mark_point(plain_chart *of, size_t p, int s) {
  const plain_segment *segment = segment_at(of, p);
  double side = s == 0 ? 1 : -1, z = side * of->z[p];
  unsigned rules = z > 3 + ON_LINE ? PLAIN_WE1 : 0;
  if (of->judged[p] == 1) {
    of->sum[s][p] = stand_at(of, p, side).sum;
    rules |= z > 2 + ON_LINE && beyond(of, p, 3, side, 2) >= 2 ? PLAIN_WE2 : 0;
    rules |= z > 1 + ON_LINE && beyond(of, p, 5, side, 1) >= 4 ? PLAIN_WE3 : 0;
    rules |= beyond(of, p, 8, side, 0) == 8 ? PLAIN_WE4 : 0;
    rules |= of->sum[s][p] > 5 + ON_LINE ? PLAIN_CUSUM : 0;
    rules |= segment->limit > 0 && z > segment->limit + ON_LINE ? PLAIN_ALARM_LIMIT : 0;
    rules |= segment->h > 0 && of->sum[s][p] > segment->h + ON_LINE ? PLAIN_ALARM_CUSUM : 0;
  }
  of->rules[s][p] = rules;
}

/* Counts for its own point; one that is in none for that day's point before it, or the next. */
static void mark_tolerance(plain_chart *of) {
  for (size_t i = 0; i < of->n; i++) {
    int p = of->point[i];
    if (!of->failed[i])
      continue;
    for (size_t q = 0; of->point[i] < 0 && q < of->points_n; q++) {
      bool same_day = of->at[of->first[q]] / DAY == of->at[i] / DAY;
      if (same_day && (of->first[q] < i || p < 0))
        p = (int)q;
    }
    if (p >= 0)
      of->rules[of->has_low && of->raw[i] < of->low ? 1 : 0][p] |= PLAIN_TOLERANCE;
  }
}

/* Stays of a sum above 5. */
static void find_excursions(plain_chart *of) {
  long open[2] = {-1, -1};
  of->excursions_n = 0;
  for (size_t p = 0; p < of->points_n; p++)
    for (int s = 0; s < 2; s++) {
      bool border = of->segment_of[p] < 0 || p == segment_at(of, p)->from || of->restart[p] >= 0;
      open[s] = border ? -1 : open[s];
      if (of->judged[p] != 1)
        continue;
      if (of->sum[s][p] <= 5 + ON_LINE) {
        open[s] = -1;
        continue;
      }
      if (open[s] < 0) {
        stand now = stand_at(of, p, s == 0 ? 1 : -1);
        open[s] = (long)of->excursions_n;
        of->excursion[of->excursions_n++] =
            (plain_excursion){.side = s,
                              .signal = p,
                              .began = now.began,
                              .alarm = PLAIN_MOST,
                              .size = (s == 0 ? 1 : -1) * segment_at(of, p)->sigma *
                                      (0.5 + (now.sum - now.carried) / now.run)};
      }
      plain_excursion *stay = &of->excursion[open[s]];
      stay->last = p;
      if ((of->rules[s][p] & PLAIN_ALARM_CUSUM) != 0 && stay->alarm == PLAIN_MOST)
        stay->alarm = p;
    }
}

/* Signals of a side with fewer than 8 judged quiet points between them, all of one baseline. */
static void find_episodes(plain_chart *of) {
  of->episodes_n = 0;
  for (int s = 0; s < 2; s++) {
    int quiet = QUIET;
    for (size_t p = 0; p < of->points_n; p++) {
      if (p > 0 && of->segment_of[p] != of->segment_of[p - 1])
        quiet = QUIET;
      if (of->rules[s][p] == 0) {
        quiet += of->judged[p] != 0;
        continue;
      }
      if (quiet >= QUIET)
        of->episode[of->episodes_n++] = (plain_episode){.side = s, .first = p};
      plain_episode *episode = &of->episode[of->episodes_n - 1];
      episode->last = p;
      episode->signals++;
      episode->rules |= of->rules[s][p];
      quiet = 0;
    }
  }
}

void plain_signals(plain_chart *of) {
  place_restarts(of);
  for (size_t p = 0; p < of->points_n; p++)
    for (int s = 0; s < 2; s++) {
      of->rules[s][p] = 0;
      of->sum[s][p] = 0;
      if (of->judged[p] != 0)
        mark_point(of, p, s);
    }
  mark_tolerance(of);
  find_excursions(of);
  find_episodes(of);
}

/* From the last point of the segment that was judged and not left out of its baseline. */
bool plain_range(const plain_chart *of, size_t p, double *range) {
  if (of->judged[p] == 0 || of->excluded[p])
    return false;
  for (size_t q = p; q > segment_at(of, p)->from; q--)
    if (of->judged[q - 1] != 0 && !of->excluded[q - 1]) {
      *range = fabs(of->value[p] - of->value[q - 1]);
      return true;
    }
  return false;
}

/* Weights 0.2, 0.2 x 0.8, ... back to the last restart; what is left belongs to the centre. */
double plain_average(const plain_chart *of, size_t p) {
  double weight = 0.2, average = segment_at(of, p)->centre;
  for (size_t q = p + 1; q > segment_at(of, p)->phase2; q--) {
    if (of->judged[q - 1] == 1) {
      average += weight * (of->value[q - 1] - segment_at(of, p)->centre);
      weight *= 0.8;
    }
    if (of->restart[q - 1] >= 0)
      break;
  }
  return average;
}
