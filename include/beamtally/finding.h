/* Results: one small struct a method, and the studies that gather those that ran.
 *
 * A finding keeps everything a reader may ask for: points, limits, n, what was left out and why.
 * `report` and `emit` print what stands here and compute nothing.
 *
 * Words. A *signal* is a rule or limit broken at a point. It is a *notice* (the classical rules) or
 * an *alarm* (tolerance failed, or a budgeted limit). An *episode* is a run of signals of one
 * characteristic and side with fewer than 8 quiet points between them. *Phase I* is the baseline
 * period, *Phase II* all after it. Sides: high and low, each judged on its own.
 *
 * Ownership: a study owns all that it points to; its free function accepts NULL. */
#ifndef BEAMTALLY_FINDING_H
#define BEAMTALLY_FINDING_H

#include "beamtally/base.h"
#include "beamtally/record.h"
#include "beamtally/series.h"
#include "beamtally/setup.h"

typedef enum bt_side { BT_LOW, BT_HIGH, BT_SIDES } bt_side;

typedef enum bt_strength { BT_QUIET, BT_NOTICE, BT_ALARM } bt_strength;

/* No index: the position of something that isn't there. */
#define BT_NONE SIZE_MAX

/* ---- Individuals and moving range ------------------------------------------------------------ */

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

/* ---- Rules ----------------------------------------------------------------------------------- */

/* All that judges a point, in the order of a chart's lane: X(ID, key, kind, label, beyond, words,
 * in_control).
 * key         in every form that is read and written
 * kind        ZONE: a notice whose exact run length is known (src/spc/run_length_rules.c); these
 *             come first. NOTICE, ALARM: what it is where it is broken
 * label       of its row in the lane; NULL: it stands in the row of the rule that it goes beyond
 * beyond      the alarm that stands in its row; 0
 * words       what it is; " sigma" is printed as a sign on pages
 * in_control  points to a false signal, for page "Method", from the sources named there
 *
 * Zone rules: Western Electric Handbook (1956). TOLERANCE: a check of the point's day is outside
 * tolerance on this side. ALARM_LIMIT: beyond the budgeted Shewhart (or T²) limit. ALARM_CUSUM: the
 * CUSUM is above the budgeted h. */
#define BT_RULES(X)                                                                                \
  X(WE1, "WE1", ZONE, "1 > 3σ", BT_ALARM_LIMIT, "one point beyond 3 sigma", "370")                 \
  X(WE2, "WE2", ZONE, "2 of 3 > 2σ", 0,                                                            \
    "two of three successive points beyond 2 sigma, the last one among them",                      \
    "225, with the rule above")                                                                    \
  X(WE3, "WE3", ZONE, "4 of 5 > 1σ", 0, "four of five successive points beyond 1 sigma",           \
    "166, with the first rule")                                                                    \
  X(WE4, "WE4", ZONE, "8 one side", 0, "eight successive points on one side of the centre",        \
    "153, with the first rule")                                                                    \
  X(CUSUM_SIGNAL, "CUSUM", NOTICE, "CUSUM > h", BT_ALARM_CUSUM,                                    \
    "the sum of deviations beyond k = 0.5 sigma passes h = 5 sigma", "465")                        \
  X(TOLERANCE_FAILED, "TOLERANCE", ALARM, "tolerance", 0,                                          \
    "a single reading outside the limits that the clinic must keep", "does not apply")             \
  X(ALARM_LIMIT, "ALARM_LIMIT", ALARM, NULL, 0,                                                    \
    "one point beyond the alarm limit, which is wider than 3 sigma", "see each chart")             \
  X(ALARM_CUSUM, "ALARM_CUSUM", ALARM, NULL, 0,                                                    \
    "the same sum passes the h of alarms, which is higher than 5 sigma", "see each chart")

enum {
#define X(ID, ...) BT_PLACE_OF_##ID,
  BT_RULES(X)
#undef X
      BT_RULE_COUNT
};

typedef enum bt_rule_kind { BT_RULE_ZONE, BT_RULE_NOTICE, BT_RULE_ALARM } bt_rule_kind;

/* A bit each, and the sets of a kind. */
enum {
#define X(ID, ...) BT_##ID = 1 << BT_PLACE_OF_##ID,
  BT_RULES(X)
#undef X
#define X(ID, key, kind, ...) | (BT_RULE_##kind == BT_RULE_ZONE) << BT_PLACE_OF_##ID
      BT_ZONE_RULES = 0 BT_RULES(X),
#undef X
#define X(ID, key, kind, ...) | (BT_RULE_##kind == BT_RULE_ALARM) << BT_PLACE_OF_##ID
  BT_ALARM_RULES = 0 BT_RULES(X)
#undef X
};

/* A set of those bits. */
typedef uint16_t bt_rules;

typedef struct bt_rule {
  bt_rules bit, beyond;
  bt_rule_kind kind;
  const char *key, *label, *words, *in_control;
} bt_rule;

/* In the order of their bits: rule r has the bit 1 << r. */
extern const bt_rule bt_rule_table[BT_RULE_COUNT];

/* The rule with that key, of `length` bytes; 0 where there is none. */
bt_rules bt_rule_named(const char *key, size_t length);

/* Adds the keys of the rules. */
void bt_rule_keys(bt_rules rules, const char *between, bt_text *out);

/* ---- Tabular CUSUM --------------------------------------------------------------------------- */

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

/* ---- EWMA ------------------------------------------------------------------------------------ */

/* Drawn only: it has no signal of its own. It starts at the centre at the first judged point of
 * Phase II, and anew where the CUSUM restarts; its exact limits widen from there. */
typedef struct bt_ewma {
  double lambda, limit; /* weight of the newest point; L, in the EWMA's own sigma */
  double *value;        /* in the characteristic's unit; 0 where a point isn't judged */
  double *lcl, *ucl;    /* its limits at that point; 0 as well */
} bt_ewma;

void bt_ewma_free(bt_ewma *ewma);

/* ---- Fills and the within-fill slope --------------------------------------------------------- */

typedef struct bt_fill {
  bt_time from, to; /* refill that began it; the next one, or the last check */
  bool start_known; /* false: the log begins inside this fill */
} bt_fill;

typedef struct bt_fills {
  size_t n;
  bt_fill *fill;
  double interval_days; /* median of the whole fills' lengths; 0 when there is none */
  bool from_log;        /* ages were read from the log's own column */
  bool from_counter; /* no refill and no age is logged: refills were read off the pulse counter */
} bt_fills;

void bt_fills_free(bt_fills *fills);

/* Why a characteristic is charted raw rather than moved to the mean fill age. */
typedef enum bt_age_use {
  BT_AGE_USED,
  BT_AGE_NOT_ASKED,      /* this characteristic isn't moved, or --series raw */
  BT_AGE_NO_FILLS,       /* under 3 fills in the baseline */
  BT_AGE_FEW_DF,         /* under 10 residual degrees of freedom */
  BT_AGE_NOT_SIGNIFICANT /* b doesn't differ from zero at 95 % */
} bt_age_use;

typedef struct bt_slope {
  bt_age_use use;
  size_t fills, n;  /* gas fills and values that entered */
  size_t stretches; /* fills, split at cleanings and the like: one intercept each */
  double df;        /* n - stretches - 1 */
  double per_day;   /* b, in the characteristic's unit per day of fill age */
  double se;
  double low, high; /* 95 % t interval */
  double t;         /* b / se */
  double mean_age_days, oldest_age_days;
} bt_slope;

/* ---- Smaller findings ------------------------------------------------------------------------ */

/* A point left out of a baseline. */
typedef struct bt_exclusion {
  size_t point;
  int pass; /* screening pass, from 1: beyond the limit; 0: a check of it is outside tolerance */
  double z; /* its distance from that pass's centre, in that pass's sigma; 0 for pass 0, and for
               the radius and T², which are screened by their own limit */
} bt_exclusion;

/* The smallest step between distinct readings, against sigma. */
typedef struct bt_resolution {
  double step;  /* 0: fewer than two distinct readings */
  bool coarse;  /* step above sigma: a warning */
  bool useless; /* step above 2 sigma, or sigma 0: no control chart */
} bt_resolution;

typedef struct bt_autocorrelation {
  size_t n;
  double lag1, bound; /* bound 1.96 / sqrt(n) */
  double high;        /* upper 95 % limit of lag1 */
  bool exceeded;      /* |lag1| above its bound, or its upper limit above 0.25: false alarms will
                         be more frequent than the tables say, and no run length is printed */
} bt_autocorrelation;

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

/* A baseline of fewer points has no alarm limits: the chart gives notices only. */
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

/* Is a period fit to be a baseline? Tests of its points (levels of its fills where values are
 * moved to the mean fill age). n 0 and p 1 with under 4 of them. For T² of x or y, whichever speaks
 * louder, with each p doubled. */
typedef struct bt_stability {
  size_t n;          /* values that entered */
  double tau;        /* Kendall's tau with time */
  double trend_p;    /* two-sided p of no trend, exact for n up to 40 without ties */
  double step_f;     /* largest F of a step at any date, both sides having 2 values or more */
  size_t step_at;    /* first value after it, an index of the values given; in a segment the point
                        of the study (the first of that level) */
  double step_p;     /* p of that largest F, by its own distribution (tabulated by simulation) */
  bool drifting;     /* either p is under 0.01 */
  double detectable; /* shift of the mean between the period's halves that the step test, as it was
                        done, finds with a probability of 0.8: its power. bt_stability_test gives it
                        in sigma of the values tested; in a study it is in sigma of the chart, also
                        where levels were tested; of T² in sigma of the axis */
} bt_stability;

/* An index of capability against the tolerance in force; all 0 where it isn't given. */
typedef struct bt_index {
  bool given;
  double value, low, high; /* 95 % interval */
} bt_index;

typedef enum bt_capability_use {
  BT_CAPABILITY_GIVEN,
  BT_CAPABILITY_NO_TOLERANCE,
  BT_CAPABILITY_NO_BASELINE,    /* none, or under 30 points (n) */
  BT_CAPABILITY_OUT_OF_CONTROL, /* a signal is open */
  BT_CAPABILITY_OTHER_TARGET,   /* the newest points hold another target energy */
  BT_CAPABILITY_NOT_NORMAL      /* a radius, T² or a room condition */
} bt_capability_use;

typedef struct bt_capability {
  bt_capability_use use;
  size_t n;    /* raw readings that Pp and Ppk come from: single checks since the newest baseline
                  began, Phase I and II; retests and as-left ones left out */
  size_t days; /* that they were made on. Readings of one day are alike: where days have several,
                  the intervals rest on so many, not on n; 0: as many as n */
  double mean, overall_s;
  size_t baseline_n;         /* points that the within sigma comes from */
  double within_sigma;       /* of the baseline's charted points: no sigma of single raw readings
                                where these are means of several checks or moved to the mean fill
                                age */
  double within_df;          /* 0: then Cp and Cpk are not given */
  bt_index cp, cpk, pp, ppk; /* cp and pp only for a two-sided tolerance */
} bt_capability;

/* Where the level is today, against the unit's first baseline of this characteristic: the days that
 * were ever frozen first, with the numbers of their newest version (bt_ledger_first_baseline).
 * Freezing other days, earlier ones too, leaves it the first. */
typedef struct bt_from_first {
  bool given;       /* the baseline in force is of other days than the first that measures the same
                       (same derivation) */
  bt_time from, to; /* its period */
  double centre;    /* its centre */
  double shift;     /* mean of the last 8 points, moved to its mean fill age, less its centre */
} bt_from_first;

/* A frozen baseline whose period reads otherwise today: a correction, a late line or event. The
 * limits don't move until somebody freezes again. */
typedef struct bt_refit {
  bool differs;
  bool given; /* there would be a chart: else too few of its points are left, or they are alike */
  size_t n;
  double centre, sigma, lcl, ucl; /* as they would be; of the radius and T² ucl alone is a limit */
  bool adjusted, from_differences; /* the slope of the fill age is used; T² is from differences */
  double slope_per_day, mean_age_days; /* meaningful when adjusted */
} bt_refit;

/* ---- Run lengths ----------------------------------------------------------------------------- */

typedef enum bt_run_method { BT_RUN_OF_RULES, BT_RUN_OF_CUSUM, BT_RUN_OF_EWMA } bt_run_method;

/* A chart whose run length is asked for; centre and sigma are taken as known. */
typedef struct bt_run_chart {
  bt_run_method method;
  bt_rules rules;         /* rules: bits BT_WE1 .. BT_WE4, at least one */
  double k, h, headstart; /* CUSUM: in sigma; headstart as a fraction of h */
  bool one_sided;         /* CUSUM: the high side alone */
  double lambda, limit;   /* EWMA: weight of the newest point; limit in its own sigma */
  bool constant_limits;   /* EWMA: the limits that exact ones tend to, from the first point on */
} bt_run_chart;

/* Points up to and with the first signal, from an empty state (or the headstart). */
typedef struct bt_run_length {
  double shift;                    /* of the mean, from the first point on, in sigma */
  double arl, sdrl;                /* mean and standard deviation */
  uint64_t p5, p25, p50, p75, p95; /* smallest number of points within which the first signal comes
                                      with a probability of at least 5 %, 25 %, ... */
} bt_run_length;

/* What a chart costs at a rate of checking, in control. */
typedef struct bt_false_signals {
  double checks_a_month;            /* 0: no rate was given */
  double a_year;                    /* 12 checks_a_month / ARL, begun anew after each signal */
  double within_month, within_year; /* probability of at least one */
} bt_false_signals;

/* What limits estimated from n points make of a chart's run length in control: its 10 %, 50 % and
 * 90 % quantile over baselines, each conditional on its own centre and sigma. */
typedef struct bt_estimated {
  size_t n;
  double arl_10, arl_50, arl_90;
} bt_estimated;

enum { BT_RUN_ROWS = 8 };

/* The run lengths of one chart. */
typedef struct bt_run_table {
  bt_run_chart chart;
  double wanted_arl; /* what h or the limit was solved for; 0: it was given */
  size_t n;
  bt_run_length row[BT_RUN_ROWS]; /* in order of the shift; those at 0 are in control */
  bt_false_signals rate;
  bt_estimated estimated; /* n 0: not asked for */
} bt_run_table;

/* Rules and CUSUM on one series together: run length by seeded simulation through the chart code
 * itself. */
typedef struct bt_joint_chart {
  bt_rules rules; /* bits BT_WE1 .. BT_WE4; may be 0 */
  double limit;   /* Shewhart limit in sigma in place of WE1's 3; 0: 3 */
  bool has_cusum;
  double k, h, headstart; /* as in bt_run_chart */
} bt_joint_chart;

typedef struct bt_joint_run {
  size_t charts, runs;
  double shift;       /* of the first of the charts; the others stay in control */
  double arl, arl_se; /* points to the first signal of any chart, and its standard error */
  uint64_t p5, p25, p50, p75, p95;
} bt_joint_run;

/* The run lengths of such a set. */
typedef struct bt_run_set {
  bt_joint_chart chart;
  size_t n;
  bt_joint_run row[BT_RUN_ROWS]; /* in order of the shift; those at 0 are in control */
  double checks_a_month, a_year; /* a rate, and false signals at it; 0: no rate was given */
} bt_run_set;

/* What a suggestion must keep to. */
typedef struct bt_budget {
  double a_year;         /* false signals */
  size_t charts;         /* that share them */
  double checks_a_month; /* rate of checking */
  double shift;          /* of the mean that is to be found, in sigma */
} bt_budget;

/* A set of rules and limits that keeps a budget of false signals, and how soon it finds a shift. */
typedef struct bt_suggestion {
  bt_run_chart chart;
  double arl_in_control, a_year;
  double arl_shifted;  /* at the shift that was asked for, there from the first point on */
  double arl_later;    /* about the most for a shift that comes when the chart has run for long */
  double days_shifted; /* the same in days, at the rate of checking */
} bt_suggestion;

/* All that are looked at: 15 sets of rules, 4 CUSUMs, 3 EWMAs. */
enum { BT_SUGGESTIONS = 22 };

/* ---- Drift ----------------------------------------------------------------------------------- */

/* Words. The *level* of a fill is its fitted value at the baseline's mean fill age. A *window* is
 * the time since the last event that may have moved the levels. Days of a method are a real number
 * counted from any zero that the caller chose; they never fall. A *change* is a step or a hinge;
 * the *set* of its date holds every date that is likely enough. A *look* is one day's question
 * whether anything changed. */

/* Level of one fill. */
typedef struct bt_level {
  int32_t fill;
  size_t n;         /* its values that took part, 2 or more */
  double day;       /* mean of their days */
  double age_days;  /* mean of their fill ages */
  double value, se; /* level, in the characteristic's unit; se 0 without degrees of freedom */
  bool has_slope;   /* false: all its values are of one age */
  double slope;     /* of this fill alone, per day */
  double slope_se;  /* 0 with 2 values */
} bt_level;

/* What the levels of a window share. */
typedef struct bt_levels {
  size_t n;
  double per_day, at_age_days; /* slope that the values were moved along, and to which fill age */
  double sigma, df;            /* of a value about its fill's line; 0 without degrees of freedom */
} bt_levels;

typedef struct bt_window {
  bt_time from;
  size_t event; /* that began it, an index into the history's events; BT_NONE: the first check */
} bt_window;

/* Theil-Sen slope with Kendall's interval. */
typedef struct bt_trend {
  bool given;        /* false: under two days with values */
  size_t n, pairs;   /* values; pairs of different days */
  double slope;      /* per day */
  int64_t s;         /* rising pairs less falling ones */
  double p;          /* two-sided, of no trend, at a single look */
  bool has_interval; /* false: no interval of 95 % exists, as with 4 values or fewer */
  double low, high;
  double confidence;           /* that the interval has: 0.95 or a little more */
  double from_day, to_day;     /* first and last of them */
  double from_value, to_value; /* of the line on those days */
} bt_trend;

/* Ageing of the gas alone: within-fill slope less the trend of the levels. */
typedef struct bt_gas_slope {
  bool given, has_interval;
  double per_day, low, high; /* 95 % interval */
} bt_gas_slope;

/* A mean that steps. */
typedef struct bt_step {
  bool given;
  double likelihood_ratio; /* n ln(RSS unchanged / RSS) */
  size_t first;            /* first value after it */
  double day;              /* of that value */
  double before, after;    /* means */
} bt_step;

/* A mean that climbs or falls in a straight line from an onset on. */
typedef struct bt_hinge {
  bool given;
  double likelihood_ratio;
  double day;             /* the onset */
  double before, per_day; /* mean up to it, slope from it on */
  double low, high;       /* 95 % interval of per_day, whatever the onset */
} bt_hinge;

typedef enum bt_change_kind { BT_CHANGE_NONE, BT_CHANGE_STEP, BT_CHANGE_HINGE } bt_change_kind;

/* What fits the values of a window best, as found at this look: whether to speak of it is for a
 * look's threshold to say. */
typedef struct bt_change {
  size_t n;
  bt_change_kind kind; /* the better of the two; none: all values alike, or too few */
  bt_step step;
  bt_hinge hinge;
  double likelihood_ratio; /* of the better one */
  double day;              /* its date; where levelled, the onset of the slope that ended */
  double from, to;         /* 95 % band of the date, whatever the shape */
  bool open;               /* the band reaches the first day looked at: it may be earlier */
  bool levelled; /* a slope that ended explains the values clearly better than step and hinge */
  double sigma;  /* of a value about the better one; 0 without degrees of freedom */
  double now, now_low, now_high; /* its mean on the last day, 95 % interval given the date */
} bt_change;

enum { BT_STEPS_MOST = 3 };

/* Steps that a window is made of. */
typedef struct bt_steps {
  size_t n;
  size_t first[BT_STEPS_MOST]; /* first value after each, in time order */
  double likelihood_ratio;     /* of all together */
} bt_steps;

/* What a change's likelihood ratio must pass before it, or anything that follows from it, is spoken
 * of: 5 % a unit and year for all looks together. */
typedef struct bt_look {
  bool given;    /* false: under 10 values */
  size_t n;      /* values of the window */
  size_t charts; /* of the unit that are looked at */
  double looks_a_year;
  double rate;      /* of a first false crossing, a look */
  double threshold; /* of bt_change's likelihood_ratio */
} bt_look;

/* Mean of the last n values, with its 95 % interval. */
typedef struct bt_recent {
  size_t n;
  double mean, low, high;
} bt_recent;

/* What a forecast takes besides the values. */
typedef struct bt_forecast_basis {
  bt_look look;   /* of these values */
  bt_trend trend; /* of the levels of the same window */
  bool has_low, has_high;
  double low, high;      /* tolerance in force, or a ceiling */
  double within_per_day; /* slope that the values were moved along; 0: they weren't */
  double mean_age_days, oldest_age_days; /* fill age they were moved to; oldest usual one */
  double check_sigma;                    /* of a single raw check about the mean of its fill age */
  double checks_a_day;                   /* on average over all days of the week */
} bt_forecast_basis;

typedef enum bt_forecast_use {
  BT_FORECAST_GIVEN,
  BT_FORECAST_NO_DRIFT,     /* the hinge doesn't pass the look's threshold */
  BT_FORECAST_STEP,         /* a step, or a slope that ended, explains the values better */
  BT_FORECAST_SIGNS_DIFFER, /* the levels don't trend to the same side */
  BT_FORECAST_NO_LIMIT,     /* none entered on the side that the mean moves to */
  BT_FORECAST_BEYOND        /* the mean at the oldest usual fill age is beyond the limit already */
} bt_forecast_use;

/* Of a drift that goes on as it did. Days are those of the values; never of what a refill or a
 * cleaning would restore. */
typedef struct bt_forecast {
  bt_forecast_use use;
  bt_side side; /* that the mean moves to, and the limit there */
  double limit;
  bool has_fail_5, has_fail_50; /* false: not within 20 years */
  double fail_5, fail_50; /* a raw check outside tolerance by then has a probability of 5 %, 50 % */
  double mean_at;         /* the mean at the oldest usual fill age meets the limit */
  double mean_from, mean_to; /* 95 % set of mean_at, from the last day on */
  bool has_mean_to;          /* false: no finite date */
  bool step_possible;        /* a step explains the values about as well: then no more is to come */
} bt_forecast;

/* Values of one side of an event. */
typedef struct bt_sample {
  size_t n;
  double mean, s; /* s 0 with under 2 values */
} bt_sample;

/* Before and after an event; of a single look. */
typedef struct bt_comparison {
  bool given; /* false: under 2 values on a side */
  bt_sample before, after;
  bt_sample as_found, as_left; /* the last 8 before, the first 8 after */
  bool has_interval;           /* false: no scatter on either side */
  double difference, se, df;   /* after less before; Welch */
  double low, high, p;
  bool has_ratio;                      /* false: no scatter on a side */
  double ratio, ratio_low, ratio_high; /* of the variances, after over before; F interval */
  double spread_p;                     /* of equal spread: Brown and Forsythe, about the medians */
} bt_comparison;

/* Effect of one covariate beside a straight trend over time; of a single look. */
typedef struct bt_effect {
  bool given; /* false: under 10 degrees of freedom, or no covariate apart from the trend */
  size_t n;
  double df;
  double slope, se, low, high; /* per unit of the covariate */
  double p;
} bt_effect;

enum { BT_DIOPTRE_ROWS = 3 };

typedef struct bt_dioptre_row {
  double correction;        /* 3, 6, 10 dioptres */
  double change, low, high; /* dioptres; band over the range of the threshold */
} bt_dioptre_row;

/* What a change of fluence is worth: an aid to judge its importance, never a figure to treat by. */
typedef struct bt_dioptres {
  bool given; /* false: no spot model, or a fluence not above the threshold's range */
  bt_beam beam;
  double from, to; /* fluences, mJ/cm^2 */
  double threshold, threshold_low, threshold_high;
  bt_dioptre_row row[BT_DIOPTRE_ROWS];
} bt_dioptres;

typedef enum bt_fill_use {
  BT_FILL_GIVEN,
  BT_FILL_NO_SLOPE, /* the within-fill slope doesn't differ from zero */
  BT_FILL_NO_LIMIT, /* none on the side that it leads to */
  BT_FILL_BEYOND    /* a fresh fill is beyond the limit already: 0 days */
} bt_fill_use;

/* Days that a fill lasts before its mean meets tolerance. */
typedef struct bt_fill_days {
  bt_fill_use use;
  double limit;
  double days;
  bool has_high;    /* false: no interval with an end */
  double low, high; /* 95 % interval, Fieller */
} bt_fill_days;

/* A jump inside a fill that a refill nobody recorded would make. */
typedef struct bt_suspected {
  size_t first;    /* first value after it */
  double jump, z;  /* in the values' unit; in its standard errors, against the ageing positive */
  double age_days; /* of the fill by then, as recorded */
  double expected; /* jump of a refill at that age */
} bt_suspected;

/* Days that a change may have affected; the days themselves are the caller's array. */
typedef struct bt_look_back {
  size_t last_good; /* check, or BT_NONE */
  size_t days;      /* with a check after it, until `restored` */
  size_t event;     /* restoring event, or BT_NONE */
  size_t restored;  /* first good check after it, or BT_NONE: to the end */
} bt_look_back;

/* What a characteristic did, as its look says. */
typedef struct bt_moved {
  bool looked_at;
  bool changed; /* past its look's threshold; all below is 0 otherwise */
  bt_change_kind kind;
  bool levelled;   /* by a slope that ended: the kind is a step, whose date lies in its middle */
  int sign;        /* +1 it rose, -1 it fell */
  double from, to; /* band of its date */
} bt_moved;

/* One part of a loss. */
typedef struct bt_part {
  double size, low, high; /* 95 % interval, given the dates */
  double ratio; /* likelihood ratio of having it beside the other, against the other alone */
  bool shown;   /* the other alone does not do */
} bt_part;

/* What of a change stays over refills, and what each fill loses more since then. */
typedef struct bt_parts {
  bool given; /* false: no change, or too little to tell them apart */
  size_t n;
  double df;
  bt_part lasting; /* per day for a hinge, in all for a step */
  bt_part fills;   /* per day of fill age */
} bt_parts;

/* What the likely causes are judged by. Days of all on one zero; zeroed is what isn't known. */
typedef struct bt_evidence {
  bt_moved energy, demand, voltage, spread, tracker;
  bt_moved fluence;   /* not derived from the same energy */
  bt_moved plate;     /* depth or fluence read off test material */
  bool ceiling_ahead; /* the voltage's forecast names a day, or it is beyond its ceiling */

  bt_moved own; /* the characteristic that what follows is of */
  int loss;     /* sign of a loss in it: -1 an energy or fluence, +1 a voltage or demand; 0: none */
  bt_parts parts;                        /* of its change; where not given, what follows */
  bt_slope baseline_slope, window_slope; /* inside the fills */
  bt_trend levels;
  bt_comparison cleaning, bottle; /* about the last such event */
  bt_comparison meter;            /* of the energy, about the last meter change */

  bool has_meter_event, has_move;
  double meter_day, move_day; /* last meter change, last move of the laser */
  bool meter_shared;          /* units that share a meter stepped together */
} bt_evidence;

/* Facts that causes rest on. */
enum {
  BT_FACT_ENERGY_FALLS = 1 << 0,
  BT_FACT_ENERGY_STEPS = 1 << 1,
  BT_FACT_ENERGY_UNCHANGED = 1 << 2,
  BT_FACT_VOLTAGE_CLIMBS = 1 << 3,
  BT_FACT_VOLTAGE_UNCHANGED = 1 << 4,
  BT_FACT_CEILING_AHEAD = 1 << 5,
  BT_FACT_DEMAND_CLIMBS = 1 << 6,
  BT_FACT_DEMAND_UNCHANGED = 1 << 7,
  BT_FACT_FLUENCE_FALLS = 1 << 8,
  BT_FACT_FLUENCE_UNCHANGED = 1 << 9,
  BT_FACT_PLATE_FALLS = 1 << 10,
  BT_FACT_PLATE_UNCHANGED = 1 << 11,
  BT_FACT_SPREAD_GROWS = 1 << 12,
  BT_FACT_SPREAD_FIRST = 1 << 13, /* before the energy moved, or while it doesn't */
  BT_FACT_TRACKER_STEPS = 1 << 14,
  BT_FACT_MOVED_THEN = 1 << 15,   /* the laser was moved at the tracker's change */
  BT_FACT_LOSS_STEEPER = 1 << 16, /* inside the fills, than in the baseline */
  BT_FACT_LOSS_UNCHANGED = 1 << 17,
  BT_FACT_LEVELS_FALL = 1 << 18, /* from fill to fill; of a voltage or demand: climb */
  BT_FACT_LEVELS_HOLD = 1 << 19,
  BT_FACT_CLEANING_RESTORED = 1 << 20, /* some of the loss */
  BT_FACT_BOTTLE_RESTORED = 1 << 21,
  BT_FACT_METER_DIFFERS = 1 << 22, /* the energy differs after a meter change */
  BT_FACT_METER_THEN = 1 << 23,    /* the meter was changed at the energy's change */
  BT_FACT_METER_SHARED = 1 << 24,
  BT_FACT_METER_ALIKE = 1 << 25 /* no difference before and after the meter change at its change */
};

typedef enum bt_cause_kind {
  BT_CAUSE_GAS_AGEING,
  BT_CAUSE_NOT_RESTORED_BY_REFILL, /* optics, cavity, gas supply or meter */
  BT_CAUSE_VOLTAGE_CEILING,
  BT_CAUSE_DEMAND_CREEP,
  BT_CAUSE_DELIVERY_OPTICS,
  BT_CAUSE_PLUME_OR_PLATE,
  BT_CAUSE_METER,
  BT_CAUSE_ALIGNMENT,
  BT_CAUSE_SPREAD, /* discharge */
  BT_CAUSE_COUNT
} bt_cause_kind;

typedef enum bt_cause_strength {
  BT_CAUSE_WEAK,
  BT_CAUSE_MODERATE,
  BT_CAUSE_STRONG
} bt_cause_strength;

/* What the data support: not a diagnosis. */
typedef struct bt_cause {
  bt_cause_kind kind;
  bt_cause_strength strength;
  uint32_t evidence, against; /* bits BT_FACT_...: for it, and speaking against it */
} bt_cause;

/* ---- One baseline and all that is judged by it ----------------------------------------------- */

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

/* ---- Tolerance: every check on its raw reading ----------------------------------------------- */

typedef struct bt_tolerance_finding {
  const bt_tolerance *now; /* in force at `until`; NULL: none entered. Borrowed from the
                              settings, which outlive the study */
  size_t judged, outside;  /* checks */
  size_t last_outside;     /* index into the checks, or BT_NONE */
  bool last_is_outside;    /* the last valid check is outside */
  int to_limit;            /* -1 low, +1 high: the limit that the last check is nearer to; 0 none */
  double margin;           /* distance of the last check from that limit, inside positive */
} bt_tolerance_finding;

/* ---- Verdicts -------------------------------------------------------------------------------- */

/* Worst first. Never "steady", "safe" or "OK". */
typedef enum bt_verdict {
  BT_VERDICT_OUT_OF_TOLERANCE, /* the last valid check */
  BT_VERDICT_SELFTEST_FAILED,  /* the last self-test */
  BT_VERDICT_NO_CURRENT_CHECK, /* none within the expected interval */
  BT_VERDICT_NO_TOLERANCE,     /* none entered */
  BT_VERDICT_ALARM,
  BT_VERDICT_NOTICE,
  BT_VERDICT_NO_BASELINE,
  BT_VERDICT_NO_SIGNAL /* "no signal in the log to <date>" */
} bt_verdict;

/* "OUT OF TOLERANCE", "SELF-TEST FAILED", ... ; for the last "NO SIGNAL IN THE LOG". */
const char *bt_verdict_words(bt_verdict verdict);

/* ---- The study of one characteristic --------------------------------------------------------- */

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
  size_t dispositions_n;
  bt_disposition *dispositions; /* of this characteristic, in order of their entry */
  bool *disposition_used;       /* overlaps an episode: others stand alone, later entries having
                                   left them without one */
  bt_tolerance_finding tolerance;
  bt_capability capability;
  bt_from_first from_first;
  double *within_s_ucl; /* upper limit of a point's within-day s; 0 where it has none */
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

/* The open episode with the worst strength, newest first among equals; or NULL. Borrowed. */
const bt_episode *bt_study_open_episode(const bt_study *study);

/* The worst strength among the last 8 judged points: an alarm that is long past does not make what
 * is open now an alarm, though one episode may hold both. */
bt_strength bt_study_open_strength(const bt_study *study);
/* The same of the signals of one side alone. */
bt_strength bt_study_open_strength_on(const bt_study *study, bt_side side);

/* ---- The drift of one unit ------------------------------------------------------------------- */

/* Whether a characteristic is looked at for drift. */
typedef enum bt_drift_use {
  BT_DRIFT_LOOKED_AT,
  BT_DRIFT_NO_BASELINE,  /* under 8 points */
  BT_DRIFT_COARSE,       /* readings too coarse for a chart */
  BT_DRIFT_OTHER_TARGET, /* the newest voltages held another target energy than the baseline's */
  BT_DRIFT_FEW           /* under 10 values in the window: no look at it */
} bt_drift_use;

/* What is looked at: points of the window, without misreadings that a retest did not confirm, moved
 * as the newest baseline moves them. Days count from 1970-01-01. In time order. */
typedef struct bt_drift_values {
  size_t n;
  double *day, *raw, *value, *age_days;
  int32_t *fill, *stretch;
  uint8_t *known; /* the fill age is */
  size_t *point;  /* of the study */
  size_t *row;    /* of the history: the point's first check */
  bool cut;       /* older ones of the window are left out, there being too many */
} bt_drift_values;

/* Before and after one event of the history. */
typedef struct bt_event_effect {
  size_t event; /* index of the history's */
  bool differs; /* p < 0.01 of this single look */
  bool moved;   /* and the window of what is looked at began anew with it */
  bt_comparison about;
} bt_event_effect;

typedef enum bt_covariate {
  BT_COVARIATE_TEMPERATURE, /* per degree */
  BT_COVARIATE_HUMIDITY,    /* per % */
  BT_COVARIATE_TIME_OF_DAY, /* per hour */
  BT_COVARIATE_OPERATOR     /* of that code against all others; only where asked for */
} bt_covariate;

typedef struct bt_covariate_effect {
  bt_covariate of;
  char *code; /* the operator's, owned; else NULL */
  bt_effect effect;
} bt_covariate_effect;

/* How a forecast that was made at the end of a month compares with what came. */
typedef enum bt_past_result {
  BT_PAST_NONE,     /* no forecast was given, or none with both days */
  BT_PAST_OPEN,     /* its 50 % day is ahead of the record's end, and no check failed so far */
  BT_PAST_INSIDE,   /* the first failing check came from its 5 % day to its 50 % day */
  BT_PAST_SOONER,   /* it came before its 5 % day: of true forecasts 1 in 20 */
  BT_PAST_LATER,    /* it came after its 50 % day, or did not yet: of true forecasts half */
  BT_PAST_OVERTAKEN /* an event moved the values before it could be told */
} bt_past_result;

/* What a forecast that was made at the end of a month says, and what came. */
typedef struct bt_past_forecast {
  bt_time until; /* first moment after the month */
  bt_forecast forecast;
  double mean_at_now; /* by the newest forecast; 0 where there is none */
  /* a check outside tolerance, on the forecast's side where there is one, came since; its day */
  bool failed;
  double failed_on;
  bool overtaken;        /* an event after the month moved the values */
  double overtaken_on;   /* day of the first one */
  bt_past_result result; /* of all above */
  bool has_moved;        /* not overtaken, and the newest forecast is of the same side */
  double moved_days;     /* its 50 % day less this one's */
} bt_past_forecast;

/* The past forecasts of one characteristic, counted by how they compare with what came. */
typedef struct bt_past_score {
  size_t given;                             /* all but BT_PAST_NONE */
  size_t inside, sooner, later;             /* the days of these lie inside the record */
  size_t open, overtaken;                   /* counted apart */
  size_t moved;                             /* whose 50 % day can be held against today's */
  double moved_least_days, moved_most_days; /* smallest and greatest moved_days, signed; else 0 */
} bt_past_score;

/* A change that an event brought back, wholly or in part, or that it did not: the days looked at
 * begin anew at the event all the same. */
typedef struct bt_drift_before {
  bool changed;     /* past its look's threshold, and the event moved the values back */
  bool went_on;     /* past it, and the event did not move them back */
  bt_window window; /* that it was looked for in: from there up to the event */
  bt_look look;
  bt_change change;
  bt_moved moved;
} bt_drift_before;

/* The drift of one characteristic. Where use isn't BT_DRIFT_LOOKED_AT all findings are zero, and
 * neither a forecast nor the days of a fill are given. */
typedef struct bt_drift {
  bt_characteristic characteristic;
  const bt_study *study; /* borrowed from the unit's */
  bt_drift_use use;
  int loss; /* sign of a loss: -1 energy, fluence; +1 voltage; 0 none is known */
  bt_drift_values values;
  size_t misread;   /* points left out: outside tolerance, and not in the retest */
  size_t far_n;     /* points of the window left out: alone, far from those before and after */
  size_t *far;      /* which points of the study */
  bt_window window; /* since the last event that moved the values */
  double centre, sigma, centre_age_days; /* of the newest baseline */

  bt_change change;
  bt_look look;
  bt_moved moved;
  bt_drift_before before; /* the window's event */
  bt_steps steps;
  double now, now_low, now_high; /* level, at the baseline's mean fill age; 95 % interval. Where
                                    nothing changed that of the last 8 values */
  double from_first;             /* level less the first baseline's centre */
  double last_day;               /* that the level now is of */
  double oldest_now;             /* the level moved to the oldest usual fill age */

  double since; /* day from which slopes and levels are taken: of the change where there is one with
                   enough after it, else of the window */
  size_t fills_before, fills_since; /* of known fill age: before the change or in the baseline,
                                       whichever are more; since the change. Where nothing changed
                                       in the baseline, and in the window */
  bool fills_tell;         /* 3 or more of each. False: nothing is said of fills, and all of the
                              slopes and parts below are zero */
  bt_slope baseline_slope; /* df 0 where it is not known any more */
  bt_slope slope;          /* inside the fills since then, per day */
  bt_slope pulses_slope;   /* per 1,000 pulses; n 0 without a counter */
  bt_gas_slope gas;
  bt_parts parts;
  bt_levels levels; /* of all fills of the window */
  bt_level *level;
  bt_trend trend;      /* of those since then */
  bool trend_of_fills; /* of levels; false: of values, the fills being too few */

  bt_forecast forecast;
  const bt_tolerance *tolerance; /* that it is held against; borrowed, NULL: none */
  bt_fill_days fill_days;
  size_t suspected_n;
  bt_suspected *suspected; /* `first` is an index of the values */

  size_t events_n;
  bt_event_effect *events; /* of the whole log, refills left out; in time order */
  size_t covariates_n;
  bt_covariate_effect *covariates;

  size_t causes_n;
  bt_cause causes[BT_CAUSE_COUNT];
  bt_look_back look_back; /* of the study's checks, for the change, else that before; days 0:
                             nothing changed */
  bt_time *look_back_day;
  bt_dioptres dioptres; /* of a fluence, from the baseline's centre to the level now */
  bool has_notice, has_alarm;
  bt_time notice_at, alarm_at; /* first of the open episode of the side that it moved to */
  size_t past_n;
  bt_past_forecast *past; /* by month, oldest first; where asked for */
  bt_past_score past_score;
} bt_drift;

/* A unit that has the same meter and whose energy stepped at the same time. */
typedef struct bt_meter_unit {
  char *unit, *meter; /* owned */
  double from, to;    /* set of the dates of its step */
} bt_meter_unit;

typedef struct bt_unit_drift {
  size_t n;
  bt_drift *drift; /* of each characteristic asked for, in the order of the studies */
  size_t charts;   /* that are looked at */
  double looks_a_year;
  bt_evidence evidence; /* of the unit; `own` and what follows it stand with each drift */
  bt_change plate; /* of the depth a pulse in the test plate, µm, where evidence.plate is of that;
                      kind none where it was not looked at */
  size_t meters_n;
  bt_meter_unit *meters;
  bt_time read_on; /* the day of the reading, where later than the study's `until`: forecast days
                      before it have passed */
} bt_unit_drift;

void bt_unit_drift_free(bt_unit_drift *drift);

/* Facts as words, "; " between them: "levels fall from fill to fill; loss inside the fills
 * unchanged". A failure stays with the text. */
void bt_facts_words(uint32_t facts, bt_text *out);

/* The drift of that characteristic, or NULL. Borrowed. */
const bt_drift *bt_unit_drift_of(const bt_unit_drift *drift, bt_characteristic characteristic);

/* ---- The study of one unit ------------------------------------------------------------------- */

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
} bt_selftest;

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

/* ---- A case for the manufacturer's engineer -------------------------------------------------- */

/* A log file, or a check typed in, that rows of a case come from. */
typedef struct bt_case_source {
  int64_t number; /* the ledger's */
  char *name;     /* owned; NULL for what was typed in */
} bt_case_source;

enum { BT_DIGEST_TEXT = 33 }; /* 32 hex digits of a check's digest */

/* Formats of an evidence folder; the older ones are still written, to hold such folders against the
 * ledger. 1: tolerances without a day from 1970-01-01, delimiters as numbers, README.txt silent on
 * what is adjusted. 2: README.txt without the columns of signals.csv, and without what the log
 * lacks and what can't be found again; readings.csv and its like without energy_pct. The PDF is
 * that of the last format alone. */
enum { BT_CASE_FORMAT = 3 };

/* A span of a unit's record as an evidence folder tells it. Names and texts that are not to be told
 * were taken out of the study before. */
typedef struct bt_case {
  const bt_unit_study *unit; /* of the log up to `to`; borrowed */
  bt_time from, to;          /* the span, [from, to) */
  bt_time begins; /* rows are given from here on: no later than the first day of each baseline that
                     judges the span, so that limits follow from the rows alone */
  const bt_event *event;            /* that it is about; NULL: all of the span. Borrowed */
  bool with_look_back;              /* the days that a change may have affected are listed */
  bool with_remarks, with_operator; /* free texts, names of people */
  bool letter;                      /* the PDF's paper; false: A4 */
  int format;                       /* that it is written in, 1 to BT_CASE_FORMAT */
  const char *made_by;              /* program and version; borrowed */
  size_t logs;                      /* log files that go along */
  const char *const *log_names;     /* of their copies, in order of strcmp; borrowed */
  char (*digest)[BT_DIGEST_TEXT];   /* of each check of the history */
  /* Of each check of the history, for the slope inside the fills: its group, its fill age (counted
     from the fill's first check where its refill is not known), and whether that is known. */
  int32_t *stretch;
  double *age_days;
  uint8_t *age_known;
  size_t sources_n;
  bt_case_source *sources; /* in order of their number */
  size_t missing_n;
  bt_time *missing; /* days of the schedule in the span without a check, from the log's first check
                       to its last check or event */
} bt_case;

void bt_case_free(bt_case *one);

/* Name of the log file with that number; NULL: none of the case's. Borrowed. */
const char *bt_case_file(const bt_case *one, int64_t source);

/* Appends what no check of the case's rows holds, each with its column, with commas between; false,
 * and nothing, where there is none. */
bool bt_case_not_held(const bt_case *one, bt_text *out);

/* What the log holds of the gas; whether the fluence depends on the energy meter, NULL without
 * fluence. A sentence each. */
const char *bt_case_gas_words(const bt_case *one);
const char *bt_case_meter_words(const bt_case *one);

#endif
