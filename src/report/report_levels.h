/* The chart of the levels from fill to fill, which two files draw. */
#ifndef BEAMTALLY_REPORT_LEVELS_H
#define BEAMTALLY_REPORT_LEVELS_H

#include "report_chart.h"
#include "report_drift.h"

typedef struct levels_chart {
  report_builder *builder;
  const bt_drift *drift;
  bt_pane *pane;
  bool of_fills; /* else single points stand for the levels */
  size_t n;
} levels_chart;

/* The wedge of the days on which the mean may meet the limit. */
void report_levels_wedge(levels_chart *on);
/* The days of a first failing check, above the pane, and where the forecast begins; nothing where
 * none is given. */
void report_levels_days(levels_chart *on);

#endif
