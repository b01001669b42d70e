/* Two signs that refills stand otherwise in the log than they were.
 *
 * Readings that get better as the gas ages: the sign of a map that has "before" and "after" of its
 * refills the wrong way round. Asked only where rows of a log note refills, and where the slope
 * inside the fills is more than 3 standard errors to that side (of a laser whose gas does not act
 * at all one chart in 700 would be), with 10 degrees of freedom or more.
 *
 * Readings in a fill over 3 times as old as fills usually get (common practice, no source): the
 * refill before may be missing. */
#include "report_drift.h"

#include <math.h>

enum { LEAST_DF = 10 };
static const double least_t = 3;

static bool rows_note_refills(const bt_history *history) {
  for (size_t i = 0; i < history->n; i++)
    if (history->refill[i] != BT_REFILL_NONE)
      return true;
  return false;
}

static const bt_slope *doubtful(const bt_drift *drift) {
  const bt_slope *slope = drift->slope.df >= LEAST_DF ? &drift->slope : &drift->baseline_slope;
  bool wrong =
      slope->df >= LEAST_DF && slope->per_day * drift->loss < 0 && fabs(slope->t) > least_t;
  return wrong ? slope : NULL;
}

bool report_refill_doubt(const bt_unit_study *unit, const bt_drift *drift, bt_text *out) {
  char t[REPORT_NUMBER_TEXT];
  const bt_slope *slope = doubtful(drift);
  if (slope == NULL || !rows_note_refills(&unit->history))
    return false;
  bt_text_format(out, "%s %s with the age of the gas (", drift->study->quantity.title,
                 slope->per_day > 0 ? "rises" : "falls");
  report_drift_rate(drift, slope->per_day, slope->low, slope->high, "a day", 1, out);
  bt_text_format(out,
                 ", %s standard errors), where gas that ages loses: is “before” or “after” of the "
                 "refills right in the column map? If not, correct it, and read the log anew: "
                 "“beamtally import --again”.",
                 report_number(fabs(slope->t), 1, t));
  return true;
}

bool report_refills_missing(const bt_unit_study *unit, const bt_drift *drift, bt_text *out) {
  static const double most = 3;
  const bt_drift_values *values = &drift->values;
  double usual = unit->fills.interval_days, oldest = 0;
  char days[REPORT_NUMBER_TEXT], other[REPORT_NUMBER_TEXT], day[REPORT_DATE_TEXT];
  size_t at = 0;
  for (size_t i = 0; i < values->n; i++)
    if (values->known[i] != 0 && values->age_days[i] > oldest) {
      oldest = values->age_days[i];
      at = i;
    }
  /* Ages that the log itself holds, or that a counter tells, miss no refill. */
  if (unit->fills.from_log || unit->fills.from_counter || !(usual > 0) || oldest <= most * usual)
    return false;
  bt_text_format(out,
                 "On %s the gas would be %s days old, where a refill comes about every %s days: "
                 "refills may be missing from the log, and ages be too high.",
                 report_short_date(report_drift_time(values->day[at]), day),
                 report_number(oldest, 0, days), report_plain(round(10 * usual) / 10, other));
  return true;
}
