/* One chart of the demo, beside what was built into it: the engine can be run on its own points and
 * on simulated ones that have the truth of the demo's tables and the chart's actual limits. */
#ifndef CLI_TEST_DEMO_CHART_H
#define CLI_TEST_DEMO_CHART_H

#include "beamtally/spc.h"
#include "program.h"

#include <gsl/gsl_rng.h>

/* The rules' marks and the CUSUM of one pass over a chart; room is kept from pass to pass. */
typedef struct chart_pass {
  double *z;
  bt_rules *rules[BT_SIDES];
  bt_cusum cusum;
} chart_pass;

typedef struct demo_chart {
  json_t *analysis; /* analyse --format json */
  int suite;        /* index of the demo's tables */
  const char *key;
  bool radial;
  size_t n, phase2; /* points; the first of Phase II */
  bt_time *at;
  uint8_t *judged;            /* 1 in Phase II where judged by rules */
  uint8_t *outside;           /* 1 where a built-in change acts, or its settling; see chart_begin */
  double *raw;                /* as measured */
  double *truth;              /* mean of the reading at that point, built-in changes too */
  double *charted;            /* that mean moved to the mean fill age as the chart does it */
  double *second;             /* for the radius: the mean of y */
  double sigma, sigma_second; /* of one reading, true */
  double step;                /* last digit of the log */
  double centre, chart_sigma, ucl;
  chart_pass pass;
} demo_chart;

/* Reads a chart of the demo's ledger in that folder. Settling time after a built-in change: until
 * the CUSUM was restarted by the event that cured it (it may need a hundred points to come down
 * by itself), and 8 judged points more, the longest pattern of the zone rules. */
demo_chart *chart_begin(const char *folder, const char *unit, const char *key);
void chart_end(demo_chart *chart);

/* The engine on the chart's own z, and on simulated readings. Results stand in chart->pass. */
void chart_judge_own(demo_chart *chart);
void chart_judge_simulated(demo_chart *chart, gsl_rng *random);

/* Episodes of the pass that lie outside the built-in changes. */
size_t chart_episodes(const demo_chart *chart);

/* First point on or after that day; n where there is none. */
size_t chart_point(const demo_chart *chart, const char *day);

/* An entry of "points". */
const json_t *chart_json_point(const demo_chart *chart, size_t i);

/* True when that point's "rules" name the rule; NULL: any rule. */
bool chart_says(const demo_chart *chart, size_t i, const char *rule);

#endif
