/* The limits that a page shows must be those that judged. */
#include "fixture.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static const bt_pane *main_pane(const bt_page *page) {
  for (size_t i = 0; i < page->panes_n; i++)
    if (page->panes[i].framed)
      return &page->panes[i];
  return NULL;
}

static bool close_to(double a, double b, double within) {
  return fabs(a - b) <= within;
}

static bool is_among(double at, const double *limits, int n, double within) {
  for (int i = 0; i < n; i++)
    if (close_to(at, limits[i], within))
      return true;
  return false;
}

/* Whether some baseline judges by that limit, give or take `share` of its sigma. */
static bool is_limit(const bt_study *of, double at, double share) {
  for (size_t s = 0; s < of->segments_n; s++) {
    const bt_segment *segment = &of->segments[s];
    bool vector = of->characteristic == BT_TRACKER_VECTOR;
    double within = share * (vector ? 0.1 : segment->chart.sigma) + 1e-12 * fabs(at);
    double limits[2] = {segment->chart.ucl, segment->chart.lcl};
    if (of->characteristic == BT_TRACKER_RADIAL)
      limits[0] = limits[1] = segment->radial.limit;
    if (vector) {
      limits[0] = segment->vector.phase1_limit;
      limits[1] = segment->vector.phase2_limit;
    }
    if (is_among(at, limits, 2, within))
      return true;
  }
  return false;
}

/* The same for the limits of alarms. */
static bool is_alarm_limit(const bt_study *of, double at, double share) {
  for (size_t s = 0; s < of->segments_n; s++) {
    const bt_segment *segment = &of->segments[s];
    double sigma = segment->chart.sigma, within = share * (sigma > 0 ? sigma : 0.1);
    double limits[3] = {segment->chart.centre - FIXTURE_ALARM_LIMIT * sigma,
                        segment->chart.centre + FIXTURE_ALARM_LIMIT * sigma, FIXTURE_T2_ALARM};
    bool vector = of->characteristic == BT_TRACKER_VECTOR;
    if (segment->alarm.given &&
        is_among(at, vector ? limits + 2 : limits, vector ? 1 : 2, within + 1e-12 * fabs(at)))
      return true;
  }
  return false;
}

/* The number after "UCL ", "LCL ", "limit " or "alarm "; false when the text is no such label. */
static bool named_limit(const char *text, double *value, bool *alarm) {
  static const char *const names[] = {"UCL ", "LCL ", "limit ", "alarm "};
  static const char minus[] = "\xE2\x88\x92";
  for (size_t k = 0; k < sizeof names / sizeof *names; k++) {
    if (strncmp(text, names[k], strlen(names[k])) != 0)
      continue;
    text += strlen(names[k]);
    *alarm = k == 3;
    bool negative = strncmp(text, minus, strlen(minus)) == 0;
    double size = strtod(negative ? text + strlen(minus) : text, NULL);
    *value = negative ? -size : size;
    return true;
  }
  return false;
}

static void check_labels(const bt_study *of, const bt_page *page, const bt_pane *pane,
                         bt_text *out) {
  for (size_t i = 0; i < page->texts_n; i++) {
    const bt_page_text *text = &page->texts[i];
    double value = 0;
    bool alarm = false;
    bool beside = text->x > pane->x + pane->width && text->y > pane->y - 6 &&
                  text->y < pane->y + pane->height;
    if (beside && named_limit(text->text, &value, &alarm) &&
        !(alarm ? is_alarm_limit(of, value, 0.1) : is_limit(of, value, 0.1)))
      bt_text_format(out, "%s: no limit that judges: %s\n", page->name, text->text);
  }
}

/* Points beyond the one drawn limit of a radius are those that signalled. */
static void check_radius(const bt_study *of, const bt_page *page, const bt_pane *pane, double level,
                         bt_text *out) {
  for (size_t i = 0; i < of->points.n; i++) {
    double x = (double)of->points.at[i] / (double)BT_DAY;
    if (x < pane->x_low || x >= pane->x_high || of->judged[i] == 0)
      continue;
    bool signalled = (of->rules[BT_HIGH][i] & BT_WE1) != 0;
    if (signalled != (of->points.value[i] > level))
      bt_text_format(out, "%s: point %zu is drawn on the wrong side of its limit\n", page->name, i);
  }
}

void fixture_check_limits(const bt_study *of, const bt_page *page, bt_text *out) {
  const bt_pane *pane = main_pane(page);
  if (pane == NULL)
    return;
  for (size_t i = 0; i < pane->lines_n; i++) {
    const bt_polyline *line = &pane->lines[i];
    if (line->ink == BT_INK_ALARM && line->n > 0 && !is_alarm_limit(of, line->y[0], 1e-9))
      bt_text_format(out, "%s: an alarm limit is drawn at %g, which judges nothing\n", page->name,
                     line->y[0]);
    if (line->ink != BT_INK_LIMIT || line->n == 0)
      continue;
    if (!is_limit(of, line->y[0], 1e-9))
      bt_text_format(out, "%s: a limit is drawn at %g, which judges nothing\n", page->name,
                     line->y[0]);
    if (of->characteristic == BT_TRACKER_RADIAL && of->segments_n == 1)
      check_radius(of, page, pane, line->y[0], out);
  }
  check_labels(of, page, pane, out);
}
