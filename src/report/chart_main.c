/* The main chart: its axis, limits and points. */
#include "report_room.h"

bt_pane *report_main_compose(report_chart *chart, double top, double height) {
  double low = 0, high = 1;
  report_main_reach(chart, height, &low, &high);
  bt_pane *pane = report_time_pane(chart, top, height, low, high);
  pane->framed = true;
  report_value_axis(chart, pane, 5);
  report_limits_compose(chart, pane);
  report_points_compose(chart, pane);
  const char *unit = bt_characteristic_unit(chart->of->characteristic);
  if (*unit != '\0')
    report_turned(chart->builder, chart->page_left + 3.6, top, top + height, BT_STYLE_TICK,
                  BT_INK_SOFT, unit);
  return pane;
}
