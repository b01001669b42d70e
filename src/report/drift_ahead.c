/* What is ahead, in the chart of the levels: the wedge in which the mean may meet the limit, and
 * the days of a first failing check. */
#include "report_levels.h"

#include <math.h>

/* The end of a straight line, or where it leaves the pane at the right. */
static void put_toward(bt_polyline *line, const bt_pane *pane, double x, double y, double to_x,
                       double to_y) {
  double part = to_x > pane->x_high ? (pane->x_high - x) / (to_x - x) : 1;
  report_polyline_add(line, x + part * (to_x - x), y + part * (to_y - y));
}

/* The wedge of the days on which the mean may meet the limit. */
void report_levels_wedge(levels_chart *on) {
  const bt_drift *drift = on->drift;
  const bt_forecast *ahead = &drift->forecast;
  bt_pane *pane = on->pane;
  double from = drift->last_day, now = drift->oldest_now;
  bt_ink soft = ahead->side == BT_LOW ? BT_INK_FALL_SOFT : BT_INK_RISE_SOFT;
  bt_polyline *wedge = report_polyline(on->builder, pane, 4, soft, 0.1);
  if (wedge != NULL) {
    wedge->filled = true;
    wedge->fill_ink = soft;
    wedge->base = ahead->limit;
  }
  put_toward(wedge, pane, from, now, ahead->mean_from, ahead->limit);
  report_polyline_add(wedge, from, now);
  if (ahead->has_mean_to)
    put_toward(wedge, pane, from, now, ahead->mean_to, ahead->limit);
  else
    report_polyline_add(wedge, pane->x_high, now);
  bt_polyline *line = report_polyline(on->builder, pane, 2, BT_INK_TEXT, 0.25);
  report_polyline_add(line, from, now);
  put_toward(line, pane, from, now, ahead->mean_at, ahead->limit);
}

/* A label above the pane beside its line: right of it, or left. */
static void flag(levels_chart *on, double day, const char *words, bool turn) {
  const bt_pane *pane = on->pane;
  double x = bt_pane_x(pane, day);
  if (day < pane->x_low || day > pane->x_high)
    return;
  (void)report_text(on->builder, turn ? x - 0.8 : x + 0.8, pane->y - 4.3, BT_STYLE_TICK,
                    BT_INK_TEXT, turn ? BT_ALIGN_RIGHT : BT_ALIGN_LEFT, words);
  report_line(on->builder, x, pane->y - 3.6, x, pane->y, 0.2, BT_INK_EVENT);
}

static double flag_width(const levels_chart *on, const char *words) {
  static const double clear = 0.8;
  return 2 * clear + report_measure(on->builder, BT_STYLE_TICK, words, 0).width;
}

/* Why the forecast does not begin where the fitted line ends: it is of another fill age. Left of
 * the labels of the days to come. */
static void draw_start(levels_chart *on, double labels_left) {
  const bt_pane *pane = on->pane;
  const char *age = report_end_of_fill(on->drift);
  bt_text words = {0};
  if (*age == '\0')
    return;
  report_vertical(on->builder, on->pane, on->drift->last_day, 0.2, BT_INK_EVENT, BT_DASH_DOTTED);
  bt_text_format(&words, "forecast from here,%s", age);
  double x = fmin(bt_pane_x(pane, on->drift->last_day), labels_left);
  if (x - flag_width(on, bt_text_get(&words)) > pane->x)
    (void)report_text(on->builder, x - 0.8, pane->y - 4.3, BT_STYLE_TICK, BT_INK_TEXT,
                      BT_ALIGN_RIGHT, bt_text_get(&words));
  report_text_end(on->builder, &words);
}

/* Where the two days lie close, their labels stand on the outer sides of the two lines. */
void report_levels_days(levels_chart *on) {
  static const char five[] = "1 in 20", fifty[] = "1 in 2";
  const bt_forecast *ahead = &on->drift->forecast;
  const char *alone =
      on->drift->failed_n > 0 ? "1 in 20: next failing check" : "1 in 20: first failing check";
  if (!report_drift_is_ahead(on->drift))
    return;
  const bt_pane *pane = on->pane;
  const char *first = ahead->has_fail_50 ? five : alone;
  double end = pane->x + pane->width;
  bool turn_first = bt_pane_x(pane, ahead->fail_5) + flag_width(on, first) > end;
  bool turn_second = bt_pane_x(pane, ahead->fail_50) + flag_width(on, fifty) > end;
  if (ahead->has_fail_5 && ahead->has_fail_50) {
    double between = bt_pane_x(pane, ahead->fail_50) - bt_pane_x(pane, ahead->fail_5);
    double taken = flag_width(on, five) + (turn_second ? flag_width(on, fifty) : 0);
    if (between < taken) {
      turn_first = true;
      turn_second = turn_second && between >= flag_width(on, fifty);
    }
  }
  double five_at = bt_pane_x(pane, ahead->fail_5);
  draw_start(on, !ahead->has_fail_5 ? end : turn_first ? five_at - flag_width(on, first) : five_at);
  if (ahead->has_fail_5) {
    report_vertical(on->builder, on->pane, ahead->fail_5, 0.2, BT_INK_EVENT, BT_DASH_DASHED);
    flag(on, ahead->fail_5, first, turn_first);
  }
  if (ahead->has_fail_50) {
    report_vertical(on->builder, on->pane, ahead->fail_50, 0.2, BT_INK_EVENT, BT_DASH_DASHED);
    flag(on, ahead->fail_50, fifty, turn_second);
  }
}
