/* Charts of one series, and their limits: individuals and moving range, CUSUM, EWMA, the tracker's
 * vector, the spread within a day, the limits of alarms. */
#ifndef BEAMTALLY_FINDING_CHART_H
#define BEAMTALLY_FINDING_CHART_H

#include "beamtally/finding/rule.h"
#include "beamtally/record.h"

/* The chart of T² has its limit in ucl (that of Phase II once it has begun, else of Phase I), with
 * n and df of its vector; centre, sigma, lcl and the moving range are 0. */
typedef struct bt_individuals {
  size_t n;                 /* points that centre and sigma come from; 0 when both were stated */
  double centre;            /* mean of the baseline, or stated */
  double sigma;             /* MRbar / d2(2), or stated */
  double lcl, ucl;          /* centre -/+ 3 sigma */
  double mr_centre, mr_ucl; /* MRbar, D4(2) MRbar; from sigma where that was stated */
  double df;                /* effective degrees of freedom of sigma; 0 where stated */
} bt_individuals;

/* How uncertain sigma is, and with it the limits, where both come from few points: 95 % intervals,
 * the centre taken as it is. */
typedef struct bt_uncertainty {
  bool given; /* false: sigma was stated, or the chart has a limit of another kind */
  double sigma_low, sigma_high;
  double lcl_low, lcl_high; /* centre - 3 sigma_high, centre - 3 sigma_low */
  double ucl_low, ucl_high;
} bt_uncertainty;

/* Where both sides of the CUSUM began anew, with headstart, and which event called for it. */
typedef struct bt_restart {
  size_t point; /* first point after the event */
  bt_time at;   /* the event */
  bt_event_kind kind;
  bool resolved; /* no event: a person asked for it with a disposition */
  bool ended;    /* nor did they say when the action was done: `at` is the last point of the episode
                    as it was then, and only what is later counts as after it */
} bt_restart;

/* One stay of a side above h. */
typedef struct bt_excursion {
  bt_side side;
  size_t signal;    /* first point with C > h */
  size_t run_began; /* i - N + 1 counted in judged points: "signal run began", never "since" */
  size_t run_first; /* excursion with which that run first signalled: an index, often its own */
  size_t last;      /* last point of the stay */
  double size;      /* shift of the mean over the run, in the characteristic's unit, signed; at the
                       signal: +-sigma (k + C/N), less a headstart still carried */
} bt_excursion;

typedef struct bt_cusum {
  double k, h, headstart; /* in sigma; headstart after a restart, as a fraction of h */
  double *high, *low;     /* C+ and C-, both >= 0, one a point; 0 where a point isn't judged */
  uint32_t *run_high, *run_low; /* N+, N-: judged points since the sum left 0 */
  size_t excursions_n;
  bt_excursion *excursions; /* in order of their signal */
  size_t restarts_n;
  bt_restart *restarts;
} bt_cusum;

void bt_cusum_free(bt_cusum *cusum);

/* Drawn only: it has no signal of its own. It starts at the centre at the first judged point of
 * Phase II, and anew where the CUSUM restarts; its exact limits widen from there. */
typedef struct bt_ewma {
  double lambda, limit; /* weight of the newest point; L, in the EWMA's own sigma */
  double *value;        /* in the characteristic's unit; 0 where a point isn't judged */
  double *lcl, *ucl;    /* its limits at that point; 0 as well */
} bt_ewma;

void bt_ewma_free(bt_ewma *ewma);

/* The tracker's offset as a vector: limit of its length. A point of that chart is the length of its
 * day's mean offset, and the bivariate normal is that of the baseline's mean offsets, so that limit
 * and point are of the same thing where days have several checks. */
typedef struct bt_radial_limit {
  size_t n; /* points */
  double mean_x, mean_y, var_x, var_y, cov_xy;
  double limit; /* 99.73 % quantile of sqrt(x^2 + y^2) */
} bt_radial_limit;

/* Hotelling T² of the tracker's offset (x, y), p = 2. Phase I and Phase II have limits of their
 * own, both at a false-alarm probability of 0.0027 a point. */
typedef struct bt_vector {
  size_t n;              /* points that mean and covariance come from */
  bool from_differences; /* covariance from successive differences, else pooled */
  double df;             /* its effective degrees of freedom */
  double mean_x, mean_y, var_x, var_y, cov_xy;
  double phase1_limit, phase2_limit;
} bt_vector;

/* Within-day spread: the s chart of days with several checks. Its limits depend on how many checks
 * a day has; those of a point stand in the series of the study. */
typedef struct bt_within {
  size_t days;  /* baseline days with two checks or more; 0: there is no such chart */
  double sigma; /* within-day standard deviation: mean of s/c4(n) over them */
} bt_within;

/* Of fewer points a baseline has no alarm limits, its chart gives notices only, and no capability
 * is given. */
enum { BT_ALARM_LEAST_POINTS = 30 };

/* Limits that are meant to be crossed no more often than a unit's budget of false alarms, with
 * centre and sigma estimated from n points. */
typedef struct bt_alarm_limits {
  bool given;           /* false: a baseline under 30 points, or a chart that doesn't alarm */
  double budget_a_year; /* false alarms a unit and year that are allowed */
  size_t charts;        /* alarming charts that share it */
  double checks_a_year; /* points a year, as the baseline's period had them */
  size_t n;             /* points of the baseline */
  bool screened;        /* the baseline was screened by its own limits */
  double limit, h;      /* Shewhart limit L and CUSUM h, in sigma; 0: the chart has none */
  double t2_limit;      /* of T²; 0 for all other charts */
  double share_a_year;  /* false alarms a year that this chart is expected to give, on average over
                           baselines of n points */
  double low, high;     /* 10 % and 90 % of that over baselines: yours may be either */
} bt_alarm_limits;

#endif
