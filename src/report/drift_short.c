/* A drift in one sentence: what changed and when, what an event brought back, why it was not looked
 * at; and the plate beside energy and fluence. */
#include "report_drift.h"

#include <math.h>

void report_drift_why_not(const bt_drift *drift, bt_text *out) {
  char day[REPORT_DATE_TEXT];
  size_t failed, points;
  switch (drift->use) {
  case BT_DRIFT_NO_BASELINE:
    if (report_is_barred(drift->study, &failed, &points)) {
      bt_text_add(out, "there is no baseline, since ");
      report_barred_words(failed, points, out);
      break;
    }
    bt_text_add(out, "there is no baseline yet");
    if (drift->study->points.n < BT_BASELINE_LEAST_POINTS) {
      bt_text_format(out,
                     drift->study->points.n == 1 ? " (it takes %d points, and there is %zu)"
                                                 : " (it takes %d points, and there are %zu)",
                     BT_BASELINE_LEAST_POINTS, drift->study->points.n);
    }
    break;
  case BT_DRIFT_COARSE:
    bt_text_add(out, report_drift_is_constant(drift) ? "no two readings of its baseline differ"
                                                     : "the readings are too coarse for a chart");
    break;
  case BT_DRIFT_OTHER_TARGET:
    report_other_target_words(drift->study, out);
    break;
  case BT_DRIFT_FEW:
    bt_text_format(out, "a look takes %d values, and there ", BT_LOOK_LEAST_VALUES);
    bt_text_format(out, drift->values.n == 1 ? "is %zu" : "are %zu", drift->values.n);
    if (drift->window.event != BT_NONE)
      bt_text_format(out, " since an event moved them (%s)",
                     report_short_date(drift->window.from, day));
    break;
  case BT_DRIFT_LOOKED_AT:
    break;
  }
}

size_t report_drift_looked(const bt_unit_drift *all) {
  size_t looked = 0;
  for (size_t i = 0; all != NULL && i < all->n; i++)
    looked += all->drift[i].use == BT_DRIFT_LOOKED_AT;
  return looked;
}

void report_drift_not_looked(const bt_unit_drift *all, bt_text *out) {
  size_t looked = report_drift_looked(all), named = 0;
  bool alike = looked == 0;
  if (all == NULL || (all->n > 0 && looked == all->n))
    return;
  for (size_t i = 1; i < all->n; i++)
    alike = alike && all->drift[i].use == all->drift[0].use;
  bt_text_add(out, all->n == 0 ? "not looked at: there are no readings" : "not looked at: ");
  for (size_t i = 0; i < all->n; i++) {
    if (all->drift[i].use == BT_DRIFT_LOOKED_AT || (alike && i > 0))
      continue;
    bt_text_add(out, named++ == 0 ? "" : "; ");
    if (!alike)
      bt_text_format(out, "%s, as ", all->drift[i].study->quantity.title);
    report_drift_why_not(&all->drift[i], out);
  }
}

void report_drift_short(const bt_unit_study *unit, const bt_drift *drift, bt_text *out) {
  const char *title = drift->study->quantity.title;
  char day[REPORT_DATE_TEXT];
  if (drift->use != BT_DRIFT_LOOKED_AT) {
    bt_text_format(out, "%s: not looked at, as ", title);
    report_drift_why_not(drift, out);
    return;
  }
  if (!drift->moved.changed) {
    bt_text_format(out, "%s: ", title);
    report_drift_unchanged(unit, drift, out);
    if (report_drift_was_changed(drift)) {
      bt_text_add(out, "; before that");
      if (drift->before.event != drift->window.event)
        bt_text_format(out, ", until %s (%s),", report_short_date(drift->before.until, day),
                       bt_event_words(unit->history.events[drift->before.event].kind));
      bt_text_add(out, " it was ");
      report_drift_went(&drift->before.moved, out);
      bt_text_add(out, " ");
      report_drift_between(&drift->before.change, "a day", out);
    }
    if (drift->causes_n > 0)
      bt_text_format(out, "; what the data support: “%s”",
                     report_cause_words(drift, &drift->causes[0]));
    return;
  }
  bt_text_format(out, "%s: ", title);
  report_drift_went(&drift->moved, out);
  bt_text_add(out, " ");
  report_drift_between(&drift->change, "a day", out);
  bt_text_add(out, drift->change.open ? ", or earlier" : "");
  if (floor(drift->change.from) < floor(drift->change.to))
    bt_text_format(out, " (likeliest %s)", report_drift_date(drift->change.day, day));
  report_drift_gone_brief(drift, out);
  report_drift_earlier(unit, drift, false, out);
  if (report_drift_alarm_is_older(drift))
    bt_text_format(out,
                   "; its alarm is open since %s already: single points stand out before the level "
                   "does",
                   report_short_date(drift->alarm_at, day));
  else if (report_drift_alarm_is_of_before(drift))
    bt_text_format(out, "; its alarm is open since then, %s",
                   report_short_date(drift->alarm_at, day));
}

bool report_drift_plate(const bt_unit_drift *all, bt_text *out) {
  const bt_moved *moved = &all->evidence.plate;
  char by[REPORT_NUMBER_TEXT];
  if (!moved->looked_at || all->plate.n == 0)
    return false;
  bt_text_add(out, "Depth a pulse in the test plate: ");
  if (!moved->changed) {
    bt_text_add(out, "no change past the threshold");
    return true;
  }
  report_drift_went(moved, out);
  bt_text_add(out, " ");
  report_drift_between(&all->plate, "a day", out);
  if (all->plate_per_cent != 0)
    bt_text_format(out, ", by %s" REPORT_JOIN "%%%s", report_signed(all->plate_per_cent, 1, by),
                   all->plate.kind == BT_CHANGE_STEP ? "" : " a month");
  return true;
}
