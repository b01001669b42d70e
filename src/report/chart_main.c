/* The main chart: its axis, limits and points. */
#include "report_chart.h"

bt_pane *report_main_compose(report_chart *chart, double top, double height) {
  double low = 0, high = 1;
  report_main_reach(chart, height, &low, &high);
  bt_pane *pane = report_time_pane(chart, top, height, low, high);
  pane->framed = true;
  report_value_axis(chart->builder, pane, 5);
  report_limits_compose(chart, pane);
  report_points_compose(chart, pane);
  bt_text unit = {0};
  (void)report_cut(chart->builder, BT_STYLE_TICK, chart->of->quantity.unit, height, &unit);
  if (!bt_text_empty(&unit))
    report_turned(chart->builder, chart->page_left + 3.6, top, top + height, BT_STYLE_TICK,
                  BT_INK_SOFT, bt_text_get(&unit));
  report_text_end(chart->builder, &unit);
  return pane;
}
