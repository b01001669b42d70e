/* The gas fills laid over one another: reading against fill age, a thin line a fill, the newest
 * marked. Where something changed, the last ones before it pale and the newest ones since dark.
 * Without a fill of known age there is none, and the levels take its room. */
#include "report_drift.h"

#include <math.h>

enum { MOST_FILLS = 60 };

static const double thin = 0.12, since_change = 0.18, thick = 0.45, under = 12.8, above = 5;

/* Values [from, to) of fills that are drawn alike. */
typedef struct fill_group {
  size_t from, to;
  bool since; /* the change */
} fill_group;

/* First value of the last `most` fills that end before `end`. */
static size_t first_of_last(const bt_drift_values *values, size_t end, size_t most) {
  size_t fills = 0, i = end;
  for (; i > 0; i--) {
    bool other = i == end || values->fill[i - 1] != values->fill[i];
    if (other && ++fills > most)
      break;
  }
  return i;
}

/* First value of the first fill that began when the change had; n where there is no change. */
static size_t first_since(const bt_drift *drift) {
  const bt_drift_values *values = &drift->values;
  size_t i = 0;
  while (i < values->n && (!report_drift_is_changed(drift) || values->day[i] < drift->change.day))
    i++;
  while (i > 0 && i < values->n && values->fill[i] == values->fill[i - 1])
    i++;
  return i;
}

static void group_fills(const bt_drift *drift, fill_group groups[2]) {
  const bt_drift_values *values = &drift->values;
  size_t since = first_since(drift);
  bool both = since > 0 && since < values->n;
  size_t most = both ? MOST_FILLS / 2 : MOST_FILLS;
  size_t newest = first_of_last(values, values->n, most);
  groups[0] = (fill_group){.from = first_of_last(values, since, most), .to = since};
  groups[1] = (fill_group){.from = newest > since ? newest : since, .to = values->n, .since = true};
}

static bool reach(const bt_drift *drift, const fill_group groups[2], bt_pane *pane) {
  const bt_drift_values *values = &drift->values;
  double low = INFINITY, high = -INFINITY, oldest = 0;
  for (size_t g = 0; g < 2; g++)
    for (size_t i = groups[g].from; i < groups[g].to; i++)
      if (values->known[i] != 0) {
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
                     size_t from, size_t to, bool since) {
  bool newest = to == values->n;
  bt_polyline *line =
      report_polyline(builder, pane, to - from, since || newest ? BT_INK_SERIES : BT_INK_RAW,
                      newest  ? thick
                      : since ? since_change
                              : thin);
  for (size_t i = from; i < to; i++)
    report_polyline_add(line, values->age_days[i], values->raw[i]);
  bt_marks *marks =
      newest ? report_marks(builder, pane, to - from, BT_SHAPE_DOT, BT_INK_SERIES, 1.5) : NULL;
  for (size_t i = from; i < to; i++)
    report_marks_add(marks, values->age_days[i], values->raw[i]);
}

/* How many. */
static size_t draw_fills(report_builder *builder, bt_pane *pane, const bt_drift_values *values,
                         fill_group group) {
  size_t fills = 0;
  for (size_t from = group.from, to; from < group.to; from = to) {
    to = from + 1;
    while (to < group.to && values->fill[to] == values->fill[from])
      to++;
    if (values->known[from] == 0)
      continue;
    one_fill(builder, pane, values, from, to, group.since);
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

/* "30 fills before the change pale, the newest 30 since dark" */
static void add_counts(const fill_group groups[2], size_t before, size_t since, bt_text *out) {
  bool all = groups[0].from == 0 && groups[1].from <= groups[0].to;
  if (before == 0 || since == 0) {
    bt_text_add(out, all ? "" : "the newest ");
    report_count(out, before + since, "fill", "fills");
    return;
  }
  report_count(out, before, "fill", "fills");
  bt_text_format(out, " before the change pale, the newest %zu since dark", since);
}

bool report_drift_fills(report_builder *builder, const bt_unit_study *unit, const bt_drift *drift,
                        double left, double right, double top, double bottom) {
  const bt_drift_values *values = &drift->values;
  static const bt_style styles[] = {BT_STYLE_NOTE, BT_STYLE_FINE};
  fill_group groups[2];
  bt_text words = {0}, cut = {0};
  bt_pane frame = {0};
  char date[REPORT_DATE_TEXT];
  double width = right - left;
  group_fills(drift, groups);
  if (unit->fills.n == 0 || !reach(drift, groups, &frame))
    return false;
  bt_text_format(&words, "%s against fill age, days", drift->study->quantity.title);
  (void)report_text(builder, left, top, BT_STYLE_TABLE_HEAD, BT_INK_TEXT, BT_ALIGN_LEFT,
                    report_cut(builder, BT_STYLE_TABLE_HEAD, bt_text_get(&words), width, &cut));
  bt_text_clear(&words);
  bt_pane *pane = report_pane(builder, left, top + above, width, bottom - under - top - above);
  pane->x_low = frame.x_low;
  pane->x_high = frame.x_high;
  pane->y_low = frame.y_low;
  pane->y_high = frame.y_high;
  pane->framed = true;
  report_value_axis(builder, pane, 6);
  day_axis(builder, pane, pane->y + pane->height + 0.8);
  size_t before = draw_fills(builder, pane, values, groups[0]);
  size_t since = draw_fills(builder, pane, values, groups[1]);
  add_counts(groups, before, since, &words);
  double pulses = drift->study->pulses_per_day;
  if (pulses > 0)
    bt_text_format(&words, "; a day: %s pulses", report_number(pulses, 0, date));
  bt_text_format(&words, "; thick: the last, of %s",
                 report_short_date(refill_of_last(unit, drift), date));
  (void)report_fit(builder, left, bottom - under + 5, width, under - 5, styles, 2, BT_INK_SOFT,
                   bt_text_get(&words));
  report_text_end(builder, &words);
  report_text_end(builder, &cut);
  return true;
}
