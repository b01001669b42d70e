/* The gas fills laid over one another: reading against fill age, a thin line a fill, the newest
 * marked. Without a fill of known age there is none, and the levels take its room. */
#include "report_drift.h"

#include <math.h>

enum { MOST_FILLS = 60 };

static const double thin = 0.12, thick = 0.45, under = 12.8, above = 5;

static bool has_age(const bt_drift_values *values, size_t i) {
  return values->known[i] != 0;
}

/* First value of the last MOST_FILLS fills. */
static size_t first_shown(const bt_drift_values *values) {
  size_t fills = 0, i = values->n;
  for (; i > 0; i--) {
    bool other = i == values->n || values->fill[i - 1] != values->fill[i];
    if (other && ++fills > MOST_FILLS)
      break;
  }
  return i;
}

static bool reach(const bt_drift *drift, size_t first, bt_pane *pane) {
  const bt_drift_values *values = &drift->values;
  double low = INFINITY, high = -INFINITY, oldest = 0;
  for (size_t i = first; i < values->n; i++)
    if (has_age(values, i)) {
      low = fmin(low, values->raw[i]);
      high = fmax(high, values->raw[i]);
      oldest = fmax(oldest, values->age_days[i]);
    }
  if (!(high >= low))
    return false;
  double room = high > low ? 0.08 * (high - low) : fmax(fabs(high) * 0.01, 1e-6);
  pane->x_low = 0;
  pane->x_high = oldest > 0 ? oldest * 1.06 : 1;
  pane->y_low = low - room;
  pane->y_high = high + room;
  return true;
}

static void one_fill(report_builder *builder, bt_pane *pane, const bt_drift_values *values,
                     size_t from, size_t to, bool newest) {
  bt_polyline *line = report_polyline(builder, pane, to - from, newest ? BT_INK_SERIES : BT_INK_RAW,
                                      newest ? thick : thin);
  for (size_t i = from; i < to; i++)
    report_polyline_add(line, values->age_days[i], values->raw[i]);
  bt_marks *marks =
      newest ? report_marks(builder, pane, to - from, BT_SHAPE_DOT, BT_INK_SERIES, 1.5) : NULL;
  for (size_t i = from; i < to; i++)
    report_marks_add(marks, values->age_days[i], values->raw[i]);
}

static size_t draw_fills(report_builder *builder, bt_pane *pane, const bt_drift_values *values,
                         size_t first) {
  size_t fills = 0;
  for (size_t from = first, to; from < values->n; from = to) {
    to = from + 1;
    while (to < values->n && values->fill[to] == values->fill[from])
      to++;
    if (!has_age(values, from))
      continue;
    one_fill(builder, pane, values, from, to, to == values->n);
    fills++;
  }
  return fills;
}

static void day_axis(report_builder *builder, bt_pane *pane, double labels_top) {
  char number[REPORT_NUMBER_TEXT];
  int decimals = 0;
  double step = report_round_step(pane->x_high / 5, &decimals), taken = -INFINITY;
  for (double at = 0; at <= pane->x_high; at += step) {
    double x = bt_pane_x(pane, at);
    report_x_tick(builder, pane, at);
    (void)report_number(at, decimals, number);
    double width = report_measure(builder, BT_STYLE_TICK, number, 0).width;
    if (x - width / 2 < taken || x + width / 2 > pane->x + pane->width + 2)
      continue;
    (void)report_text(builder, x, labels_top, BT_STYLE_TICK, BT_INK_TEXT, BT_ALIGN_CENTRE, number);
    taken = x + width / 2 + 1;
  }
}

/* By elapsed time the age, which may be a logged one, says when it was. */
static bt_time refill_of_last(const bt_unit_study *unit, const bt_drift *drift) {
  const bt_drift_values *values = &drift->values;
  size_t last = values->n - 1;
  return drift->study->pulses_per_day > 0
             ? unit->fills.fill[values->fill[last]].from
             : report_drift_time(values->day[last] - values->age_days[last]);
}

bool report_drift_fills(report_builder *builder, const bt_unit_study *unit, const bt_drift *drift,
                        double left, double right, double top, double bottom) {
  const bt_drift_values *values = &drift->values;
  size_t first = first_shown(values);
  bt_text words = {0}, cut = {0};
  bt_pane frame = {0};
  char date[REPORT_DATE_TEXT];
  double width = right - left;
  if (unit->fills.n == 0 || !reach(drift, first, &frame))
    return false;
  bt_text_format(&words, "%s against fill age", drift->study->quantity.title);
  (void)report_text(builder, left, top, BT_STYLE_TABLE_HEAD, BT_INK_TEXT, BT_ALIGN_LEFT,
                    report_cut(builder, BT_STYLE_TABLE_HEAD, bt_text_get(&words), width, &cut));
  bt_text_clear(&words);
  bt_pane *pane = report_pane(builder, left, top + above, width, bottom - under - top - above);
  pane->x_low = frame.x_low;
  pane->x_high = frame.x_high;
  pane->y_low = frame.y_low;
  pane->y_high = frame.y_high;
  pane->framed = true;
  size_t fills = draw_fills(builder, pane, values, first);
  report_value_axis(builder, pane, 6);
  day_axis(builder, pane, pane->y + pane->height + 0.8);
  if (first > 0)
    bt_text_add(&words, "the newest ");
  report_count(&words, fills, "fill", "fills");
  double pulses = drift->study->pulses_per_day;
  if (pulses > 0)
    bt_text_format(&words, ", days of %s pulses since the refill", report_number(pulses, 0, date));
  else
    bt_text_add(&words, ", days since the refill");
  bt_text_format(&words, "; thick: the last, of %s",
                 report_short_date(refill_of_last(unit, drift), date));
  (void)report_wrapped(builder, left, bottom - under + 5, width, BT_STYLE_NOTE, BT_INK_SOFT,
                       bt_text_get(&words));
  report_text_end(builder, &words);
  report_text_end(builder, &cut);
  return true;
}
