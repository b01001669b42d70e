/* The study room: the only way from a ledger to findings.
 *
 * It derives each characteristic from the readings, groups checks into points, sets retests aside,
 * moves values to the baseline's mean fill age, takes or suggests baselines, runs charts and rules,
 * and gives the verdict. */
#ifndef BEAMTALLY_STUDY_H
#define BEAMTALLY_STUDY_H

#include "beamtally/base.h"
#include "beamtally/finding.h"
#include "beamtally/ledger.h"

typedef enum bt_series_choice { BT_SERIES_PRIMARY, BT_SERIES_RAW } bt_series_choice;

/* Alarm limits found in studies before, so that a fleet's units don't each have the same ones
 * solved again. Zeroed at first; nothing in it depends on a ledger. */
typedef struct bt_solved_limit bt_solved_limit;
typedef struct bt_solved_limits {
  size_t n, room;
  bt_solved_limit *limit;
} bt_solved_limits;
void bt_solved_limits_free(bt_solved_limits *known);

/* What is asked for. A zeroed request with a unit studies all of it as of `until`. */
typedef struct bt_study_request {
  const char *unit;
  bt_time until;           /* readings before this moment; also the moment of the verdict */
  bt_time concluded_until; /* dispositions entered before this moment; 0: before `until`. A month's
                              report is talked over in the next one: what was concluded then belongs
                              to it */
  bool only_one;           /* study one characteristic only */
  bt_characteristic characteristic;
  bt_series_choice series;
  bool has_baseline; /* a baseline given on the command line, not frozen */
  bt_time baseline_from, baseline_to;
  bool screen;
  bool every; /* session = every: each check is a point */
  bool has_centre, has_sigma;
  double centre, sigma;
  int case_format;          /* judged by what evidence folders of that format know; 0: by all */
  bt_solved_limits *solved; /* of the studies before, borrowed; NULL: each unit by itself */
} bt_study_request;

/* BT_NOTFOUND for an unknown unit, or when the one characteristic asked for is not in its log. */
bt_status bt_study_unit(bt_ledger *ledger, const bt_study_request *request, bt_unit_study **study,
                        bt_error *error) BT_MUST_CHECK;

typedef struct bt_drift_request {
  bool with_operator; /* who checked, as a covariate: codes only */
  size_t past_months; /* forecasts of so many month ends before are made again, and scored */
  bt_time read_on;    /* day on which what is found is read; 0: `until` of the study */
} bt_drift_request;

/* Looks for drift in a study of the whole unit, and puts what is found into study->drift. */
bt_status bt_study_drift(bt_ledger *ledger, const bt_drift_request *request, bt_unit_study *study,
                         bt_error *error) BT_MUST_CHECK;

/* A baseline that could be frozen. */
typedef struct bt_proposal {
  bt_baseline baseline; /* without by and why */
  bt_baseline_exclusion *exclusions;
  size_t exclusions_n;
  bool screen_stopped;    /* a further pass would have left out more than 10 % */
  bt_stability stability; /* tests for drift in its period */
} bt_proposal;

/* Computes the baseline that would be frozen for this period: centre, sigma, slope, exclusions, and
 * the tests for drift. BT_REFUSED with under 8 points, and for a period that drifts, unless
 * accept_drift. */
bt_status bt_study_baseline(bt_ledger *ledger, const char *unit, bt_characteristic characteristic,
                            bt_time from, bt_time to, bool screen, bool accept_drift,
                            bt_proposal *proposal, bt_error *error) BT_MUST_CHECK;
void bt_proposal_free(bt_proposal *proposal);

#endif
