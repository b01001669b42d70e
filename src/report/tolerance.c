/* The tolerance of a characteristic: whether it has one, or wants one; its range in words, and the
 * checks of a span that it judged. */
#include "report_sentences.h"

bool report_may_have_tolerance(const bt_study *of) {
  bool entered =
      of->tolerance.now != NULL || of->tolerance.to_come != NULL || of->tolerance.judged > 0;
  return report_is_judged(of) && (entered || of->characteristic != BT_TRACKER_VECTOR);
}

void report_no_tolerance(const bt_study *of, bool brief, bt_text *out) {
  const bt_tolerance *next = of->tolerance.to_come;
  char date[REPORT_DATE_TEXT];
  if (next == NULL)
    bt_text_add(out, brief ? "none entered" : "no tolerance is entered");
  else
    bt_text_format(out, "%s%s", brief ? "begins " : "the tolerance begins on ",
                   report_short_date(next->from, date));
}

/* An energy that is asked for and never changes is a setting. */
static bool is_constant_demand(const bt_study *of) {
  for (size_t i = 1; i < of->checks.n; i++)
    if (of->checks.value[i] > of->checks.value[0] || of->checks.value[i] < of->checks.value[0])
      return false;
  return of->characteristic == BT_DEMAND;
}

static bool has_tolerance(const bt_unit_study *unit, bt_characteristic characteristic) {
  const bt_study *of = bt_unit_study_of(unit, characteristic);
  return of != NULL && of->tolerance.now != NULL;
}

/* A clinic's policy limits the offset by its length or by its parts: either is enough. */
static bool is_judged_otherwise(const bt_unit_study *unit, bt_characteristic characteristic) {
  if (characteristic == BT_TRACKER_X || characteristic == BT_TRACKER_Y)
    return has_tolerance(unit, BT_TRACKER_RADIAL);
  return characteristic == BT_TRACKER_RADIAL && has_tolerance(unit, BT_TRACKER_X) &&
         has_tolerance(unit, BT_TRACKER_Y);
}

bool report_wants_tolerance(const bt_unit_study *unit, const bt_study *of) {
  return report_may_have_tolerance(of) && of->tolerance.now == NULL &&
         of->tolerance.to_come == NULL && !is_constant_demand(of) &&
         !is_judged_otherwise(unit, of->characteristic);
}

const bt_tolerance *report_tolerance(const bt_study *of) {
  return report_is_judged(of) ? of->tolerance.now : NULL;
}

void report_tolerance_range(const bt_tolerance *tolerance, const bt_quantity *quantity,
                            bt_text *out) {
  char low[REPORT_NUMBER_TEXT], high[REPORT_NUMBER_TEXT];
  (void)report_plain(tolerance->low, low);
  (void)report_plain(tolerance->high, high);
  if (tolerance->has_low && tolerance->has_high)
    report_add_range(out, tolerance->low < 0, low, high);
  else if (tolerance->has_low)
    bt_text_format(out, "at least %s", low);
  else if (tolerance->has_high)
    bt_text_format(out, "at most %s", high);
  report_add_unit(out, quantity);
}

report_tolerance_counts report_count_tolerance(const bt_unit_study *unit, const bt_study *of,
                                               bt_time from, bt_time to) {
  size_t first = 0, end = 0;
  report_between(&of->checks, from, to, &first, &end);
  report_tolerance_counts counts = {.checks = end - first};
  for (size_t i = first; i < end; i++) {
    bool judged = bt_settings_tolerance(&unit->settings, unit->history.unit, of->characteristic,
                                        of->checks.at[i]) != NULL;
    counts.judged += judged;
    if (judged && (of->checks.flags[i] & BT_POINT_OUT_OF_TOLERANCE) != 0) {
      counts.outside++;
      counts.last = i;
    }
  }
  return counts;
}

bool report_is_one_value(const bt_study *of, bt_time from, bt_time to) {
  const bt_series *checks = &of->checks;
  size_t first = 0, end = 0;
  report_between(checks, from, to, &first, &end);
  for (size_t i = first; i < end; i++)
    if (checks->raw[i] < checks->raw[first] || checks->raw[i] > checks->raw[first] ||
        (checks->flags[i] & BT_POINT_OUT_OF_TOLERANCE) != 0)
      return false;
  return end > first;
}
