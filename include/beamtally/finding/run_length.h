/* Run lengths: what a chart costs in false signals, and how soon it finds a shift. */
#ifndef BEAMTALLY_FINDING_RUN_LENGTH_H
#define BEAMTALLY_FINDING_RUN_LENGTH_H

#include "beamtally/base.h"
#include "beamtally/finding/rule.h"

typedef enum bt_run_method { BT_RUN_OF_RULES, BT_RUN_OF_CUSUM, BT_RUN_OF_EWMA } bt_run_method;

/* A chart whose run length is asked for; centre and sigma are taken as known. */
typedef struct bt_run_chart {
  bt_run_method method;
  bt_rules rules;         /* rules: bits of ZONE rules, at least one */
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
  bt_rules rules; /* bits of ZONE rules; may be 0 */
  double limit;   /* Shewhart limit in sigma in place of WE1's 3; 0: 3 */
  bool has_cusum;
  double k, h, headstart; /* as in bt_run_chart */
} bt_joint_chart;

typedef struct bt_joint_run {
  size_t charts, runs;
  double shift;       /* of the first of the charts; the others stay in control */
  double arl, arl_se; /* points to the first signal of any chart, and its standard error */
  double arl_margin;  /* half of the arl's 95 % interval: 1.96 standard errors */
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
  double together_a_year; /* of all charts that share the budget */
  double arl_shifted;     /* at the shift that was asked for, there from the first point on */
  double arl_later;    /* about the most for a shift that comes when the chart has run for long */
  double days_shifted; /* the same in days, at the rate of checking */
} bt_suggestion;

/* All that are looked at: each set of zone rules, 4 CUSUMs, 3 EWMAs. */
enum { BT_SUGGESTIONS = BT_ZONE_RULES + 7 };

#endif
