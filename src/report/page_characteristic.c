/* The page of one characteristic: headline, banner, sentences, chart, numbers, provenance. */
#include "report_room.h"

#include <stdio.h>

static const double labels_left = 18.2; /* from the margin to the panes */
static const double labels_right = 23;  /* from the panes to the panel */

/* "Suite North · 1 May – 27 September 2026 · measured ÷ target, one point a day, ..." */
static void subtitle(const bt_unit_study *unit, const bt_study *of,
                     const bt_report_request *request, bt_text *out) {
  char period[REPORT_DATE_TEXT];
  bt_text_format(out, "  ·  %s  ·  ", report_period(request->from, request->to - 1, period));
  (void)unit;
  if (of->characteristic == BT_ENERGY_RATIO)
    bt_text_add(out, "measured ÷ target, ");
  else if (*bt_characteristic_unit(of->characteristic) != '\0')
    bt_text_format(out, "%s, ", bt_characteristic_unit(of->characteristic));
  bt_text_add(out, of->adjusted ? "one point a day, moved to the mean fill age"
                                : "one point a day, as measured");
}

static double headline(report_builder *builder, const bt_unit_study *unit, const bt_study *of,
                       const bt_report_request *request) {
  report_frame frame = report_frame_of(builder);
  double y = frame.top;
  bt_text words = {0}, cut = {0};
  y += report_text(builder, frame.left, y, BT_STYLE_TITLE, BT_INK_TEXT, BT_ALIGN_LEFT,
                   bt_characteristic_title(of->characteristic))
           .height;
  subtitle(unit, of, request, &words);
  double rest = report_measure(builder, BT_STYLE_SUBTITLE, bt_text_get(&words), 0).width;
  double width = frame.panel_left - 3 - frame.left;
  const char *name = report_cut(builder, BT_STYLE_SUBTITLE, unit->history.unit, width - rest, &cut);
  bt_text whole = {0};
  bt_text_format(&whole, "%s%s", name, bt_text_get(&words));
  y += report_text(builder, frame.left, y + 0.3, BT_STYLE_SUBTITLE, BT_INK_SOFT, BT_ALIGN_LEFT,
                   bt_text_get(&whole))
           .height +
       0.3;
  if (!bt_text_ok(&words) || !bt_text_ok(&cut) || !bt_text_ok(&whole))
    report_no_memory(builder);
  bt_text_free(&words);
  bt_text_free(&cut);
  bt_text_free(&whole);
  return y;
}

/* The sentences; returns where they end. */
static double sentences(report_builder *builder, const bt_unit_study *unit, const bt_study *of,
                        const bt_report_request *request, double y) {
  report_frame frame = report_frame_of(builder);
  double wrap = frame.right - frame.left;
  report_words words = {0}, basis = {0}, failing = {0};
  if (report_is_failing(of->verdict)) {
    report_failing_morning(unit, &failing);
    y += report_paragraph(builder, frame.left, y, wrap, BT_STYLE_CAPTION, BT_INK_ALARM, &failing)
             .height +
         1.2;
  }
  report_shows(unit, of, request->from, request->to, &words);
  y += report_paragraph(builder, frame.left, y, wrap, BT_STYLE_BODY, BT_INK_TEXT, &words).height;
  report_basis(of, &basis);
  if (basis.text.length > 0)
    y += 0.8 +
         report_paragraph(builder, frame.left, y + 0.8, wrap, BT_STYLE_CAPTION, BT_INK_SOFT, &basis)
             .height;
  report_words_free(&words);
  report_words_free(&basis);
  report_words_free(&failing);
  return y;
}

/* A text of at most that height, in the style that fits; what doesn't fit is cut, with its end
 * marked: names of people and sources have no bound. */
static double panel_text(report_builder *builder, double x, double y, double wrap, double most,
                         bt_style style, bt_ink ink, const char *text) {
  if (report_measure(builder, style, text, wrap).height <= most)
    return report_wrapped(builder, x, y, wrap, style, ink, text).height;
  bt_text cut = {0};
  double height = report_wrapped(builder, x, y, wrap, style, ink,
                                 report_cut(builder, style, text, wrap * 1.7, &cut))
                      .height;
  if (!bt_text_ok(&cut))
    report_no_memory(builder);
  bt_text_free(&cut);
  return height;
}

static void panel(report_builder *builder, const report_chart *chart, double top) {
  static const double inset = 2.8;
  report_frame frame = report_frame_of(builder);
  double x = frame.panel_left + inset, wrap = frame.right - x - inset;
  report_facts facts = {0};
  bt_text legend = {0};
  report_facts_collect(chart->of, &facts);
  report_legend(chart, &legend);
  if (facts.failed || !bt_text_ok(&legend))
    report_no_memory(builder);

  report_box(builder, frame.panel_left, top, frame.right - frame.panel_left, frame.bottom - top,
             BT_INK_PANEL);
  double y = top + 2;
  y += report_text(builder, x, y, BT_STYLE_HEADING, BT_INK_TEXT, BT_ALIGN_LEFT, "In numbers")
           .height +
       2;
  double legend_height = report_measure(builder, BT_STYLE_NOTE, bt_text_get(&legend), wrap).height;
  double used = 0;
  double two = 2.1 * report_measure(builder, BT_STYLE_VALUE, "0", 0).height;
  for (size_t i = 0; i < facts.n; i++)
    used += report_measure(builder, BT_STYLE_CAPTION, facts.fact[i].label, wrap).height +
            report_measure(builder, BT_STYLE_VALUE, facts.fact[i].value, wrap).height;
  double room = frame.bottom - 2 - y - legend_height - used;
  double gap = facts.n > 0 ? room / (double)(facts.n + 1) : 0;
  gap = gap > 3.6 ? 3.6 : gap < 0.4 ? 0.4 : gap;
  for (size_t i = 0; i < facts.n; i++) {
    y += panel_text(builder, x, y, wrap, two, BT_STYLE_CAPTION, BT_INK_SOFT, facts.fact[i].label);
    y += panel_text(builder, x, y, wrap, two, BT_STYLE_VALUE, BT_INK_TEXT, facts.fact[i].value) +
         gap;
  }
  (void)report_wrapped(builder, x, y + 0.6, wrap, BT_STYLE_NOTE, BT_INK_SOFT, bt_text_get(&legend));
  report_facts_free(&facts);
  bt_text_free(&legend);
}

void report_characteristic_page(report_builder *builder, const bt_unit_study *unit,
                                const bt_study *of, const bt_report_request *request, size_t page,
                                size_t pages) {
  report_page(builder, bt_characteristic_title(of->characteristic),
              bt_characteristic_key(of->characteristic));
  report_frame frame = report_frame_of(builder);
  double under_banner = frame.top + report_banner(builder, unit, of->verdict, of);
  double y = headline(builder, unit, of, request) + 2.2;
  y = y < under_banner + 2 ? under_banner + 2 : y;
  y = sentences(builder, unit, of, request, y) + 2.6;

  report_chart chart = {.builder = builder,
                        .unit = unit,
                        .of = of,
                        .from = request->from,
                        .to = request->to,
                        .page_left = frame.left,
                        .left = frame.left + labels_left,
                        .right_edge = frame.panel_left - 1.2};
  chart.width = frame.panel_left - labels_right - 1.5 - chart.left;
  report_chart_compose(&chart, y, frame.bottom);
  panel(builder, &chart, y - 0.6);
  report_footer(builder, unit, page, pages);
}
