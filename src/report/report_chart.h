/* The chart of one characteristic: panes one under the other on one calendar axis. Lengths are
 * millimetres, times on the axis days since 1970. */
#ifndef BEAMTALLY_REPORT_CHART_H
#define BEAMTALLY_REPORT_CHART_H

#include "report_build.h"
#include "report_episodes.h"
#include "report_study.h"

/* A label beside a pane, moved apart from its neighbours. */
typedef struct report_label {
  double y, height; /* middle wanted, then given */
  bt_ink ink;
  char text[REPORT_NUMBER_TEXT + 32];
} report_label;

enum { REPORT_LABELS = 10 };

/* A reading farther than so many sigma from the centre may stand at the edge of an axis. */
enum { REPORT_FAR_SIGMA = 12 };

/* What lies beyond one side of the main chart's axis. */
typedef struct report_edge {
  size_t points, checks, marks; /* marks: of those that no signal's mark shows */
  double furthest;
  bt_time at;
} report_edge;

typedef struct report_chart {
  report_builder *builder;
  const bt_unit_study *unit;
  const bt_study *of;
  bt_time from, to;
  size_t first, last;             /* points shown */
  size_t first_check, last_check; /* checks shown */
  double page_left;               /* words begin here */
  double left, width;             /* of every pane */
  double right_edge;              /* words end here */
  double x_low, x_high;
  /* What the legend has to explain. */
  bool beyond_limit, beyond_alarm, alarm_limits, ewma, within, lane_alarms, within_beyond;
  bool outside_tolerance, retests, aged, other_target, crosses, raw, repeats, crowd, baseline,
      restarts;
  bool moved_too_far; /* a ring of `aged` is moved by an age that no slope is known for */
  bool lane_marks, lane_gaps, lane_aside; /* hatched for want of checks, of a rule that judges */
  double lane_longest;                    /* days without a check that are no gap yet */
  bool fills, fills_too_many;
  bool capped;         /* a lower pane ends below what a far reading or a long run would need */
  bool corrected;      /* some day shown has a correction of its readings */
  bool cusum_later;    /* too few points shown are behind the baseline for a line of the CUSUM */
  report_edge edge[2]; /* by side */
} report_chart;

/* Which points and checks are shown. */
void report_chart_prepare(report_chart *chart);
/* The whole chart between top and bottom. */
void report_chart_compose(report_chart *chart, double top, double bottom);
void report_legend(const report_chart *chart, bt_text *out);

/* ---- Axes ------------------------------------------------------------------------------------ */

double report_days(bt_time time);
bt_pane *report_time_pane(report_chart *chart, double y, double height, double y_low,
                          double y_high);
void report_time_axis(report_chart *chart, bt_pane *pane, double labels_top);
/* Round ticks of an axis with labels at the left; about `wanted` of them. */
void report_value_axis(report_builder *builder, bt_pane *pane, int wanted);
/* Smallest of 1, 2, 5 times a power of ten that is at least `step`, and the decimals it needs. */
double report_round_step(double step, int *decimals);
/* How tall a label at the right is: it wraps where it is too long for its place. */
double report_label_height(const report_chart *chart, const char *words);
void report_labels_place(report_chart *chart, report_label *labels, size_t n, double top,
                         double bottom);
/* The shorter name where the pane is too low for the longer one. */
void report_pane_name(report_chart *chart, double top, double height, const char *words,
                      const char *brief);
/* The segment's place on the axis, in days; false when none of it is shown. */
bool report_segment_shown(const report_chart *chart, size_t segment, double *from, double *to);

/* ---- The main chart -------------------------------------------------------------------------- */

bt_pane *report_main_compose(report_chart *chart, double top, double height);
void report_main_reach(const report_chart *chart, double height, double *low, double *high);
void report_limits_compose(report_chart *chart, bt_pane *pane);
void report_points_compose(report_chart *chart, bt_pane *pane);
/* The value, or the edge of the pane where it lies beyond; a reading keeps clear of the edge, so
 * that a mark beside it stays inside. */
double report_at_edge(const bt_pane *pane, double value);
double report_shown_at(const bt_pane *pane, double value);
/* Whether check i is one of several that its day's point is the mean of. */
bool report_is_repeat(const report_chart *chart, size_t i);
/* More days stand on a millimetre than can be told apart: their values are drawn as one line from
 * the lowest to the highest, broken at gaps. It has room for two places a value. */
bool report_is_crowded(const report_chart *chart);
void report_crowd_put(const report_chart *chart, bt_polyline *crowd, double x, double y);
/* Marks at the edge of the axis for what lies beyond, and what the legend says of it. */
void report_edge_compose(report_chart *chart, bt_pane *pane);
void report_edge_legend(const report_chart *chart, bt_text *out);

/* ---- Above and below it ---------------------------------------------------------------------- */

double report_events_height(report_chart *chart);
void report_events_compose(report_chart *chart, double pane_top);
size_t report_lane_rows(const report_chart *chart);
bt_pane *report_lane_compose(report_chart *chart, double top, double row_height);
/* Days that may lie between two points without a gap; whether more do before that point (or it is
 * the log's first). */
double report_longest_step(report_chart *chart);
bool report_is_gap(const report_chart *chart, size_t point, double longest);
/* Hatches what that rule did not judge; a point stands for `half` a day to both sides. */
void report_hatch_row(report_chart *chart, bt_pane *pane, size_t row, double row_height,
                      const report_rule *rule, double longest, double half);
/* Whether a few of the points shown are so far off that lower panes end before them. */
bool report_any_far(const report_chart *chart);
/* One mark at the edge for what lies beyond it, and the furthest of that as a label; how many
 * labels that makes. `sign` -1: below, where values are shown downwards. */
size_t report_mark_beyond(report_chart *chart, bt_pane *pane, const double *value, double sign,
                          const uint8_t *shown, report_label *label);
void report_range_compose(report_chart *chart, double top, double height);
bool report_has_within(const report_chart *chart); /* some day shown has a within-day limit */
void report_within_compose(report_chart *chart, double top, double height);
bt_pane *report_cusum_compose(report_chart *chart, double top, double height);
bool report_has_plot(const report_chart *chart); /* T², with both axes to plot */
void report_plot_compose(report_chart *chart, double top, double bottom);

#endif
