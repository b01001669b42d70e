/* The study of one unit. */
#ifndef BEAMTALLY_FINDING_UNIT_H
#define BEAMTALLY_FINDING_UNIT_H

#include "beamtally/finding/drift.h"
#include "beamtally/finding/fills.h"
#include "beamtally/finding/study.h"
#include "beamtally/record.h"
#include "beamtally/setup.h"

/* One subsystem of the self-test, by its name as the log writes it. */
typedef struct bt_failed_item {
  char *name;
  size_t failures;
  bt_time last_at;
} bt_failed_item;

/* Failures are rare: what is charted is the days from one to the next. Exponential gaps, as of
 * failures that come by chance at one rate. */
typedef struct bt_rare {
  size_t failures;    /* a failed self-test within an hour of a failed one is the same failure */
  bt_time *failed_at; /* when each of them began, in order; NULL: without their times */
  size_t gaps_n;
  double *gap_days;   /* from one failure to the next, in order */
  double mean_days;   /* 0 with under 2 failures */
  double short_limit; /* a gap below it has a probability under 0.00135 at the mean of the gaps
                         before the last; 0 with under 5 gaps */
  bool last_is_short; /* the last gap is below it */
  double open_days;   /* since the last failure, at `until` */
  double laplace_u;   /* trend test: above 0 the failures come faster; 0 with under 3 failures */
  size_t reversals;   /* reverse arrangements R: pairs of gaps of which the later is longer */
  double trend_p;     /* two-sided p of R, exact for up to 40 gaps without ties, else normal; 1 with
                         under 4 gaps */
  size_t items_n;
  bt_failed_item *items; /* worst first: most failures, then the latest */
} bt_rare;

void bt_rare_free(bt_rare *rare);

typedef struct bt_selftest {
  bool logged;
  size_t n, failed; /* checks with a self-test; of these with a failure */
  bt_rare rare;
  bt_time last_at;
  double passed, total; /* of the last one */
  const char *items;    /* failed items of the last one as written, or NULL; borrowed */
  bool last_failed;
  const char *failed_items; /* of the last one that failed, as written, or NULL; borrowed */
  bt_time passed_at; /* of the first one since then that passed; 0: none did, or none failed */
} bt_selftest;

/* A stretch without a check that is well beyond what schedule or rhythm leave between two. */
typedef struct bt_gap {
  bt_time from, to;  /* first and last day without a check, at midnight */
  int64_t days;      /* without a check */
  int64_t scheduled; /* of them those that the clinic's schedule has; 0 without one */
} bt_gap;

typedef struct bt_unit_study {
  bt_history history; /* cut at `until` */
  bt_fills fills;
  size_t studies_n;
  bt_study **studies; /* one for each characteristic that is logged, in canonical order */
  bt_settings settings;
  bt_selftest selftest;
  bt_provenance provenance;
  size_t corrections_n;
  bt_correction *corrections; /* in order of their entry */
  double false_alarms_a_year; /* that the alarming charts of `studies` together are expected to
                                 give; 0: none has its limits */
  bool has_check;             /* any check at all */
  bt_time first_check, last_check;
  double expected_days; /* a current check is one within so many days */
  bool current;         /* the last check is within them at `until` */
  size_t gaps_n;
  bt_gap *gaps; /* of the year up to the last check, in order of time */
  bt_time until;
  bt_verdict verdict;   /* the worst of its studies and of the unit itself */
  bt_unit_drift *drift; /* NULL: not looked for */
} bt_unit_study;

void bt_unit_study_free(bt_unit_study *study);

/* How far off a unit is, to order units of one verdict. */
typedef struct bt_deviation {
  double beyond; /* of the last checks outside tolerance the farthest, from its limit, in half
                    widths of the tolerance (one-sided: in distances of the limit from the
                    baseline's centre; without one in sizes of the limit); 0: none is outside */
  double sigmas; /* the largest mean distance of the last points from their centre, in sigma */
} bt_deviation;
bt_deviation bt_unit_deviation(const bt_unit_study *unit);
/* Below 0 where a is farther off than b: beyond tolerance first, then in sigma; 0: as far. */
int bt_deviation_order(bt_deviation a, bt_deviation b);

/* The study of that characteristic, or NULL. Borrowed. */
const bt_study *bt_unit_study_of(const bt_unit_study *study, bt_characteristic characteristic);

#endif
