/* Readings that stand alone, far from those around them: what is said of them, and the step that
 * asks whether they were mistyped. */
#include "report_next.h"

void report_drift_far(const bt_drift *drift, bt_text *out) {
  enum { MOST = 3 };
  const bt_series *points = &drift->study->points;
  char day[REPORT_DATE_TEXT];
  size_t n = drift->far_n - drift->far_before; /* of the days looked at */
  if (n == 0)
    return;
  bt_text_add(out, "Left out: ");
  report_count(out, n, "reading that stands alone", "readings that stand alone");
  bt_text_add(out, ", far from those before and after (");
  size_t first = n > MOST ? drift->far_n - MOST : drift->far_before;
  for (size_t i = first; i < drift->far_n; i++) {
    double value = points->raw[drift->far[i]];
    bt_text_format(out, "%s%s: ", i > first ? "; " : "",
                   report_short_date(points->at[drift->far[i]], day));
    report_add_value(out, &drift->study->quantity, value,
                     report_reading_decimals(drift->study, value));
  }
  if (n > MOST)
    bt_text_format(out, "; %zu before", n - MOST);
  bt_text_add(out, "). Tolerance and rules judge it all the same.");
}

static bool is_concluded(const bt_study *of, size_t point) {
  for (size_t e = 0; e < of->episodes_n; e++)
    if (of->episodes[e].first <= point && of->episodes[e].last >= point &&
        report_disposition(of, &of->episodes[e]) != NULL)
      return true;
  return false;
}

/* The newest at `since` or later of which nobody has concluded anything, and how many days have
 * one: a slip shows in each characteristic that is made of it. */
static const bt_drift *newest(const bt_unit_study *unit, bt_time since, bt_time *at, size_t *n) {
  const bt_drift *found = NULL;
  *n = 0;
  for (size_t i = 0; unit->drift != NULL && i < unit->drift->n; i++) {
    const bt_drift *drift = &unit->drift->drift[i];
    for (size_t k = 0; k < drift->far_n; k++) {
      bt_time of = drift->study->points.at[drift->far[k]];
      if (of < since || is_concluded(drift->study, drift->far[k]))
        continue;
      ++*n;
      if (found == NULL || of > *at) {
        found = drift;
        *at = of;
      }
    }
  }
  return found;
}

void report_far_step(const bt_unit_study *unit, bt_time since, bt_text *out) {
  bt_time at = 0;
  size_t n = 0;
  const bt_drift *drift = newest(unit, since, &at, &n);
  char moment[REPORT_DATE_TEXT], iso[BT_TIME_TEXT];
  if (drift == NULL)
    return;
  bt_text_format(out,
                 "Technician: look the reading of %s up in the log (%s): it stands alone, far from "
                 "those before and after. If it was mistyped: “beamtally correct --unit \"%s\" "
                 "--at %s KEY=VALUE --by NAME --why TEXT”.",
                 report_short_moment(at, true, moment), drift->study->quantity.title,
                 unit->history.unit, bt_time_iso(at, true, iso));
  if (n > 1) {
    bt_text_add(out, " ");
    report_count(out, n - 1, "other is like it", "others are like it");
    bt_text_add(out, ": “beamtally drift”.");
  }
}
