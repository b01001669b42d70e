/* A second reading of what `analyse` is to say of one unit, in plain loops over the definitions: no
 * line of it is shared with the program. Everything at a point is found anew by looking back. */
#ifndef PLAIN_CHART_H
#define PLAIN_CHART_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum { PLAIN_MOST = 480, PLAIN_EVENTS = 12, PLAIN_PERIODS = 3 };

/* Which limits judge: the first 60 points', stated ones, those of a period that was asked for, or
 * those of frozen periods. */
typedef enum plain_mode { PLAIN_FIRST, PLAIN_STATED, PLAIN_ASKED, PLAIN_FROZEN } plain_mode;

/* A first and last day, and once it is fitted its limits and the checks at which the points stand
 * that it leaves out. */
typedef struct plain_period {
  long from, to;
  bool screen, fitted;
  size_t n, left_n;
  double centre, sigma;
  size_t left[PLAIN_MOST];
  int left_pass[PLAIN_MOST];
} plain_period;

/* Points [from, to), judged by one baseline; its own are those before phase2. */
typedef struct plain_segment {
  size_t from, to, phase2, n;
  long first_day;
  bool drawn;
  double centre, sigma, lag1;
  double target;       /* median of the period's; 0: none */
  size_t days;         /* of several checks, in the baseline */
  double within_sigma; /* from them */
  double limit, h;     /* budgeted, in sigma; 0: none. They come from outside. */
} plain_segment;

/* side: 0 high, 1 low */
typedef struct plain_excursion {
  int side;
  size_t signal, began, last, alarm; /* alarm: PLAIN_MOST where there is none */
  double size;
} plain_excursion;

typedef struct plain_episode {
  int side;
  size_t first, last, signals;
  unsigned rules;
} plain_episode;

enum {
  PLAIN_WE1 = 1,
  PLAIN_WE2 = 2,
  PLAIN_WE3 = 4,
  PLAIN_WE4 = 8,
  PLAIN_CUSUM = 16,
  PLAIN_TOLERANCE = 32,
  PLAIN_ALARM_LIMIT = 64,
  PLAIN_ALARM_CUSUM = 128,
  PLAIN_ALARMS = PLAIN_TOLERANCE | PLAIN_ALARM_LIMIT | PLAIN_ALARM_CUSUM
};

/* Times are minutes since the first day began. */
typedef struct plain_chart {
  /* What the log holds. */
  size_t n, events_n;
  long at[PLAIN_MOST], event_at[PLAIN_EVENTS];
  int event[PLAIN_EVENTS];                    /* see plain_events */
  double raw[PLAIN_MOST], target[PLAIN_MOST]; /* target energy; 0: none is logged */
  bool as_left[PLAIN_MOST];
  bool has_low, has_high;
  double low, high;
  /* What is asked. */
  plain_mode mode;
  bool every;
  double centre, sigma;
  size_t periods_n;
  plain_period period[PLAIN_PERIODS];
  /* What comes of it: checks, points, segments, signals. */
  bool failed[PLAIN_MOST], outside[PLAIN_MOST], retest[PLAIN_MOST];
  int point[PLAIN_MOST];
  size_t points_n, first[PLAIN_MOST]; /* the check that a point stands at */
  int checks[PLAIN_MOST], segment_of[PLAIN_MOST], judged[PLAIN_MOST], pass[PLAIN_MOST];
  bool used[PLAIN_MOST], excluded[PLAIN_MOST], other[PLAIN_MOST]; /* of another target */
  double held[PLAIN_MOST];                                        /* mean target of a point */
  double value[PLAIN_MOST], z[PLAIN_MOST], within[PLAIN_MOST];
  size_t segments_n;
  plain_segment segment[PLAIN_PERIODS];
  int restart[PLAIN_MOST]; /* the event that a point restarts by, or -1 */
  unsigned rules[2][PLAIN_MOST];
  double sum[2][PLAIN_MOST];
  size_t excursions_n, episodes_n;
  plain_excursion excursion[PLAIN_MOST];
  plain_episode episode[PLAIN_MOST];
} plain_chart;

/* Kinds of events; the first four restart the sums. */
extern const char *const plain_events[5];

/* The next history. */
void plain_make(plain_chart *of, uint64_t *seed);

/* "2025-01-06T07:30" of so many minutes, "2025-01-06" of so many days; give their buffer. */
const char *plain_moment(long minutes, char text[32]);
const char *plain_day(long day, char text[32]);

/* Centre and sigma of a period as it would be frozen; false: there would be no chart. */
bool plain_freeze(plain_chart *of, plain_period *period);

/* Points, baselines and which points are judged. */
void plain_limits(plain_chart *of);

/* What the standard deviation of n normal values is on average, in sigma. */
double plain_c4(int n);

/* All signals; the segments' budgeted limits must stand in them. */
void plain_signals(plain_chart *of);

/* Moving range of a point, EWMA of one that is judged by rules (see judged: 1). */
bool plain_range(const plain_chart *of, size_t p, double *range);
double plain_average(const plain_chart *of, size_t p);

#endif
