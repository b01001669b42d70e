/* The study of one characteristic: baselines, what each judged, episodes, tolerance, verdict. */
#ifndef BEAMTALLY_FINDING_STUDY_H
#define BEAMTALLY_FINDING_STUDY_H

#include "beamtally/finding/baseline.h"
#include "beamtally/finding/capability.h"
#include "beamtally/finding/chart.h"
#include "beamtally/finding/fills.h"
#include "beamtally/finding/rule.h"
#include "beamtally/series.h"
#include "beamtally/setup.h"

typedef enum bt_chart_state {
  BT_CHART_DRAWN,
  BT_CHART_COVARIATE, /* room conditions: shown, not judged */
  BT_CHART_TOO_FEW,   /* under 8 points: no baseline yet */
  BT_CHART_RESOLUTION /* readings too coarse: "log more digits" */
} bt_chart_state;

typedef struct bt_segment {
  size_t from, to;  /* points [from, to) are judged by this baseline */
  size_t phase2;    /* first point of Phase II; == to when there is none yet */
  bool provisional; /* suggested from the first points, not frozen by a person */
  bool stated;      /* centre or sigma was stated on the command line */
  bt_chart_state state;
  bt_baseline baseline;
  bt_individuals chart;
  bt_uncertainty uncertainty; /* of the chart; the radius and T² have none */
  bt_slope slope;
  bt_resolution resolution;
  bt_autocorrelation autocorrelation;
  bt_radial_limit radial; /* n 0 but for the tracker's radius */
  bt_vector vector;       /* n 0 but for its T² */
  bt_within within;
  bt_stability stability; /* of a suggested or given period; of a frozen one, as refitted today */
  bt_alarm_limits alarm;
  bt_refit refit;
  double between_p; /* p of the between-day variance being zero (one-way analysis of variance of the
                       baseline's single checks); 1 where no day has several */
  size_t exclusions_n;
  bt_exclusion *exclusions;
  bool screen_stopped; /* a further pass would have left out more than 10 % */
  double target_mj; /* of the high voltage: the baseline's target energy, the median of its points';
                       of an even number the lower of the middle two. 0 where none is logged */
} bt_segment;

enum { BT_EPISODE_QUIET = 8 }; /* so many judged points without a signal end an episode */

typedef struct bt_episode {
  char id[BT_ID_DIGITS + 1]; /* of (unit, characteristic, first signalling point): stays the same
                                while that point does */
  size_t disposition;        /* the latest one that it overlaps, index into the study's; BT_NONE */
  bt_side side;
  bt_strength strength; /* the worst of its signals */
  size_t first, last;   /* points */
  size_t signals;       /* signalling points */
  bt_rules rules;       /* all rules that signalled in it */
} bt_episode;

/* The charted values went back, away from signals, from one judged point to the next, where no
 * event is recorded. */
typedef struct bt_jump {
  size_t before, at; /* points */
  double by;         /* in the characteristic's unit: above 0 away from the low side */
} bt_jump;

typedef struct bt_tolerance_finding {
  const bt_tolerance *now;     /* in force at `until`; NULL: none. Borrowed from the settings, which
                                  outlive the study */
  const bt_tolerance *to_come; /* where none is in force: the next that will be; NULL: none
                                  entered */
  size_t judged, outside;      /* checks */
  size_t last_outside;         /* index into the checks, or BT_NONE */
  bool last_is_outside;        /* the last valid check is outside */
  int to_limit;  /* -1 low, +1 high: the limit that the last check is nearer to; 0 none */
  double margin; /* distance of the last check from that limit, inside positive */
} bt_tolerance_finding;

/* Worst first. Never "steady", "safe" or "OK". */
typedef enum bt_verdict {
  BT_VERDICT_OUT_OF_TOLERANCE, /* the last valid check */
  BT_VERDICT_SELFTEST_FAILED,  /* the last self-test */
  BT_VERDICT_NO_CURRENT_CHECK, /* none within the expected interval */
  BT_VERDICT_NO_TOLERANCE,     /* none in force */
  BT_VERDICT_ALARM,
  BT_VERDICT_NOTICE,
  BT_VERDICT_NO_BASELINE,
  BT_VERDICT_NO_SIGNAL /* "no signal in the log to <date>" */
} bt_verdict;

/* "OUT OF TOLERANCE", "SELF-TEST FAILED", ... ; for the last "NO SIGNAL IN THE LOG". */
const char *bt_verdict_words(bt_verdict verdict);

typedef struct bt_study {
  bt_characteristic characteristic;
  bt_quantity quantity;  /* how it is named; borrowed from the settings, which outlive the study */
  bool every;            /* session = every: each check is a point */
  double pulses_per_day; /* fill ages are counted by pulses, so many of which are a day; 0: they
                            are the time since the refill */
  bool adjusted;         /* the charted series is moved to the mean fill age (last segment) */
  bt_series checks;      /* every check with this characteristic, retests too. T² has no tolerance,
                            and its raw values too are counted from the baseline's vector */
  bt_series points;      /* what is charted */
  double *z;             /* (value - centre) / sigma a point; 0 where there is no segment */
  double *moving_range;  /* a point; meaningful where has_range */
  uint8_t *has_range;
  uint8_t *judged; /* 1: judged by rules and CUSUM (Phase II), 2: Phase I: 3-sigma limit only */
  bt_rules *rules[BT_SIDES]; /* bits BT_WE1 .. BT_ALARM_CUSUM a point. The radius and T² have limits
                               only, on the high side: BT_WE1 (and BT_ALARM_LIMIT for T²); neither
                               zones, ranges, CUSUM nor EWMA */
  uint8_t *strength;         /* bt_strength a point */
  bt_cusum cusum;
  bt_ewma ewma; /* meaningful where judged is 1; the radius has none */
  size_t segments_n;
  bt_segment *segments; /* in time order; the last one judges the newest points */
  size_t episodes_n;
  bt_episode *episodes; /* in order of their first point */
  size_t jumps_n;
  bt_jump *jumps; /* of the newest baseline, in time order */
  size_t dispositions_n;
  bt_disposition *dispositions; /* of this characteristic, in order of their entry */
  bool *disposition_used;       /* overlaps an episode: others stand alone, later entries having
                                   left them without one */
  bt_tolerance_finding tolerance;
  bt_capability capability;
  bt_from_first from_first;
  double *within_s_ucl; /* upper limit of a point's within-day s; 0 where it has none */
  int64_t stale_days;   /* since its last reading, at `until` of the unit, where that is over two
                           weeks   and later than a check of the unit is expected; else 0 */
  size_t recent_n;      /* the last judged points, at most 8, all of the newest baseline */
  double recent_shift;  /* their mean distance from its centre, in the characteristic's unit */
  bt_verdict verdict;
  size_t restarted; /* index of the restart that is under 8 judged points old; or BT_NONE */
} bt_study;

void bt_study_free(bt_study *study);

/* What a characteristic shows: its verdict, a missing tolerance looked through, so that it doesn't
 * hide what its chart says. */
bt_verdict bt_study_shown_verdict(const bt_study *study);

/* The words of that: as above, but "NO OPEN SIGNAL" where the log holds signals that are past, and
 * "NOT JUDGED" for a room condition and where readings are too coarse or all alike. */
const char *bt_study_verdict_words(const bt_study *study);

/* What of a span takes no part, and why. */
typedef struct bt_left_out {
  size_t retests, as_left; /* checks that are in no point */
  size_t failed, beyond;   /* points left out of a baseline: a check of theirs is outside tolerance,
                              or they lie beyond its limits */
  size_t unknown_age, too_old, other_target,
      no_baseline; /* points that no rule judges: of a fill whose refill isn't known;
                      of one older than the baseline's oldest; of another target
                      energy; before the first baseline, or of one without a chart */
} bt_left_out;

bt_left_out bt_study_left_out(const bt_study *study, bt_time from, bt_time to);

/* The first of the newest points that are all of another target energy than their baseline's;
 * BT_NONE where the very last one is of its target. */
size_t bt_study_other_target_from(const bt_study *study);

/* The segment that judges the newest points, or NULL. Borrowed. */
const bt_segment *bt_study_now(const bt_study *study);

/* True when the episode, one of the study's, is open: it reaches into the last 8 judged points. */
bool bt_study_is_open(const bt_study *study, const bt_episode *episode);

/* True when the study's disposition d is of that episode: of its side, overlapping it. The last
 * such one is the episode's, those before it are what was concluded earlier. */
bool bt_study_concludes(const bt_study *study, const bt_episode *episode, size_t d);

/* How many dispositions of the episode came before its own: how often it was revised. */
size_t bt_study_revised(const bt_study *study, const bt_episode *episode);

/* The restart of the CUSUM that ended an episode which is past: its sum was past its limit to the
 * last point before, and would have been at the next one. NULL: its readings did, or a new
 * baseline, or it is open. Borrowed from the study. */
const bt_restart *bt_study_ended_by(const bt_study *of, const bt_episode *episode);
/* Of such a one: other rules signalled to that last point as well, and those the readings ended. */
bool bt_study_ended_in_part(const bt_study *of, const bt_episode *episode);

/* How many of the very newest points in a row are judged, by one baseline, and lie beyond its
 * centre, away from that side. */
size_t bt_study_newest_across(const bt_study *study, bt_side side);

/* The open episode with the worst strength, newest first among equals; or NULL. Borrowed. */
const bt_episode *bt_study_open_episode(const bt_study *study);

/* The worst strength among the last 8 judged points: an alarm that is long past does not make what
 * is open now an alarm, though one episode may hold both. */
bt_strength bt_study_open_strength(const bt_study *study);
/* The same of the signals of one side alone. */
bt_strength bt_study_open_strength_on(const bt_study *study, bt_side side);

#endif
