/* The panel beside the chart: "In numbers", then what the marks mean. Names of people and sources
 * have no bound and baselines many doubts, so it has six ways of setting the rows, and takes the
 * first in which all fits; the last one cuts what is longest. */
#include "report_drift.h"

static const double inset = 2.8, above = 2, under_heading = 2, widest_gap = 3.6, least_gap = 0.5;
static const double most_lines = 2.2; /* of one text, where not even fine type holds them all */

typedef enum way { ROOMY, SMALL, ONE_TEXT, RUN_ON, FINE, CUT, WAYS } way;

static bt_style label_style(way set) {
  return set == ROOMY ? BT_STYLE_CAPTION : BT_STYLE_NOTE;
}

static bt_style value_style(way set) {
  switch (set) {
  case ROOMY:
    return BT_STYLE_VALUE;
  case SMALL:
    return BT_STYLE_TABLE;
  case FINE:
  case CUT:
    return BT_STYLE_FINE;
  default:
    return BT_STYLE_NOTE;
  }
}

static bt_style legend_style(way set) {
  return set >= FINE ? BT_STYLE_FINE : BT_STYLE_NOTE;
}

/* Sets one text, or only measures it where `put` is false; returns its height. */
static double one_text(report_builder *builder, bool put, double x, double y, double wrap, way set,
                       bt_style style, bt_ink ink, const char *text) {
  bt_text cut = {0};
  if (set == CUT) {
    double most = most_lines * report_measure(builder, style, "0", 0).height;
    text = report_cut_to(builder, style, text, wrap, most, &cut);
  }
  double height = put ? report_wrapped(builder, x, y, wrap, style, ink, text).height
                      : report_measure(builder, style, text, wrap).height;
  report_text_end(builder, &cut);
  return height;
}

static double one_fact(report_builder *builder, bool put, double x, double y, double wrap, way set,
                       const report_fact *fact) {
  if (set == ONE_TEXT || set == CUT) {
    bt_text both = {0};
    bt_text_format(&both, "%s: %s", fact->label, fact->value);
    double height =
        one_text(builder, put, x, y, wrap, set, value_style(set), BT_INK_TEXT, bt_text_get(&both));
    report_text_end(builder, &both);
    return height;
  }
  double height =
      one_text(builder, put, x, y, wrap, set, label_style(set), BT_INK_SOFT, fact->label);
  return height + one_text(builder, put, x, y + height, wrap, set, value_style(set), BT_INK_TEXT,
                           fact->value);
}

static bool runs_on(way set) {
  return set == RUN_ON || set == FINE;
}

/* All rows in one paragraph. */
static double run_on(report_builder *builder, bool put, double x, double y, double wrap, way set,
                     const report_facts *facts) {
  bt_text all = {0};
  for (size_t i = 0; i < facts->n; i++)
    bt_text_format(&all, "%s%s: %s.", i > 0 ? " " : "", facts->fact[i].label, facts->fact[i].value);
  bt_style style = value_style(set);
  double height =
      put ? report_wrapped(builder, x, y, wrap, style, BT_INK_TEXT, bt_text_get(&all)).height
          : report_measure(builder, style, bt_text_get(&all), wrap).height;
  report_text_end(builder, &all);
  return height;
}

static double all_facts(report_builder *builder, const report_facts *facts, double wrap, way set) {
  double height = 0;
  if (runs_on(set))
    return run_on(builder, false, 0, 0, wrap, set, facts);
  for (size_t i = 0; i < facts->n; i++)
    height += one_fact(builder, false, 0, 0, wrap, set, &facts->fact[i]);
  return height;
}

/* Label and date on a line, and the date below where they are too long for that; the height of all.
 */
static double date_rows(report_builder *builder, bool put, double x, double y, double wrap,
                        const report_facts *dates) {
  double top = y;
  for (size_t i = 0; i < dates->n; i++) {
    const report_fact *row = &dates->fact[i];
    report_size label = report_measure(builder, BT_STYLE_NOTE, row->label, wrap);
    report_size value = report_measure(builder, BT_STYLE_NOTE, row->value, 0);
    double below = label.width + value.width + 1 > wrap ? label.height : 0;
    if (put) {
      (void)report_wrapped(builder, x, y, wrap, BT_STYLE_NOTE, BT_INK_SOFT, row->label);
      (void)report_text(builder, x + wrap, y + below, BT_STYLE_NOTE, BT_INK_TEXT, BT_ALIGN_RIGHT,
                        row->value);
    }
    y += below + label.height + 0.3;
  }
  return y - top;
}

static double heading(report_builder *builder, double x, double y, const char *words) {
  return report_text(builder, x, y, BT_STYLE_HEADING, BT_INK_TEXT, BT_ALIGN_LEFT, words).height;
}

void report_panel(report_builder *builder, const report_chart *chart, const report_facts *dates,
                  double top, double bottom) {
  report_frame frame = report_frame_of(builder);
  double x = frame.panel_left + inset, wrap = frame.right - x - inset, y = top + above;
  report_facts facts = {0};
  bt_text legend = {0};
  report_facts_collect(chart->of, true, &facts);
  report_drift_facts(chart->unit, chart->of, &facts);
  report_legend(chart, &legend);
  if (facts.failed || !bt_text_ok(&legend))
    report_no_memory(builder);
  report_box(builder, frame.panel_left, top, frame.right - frame.panel_left, bottom - top,
             BT_INK_PANEL);
  if (dates->n > 0) {
    y += heading(builder, x, y, "Dates") + 0.6;
    y += date_rows(builder, true, x, y, wrap, dates) + 1.6;
  }
  y += heading(builder, x, y, "In numbers") + under_heading;
  double gap = 0;
  way set = ROOMY;
  for (; set < WAYS; set++) {
    double room = bottom - 1 - y -
                  report_measure(builder, legend_style(set), bt_text_get(&legend), wrap).height;
    gap = (room - all_facts(builder, &facts, wrap, set)) / (double)(facts.n + 1);
    if (gap >= least_gap || set + 1 == WAYS)
      break;
  }
  gap = gap > widest_gap ? widest_gap : gap < 0 ? 0 : gap;
  if (runs_on(set))
    y += run_on(builder, true, x, y, wrap, set, &facts) + gap;
  for (size_t i = 0; i < facts.n && !runs_on(set); i++)
    y += one_fact(builder, true, x, y, wrap, set, &facts.fact[i]) + gap;
  (void)report_wrapped(builder, x, y, wrap, legend_style(set), BT_INK_SOFT, bt_text_get(&legend));
  report_facts_free(&facts);
  bt_text_free(&legend);
}
