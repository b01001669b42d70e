/* The page of one characteristic: headline, banner, sentences, chart, numbers, provenance. */
#include "report_pages.h"

#include <math.h>
#include <stdio.h>

static const double labels_left = 18.2; /* from the margin to the panes */
static const double labels_right = 23;  /* from the panes to the panel */
static const double flat_height = 76;   /* of a chart whose readings are all the same */

/* Where the values of the fluence come from: one that is computed from the energy is no second
 * witness beside it, and the beam's model is a factor of 2 (design, section 5). */
static const char *fluence_from(const bt_unit_study *unit) {
  const bt_unit_setting *setting = bt_settings_unit(&unit->settings, unit->history.unit);
  if (setting == NULL || setting->fluence == BT_FLUENCE_LOGGED)
    return "as logged";
  if (setting->fluence == BT_FLUENCE_PLATE)
    return "from the depth in the test plate";
  return setting->beam == BT_BEAM_GAUSSIAN ? "peak, 2E/A from energy and spot"
                                           : "mean, E/A from energy and spot";
}

/* "Suite North · 1 May – 27 September 2026 · measured ÷ target, one point a day, ..."; brief,
 * without what the basis says again. Where the log goes on after the span, the day
 * that verdict and sentences are of. */
static void subtitle(const bt_unit_study *unit, const bt_study *of,
                     const bt_report_request *request, report_speaks speaks, bool brief,
                     bt_text *out) {
  char period[REPORT_DATE_TEXT];
  bt_text_format(out, "  ·  %s  ·  ", report_short_period(request->from, request->to - 1, period));
  if (of->characteristic == BT_ENERGY_RATIO)
    bt_text_add(out, "measured ÷ target, ");
  else if (*of->quantity.unit != '\0')
    bt_text_format(out, "%s, ", of->quantity.unit);
  if (of->characteristic == BT_FLUENCE)
    bt_text_format(out, "%s, ", fluence_from(unit));
  if (!brief)
    bt_text_add(out, "one point a day, ");
  bt_text_add(out, of->adjusted ? "moved to the mean fill age" : "as measured");
  if (of->points.n > 0 && of->points.at[of->points.n - 1] >= request->to)
    bt_text_format(out, "  ·  %s as of %s",
                   brief || speaks == REPORT_SPEAKS_OF_DAYS ? "verdict" : "banner and sentences",
                   report_short_date(of->points.at[of->points.n - 1], period));
}

/* The unit's name before the subtitle: on one line where the brief form fits, else wrapped. */
static void subtitle_line(report_builder *builder, const bt_unit_study *unit, const bt_study *of,
                          const bt_report_request *request, report_speaks speaks, double width,
                          bt_text *out) {
  for (int brief = 0; brief < 2; brief++) {
    bt_text_clear(out);
    bt_text_add(out, unit->history.unit);
    subtitle(unit, of, request, speaks, brief == 1, out);
    if (report_measure(builder, BT_STYLE_SUBTITLE, bt_text_get(out), 0).width <= width)
      break;
  }
}

static double headline(report_builder *builder, const bt_unit_study *unit, const bt_study *of,
                       const bt_report_request *request, report_speaks speaks) {
  static const bt_style styles[] = {BT_STYLE_SUBTITLE, BT_STYLE_CAPTION};
  report_frame frame = report_frame_of(builder);
  double y = frame.top, width = frame.panel_left - 3 - frame.left;
  double lines = 2.5 * report_measure(builder, BT_STYLE_SUBTITLE, "0", 0).height;
  bt_text line = {0};
  y += report_title(builder, frame.left, y, width,
                    request->heading != NULL ? request->heading : of->quantity.title) +
       0.3;
  subtitle_line(builder, unit, of, request, speaks, width, &line);
  y += report_fit(builder, frame.left, y, width, lines, styles, 2, BT_INK_SOFT, bt_text_get(&line))
           .height;
  report_text_end(builder, &line);
  return y;
}

/* Many doubts are set smaller, so that the chart keeps its room. */
static bt_style basis_style(report_builder *builder, const char *text, double wrap) {
  double line = report_measure(builder, BT_STYLE_CAPTION, "0", 0).height;
  bool many = report_measure(builder, BT_STYLE_CAPTION, text, wrap).height > 3.5 * line;
  return many ? BT_STYLE_NOTE : BT_STYLE_CAPTION;
}

/* As are very many signals. */
static bt_style shows_style(report_builder *builder, const char *text, double wrap) {
  double line = report_measure(builder, BT_STYLE_BODY, "0", 0).height;
  bool many = report_measure(builder, BT_STYLE_BODY, text, wrap).height > 5.5 * line;
  return many ? BT_STYLE_TABLE : BT_STYLE_BODY;
}

/* The sentences, so wide; returns where they end. */
static double sentences(report_builder *builder, const bt_unit_study *unit, const bt_study *of,
                        const bt_report_request *request, report_speaks speaks, double y,
                        double wrap) {
  report_frame frame = report_frame_of(builder);
  report_words words = {0}, basis = {0}, failing = {0};
  if (report_fails(of)) {
    report_failing_morning(unit, &failing);
    y += report_paragraph(builder, frame.left, y, wrap, BT_STYLE_SUBTITLE, BT_INK_ALARM, &failing)
             .height +
         1.2;
  }
  if (speaks == REPORT_SPEAKS_OF_DAYS)
    report_shows_days(unit, of, request->from, request->to, &words);
  else
    report_shows(unit, of, speaks, request->from, request->to, &words);
  y += report_paragraph(builder, frame.left, y, wrap,
                        shows_style(builder, bt_text_get(&words.text), wrap), BT_INK_TEXT, &words)
           .height;
  report_basis_brief(of, &basis);
  if (!bt_text_empty(&basis.text))
    y += 0.8 + report_paragraph(builder, frame.left, y + 0.8, wrap,
                                basis_style(builder, bt_text_get(&basis.text), wrap), BT_INK_SOFT,
                                &basis)
                   .height;
  report_words_free(&words);
  report_words_free(&basis);
  report_words_free(&failing);
  return y;
}

const char *report_page_name(const bt_study *of, char *buffer) {
  if (of->characteristic < BT_CHARACTERISTIC_COUNT)
    (void)snprintf(buffer, REPORT_NAME, "%s", of->quantity.key);
  else
    (void)snprintf(buffer, REPORT_NAME, "own-%d",
                   (int)of->characteristic - (int)BT_CHARACTERISTIC_COUNT + 1);
  return buffer;
}

bool report_has_page(const bt_study *of, const bt_report_request *request) {
  size_t first = 0, last = 0;
  report_between(&of->checks, request->from, request->to, &first, &last);
  return last > first;
}

/* One value throughout, with neither limits nor a failure to draw beside it. */
static bool is_flat(const bt_study *of, const bt_report_request *request) {
  return !report_has_limits(bt_study_now(of)) && of->episodes_n == 0 &&
         report_is_one_value(of, request->from, request->to);
}

/* A line says it all. */
bool report_is_constant(const bt_study *of, const bt_report_request *request) {
  return report_is_judged(of) && is_flat(of, request);
}

bool report_has_chart_page(const bt_study *of, const bt_report_request *request) {
  return report_is_judged(of) && report_has_page(of, request) && !report_is_constant(of, request);
}

/* None beside a chart about some days of the past, whose sentences speak of those days alone. */
static void collect_dates(const bt_unit_study *unit, const bt_study *of, report_speaks speaks,
                          bt_time from, report_facts *dates) {
  const bt_drift *drift =
      unit->drift != NULL ? bt_unit_drift_of(unit->drift, of->characteristic) : NULL;
  if (speaks != REPORT_SPEAKS_OF_DAYS)
    report_dates(of, drift, from, dates);
}

void report_characteristic_page(report_builder *builder, const bt_unit_study *unit,
                                const bt_study *of, const bt_report_request *request,
                                report_speaks speaks) {
  char name[REPORT_NAME];
  report_facts dates = {0};
  collect_dates(unit, of, speaks, request->from, &dates);
  report_page(builder, of->quantity.title, report_page_name(of, name));
  report_frame frame = report_frame_of(builder);
  double under_banner =
      frame.top + report_banner(builder, unit, bt_study_shown_verdict(of), of) + 2;
  double y = headline(builder, unit, of, request, speaks) + 2.2;
  y = y < under_banner ? under_banner : y;
  double panel_top = y; /* with dates it stands beside the sentences as well */
  double right = dates.n > 0 ? frame.panel_left - 3 : frame.right;
  y = sentences(builder, unit, of, request, speaks, y, right - frame.left) + 2.6;
  panel_top = dates.n > 0 ? panel_top : y - 0.6;

  report_chart chart = {.builder = builder,
                        .unit = unit,
                        .of = of,
                        .from = request->from,
                        .to = request->to,
                        .page_left = frame.left,
                        .left = frame.left + labels_left,
                        .right_edge = frame.panel_left - 1.2};
  chart.width = frame.panel_left - labels_right - 1.5 - chart.left;
  double bottom = is_flat(of, request) ? fmin(frame.bottom, y + flat_height) : frame.bottom;
  report_chart_compose(&chart, y, bottom);
  report_panel(builder, &chart, &dates, panel_top, bottom);
  if (dates.failed)
    report_no_memory(builder);
  report_facts_free(&dates);
}
