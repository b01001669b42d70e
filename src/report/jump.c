/* A jump back without a recorded event: signals of one side, then a range beyond its limit toward
 * the other side, and no such limit is passed again. Something was done, or came, that the record
 * does not hold: a person is asked, nothing is concluded.
 *
 * Single ranges pass their limit by chance too, and 5 to 21 % of a steady characteristic's years
 * hold one behind several signals with no point beyond the limit after it. So the levels on both
 * sides must lie as far apart as a range may: then it is under 1 % where the values are independent
 * (simulated, a baseline of 20 to 50 points, 250 to 1,095 points a year; those that hang together
 * ask more often). Our own choice, no source. */
#include "report_sentences.h"

#include <math.h>

enum {
  SIGNALS_BEFORE = 3, /* of the last LOOKED_AT judged points: one far reading is no level */
  LOOKED_AT = 5,
  QUIET_AFTER = 8 /* judged points within the limit of that side */
};

static const bt_rules rules = BT_ZONE_RULES;

static bool has_event(const bt_unit_study *unit, bt_time after, bt_time until) {
  for (size_t i = 0; i < unit->history.events_n; i++) {
    const bt_event *event = &unit->history.events[i];
    if (bt_day_of(event->time) >= bt_day_of(after) && event->time <= until)
      return true;
  }
  for (size_t i = 0; i < unit->fills.n; i++)
    if (unit->fills.fill[i].from > after && unit->fills.fill[i].from <= until)
      return true;
  return false;
}

static size_t judged_before(const bt_study *of, size_t point) {
  while (point > 0)
    if (of->judged[--point] == 1)
      return point;
  return BT_NONE;
}

/* The rules of that side are quiet at `point` and at the judged points after it. */
static bool is_quiet_from(const bt_study *of, bt_side side, size_t point) {
  size_t judged = 0;
  for (size_t i = point; i < of->points.n && judged < QUIET_AFTER; i++) {
    if (of->judged[i] != 1)
      continue;
    if ((of->rules[side][i] & BT_WE1) != 0)
      return false;
    judged++;
  }
  return judged == QUIET_AFTER;
}

static bool is_low_or_high(const bt_study *of, bt_side side, size_t point) {
  size_t signals = 0;
  for (size_t k = 0; k < LOOKED_AT && point != BT_NONE; k++) {
    signals += (of->rules[side][point] & rules) != 0;
    point = judged_before(of, point);
  }
  return signals >= SIGNALS_BEFORE;
}

/* Mean of the judged points back from `point`, and from it on; NaN where there are too few. */
static double level_before(const bt_study *of, size_t point) {
  double sum = 0;
  for (size_t k = 0; k < LOOKED_AT; k++) {
    if (point == BT_NONE)
      return NAN;
    sum += of->points.value[point];
    point = judged_before(of, point);
  }
  return sum / LOOKED_AT;
}

static double level_from(const bt_study *of, size_t point) {
  double sum = 0;
  size_t judged = 0;
  for (size_t i = point; i < of->points.n && judged < QUIET_AFTER; i++) {
    if (of->judged[i] != 1)
      continue;
    sum += of->points.value[i];
    judged++;
  }
  return judged == QUIET_AFTER ? sum / QUIET_AFTER : NAN;
}

static bool is_jump(const bt_unit_study *unit, const bt_study *of, size_t before, size_t point) {
  const bt_segment *now = bt_study_now(of);
  const bt_series *points = &of->points;
  double by = points->value[point] - points->value[before];
  bt_side side = by > 0 ? BT_LOW : BT_HIGH;
  return of->has_range[point] != 0 && of->moving_range[point] > now->chart.mr_ucl &&
         is_low_or_high(of, side, before) && is_quiet_from(of, side, point) &&
         fabs(level_from(of, point) - level_before(of, before)) > now->chart.mr_ucl &&
         !has_event(unit, points->at[before], points->at[point]);
}

/* Its point, and the one before it; BT_NONE: there is none. */
static size_t newest_jump(const bt_unit_study *unit, const bt_study *of, bt_time from, bt_time to,
                          size_t *before) {
  const bt_segment *now = bt_study_now(of);
  size_t first = 0, last = 0;
  if (!report_has_zones(of, now) || !report_is_judged(of))
    return BT_NONE;
  report_between(&of->points, from, to, &first, &last);
  for (size_t i = last; i > first && i - 1 > now->phase2; i--) {
    if (of->judged[i - 1] != 1)
      continue;
    *before = judged_before(of, i - 1);
    if (*before != BT_NONE && *before >= now->phase2 && is_jump(unit, of, *before, i - 1))
      return i - 1;
  }
  return BT_NONE;
}

void report_jump_words(const bt_unit_study *unit, const bt_study *of, bt_time from, bt_time to,
                       bt_text *out) {
  size_t before = BT_NONE, at = newest_jump(unit, of, from, to, &before);
  char earlier[REPORT_DATE_TEXT], later[REPORT_DATE_TEXT];
  if (at == BT_NONE)
    return;
  bt_text_format(out, "Between the points of %s and %s it went by ",
                 report_short_date(of->points.at[before], earlier),
                 report_short_date(of->points.at[at], later));
  report_add_size(of, of->points.value[at] - of->points.value[before], out);
  bt_text_format(out,
                 ", away from its signals on the %s side, and no event is recorded there: was "
                 "something done that is not recorded?",
                 of->points.value[at] > of->points.value[before] ? "low" : "high");
}
