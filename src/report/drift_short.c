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

static void add_went(const bt_moved *moved, bt_text *out) {
  bool low = moved->sign < 0;
  if (moved->kind == BT_CHANGE_STEP)
    bt_text_format(out, "%s, %s, since", low ? "lower" : "higher",
                   moved->levelled ? "by a slope that has ended" : "in a step");
  else
    bt_text_add(out, low ? "falling since" : "climbing since");
}

/* By how much the event did that the window begins with; without it a reader fears the worst. */
static void add_moved_by(const bt_drift *drift, bt_text *out) {
  for (size_t i = 0; i < drift->events_n; i++) {
    const bt_comparison *by = &drift->events[i].about;
    if (drift->events[i].event != drift->window.event || !by->given)
      continue;
    bt_text_add(out, ", ");
    report_drift_rate(drift, by->difference, by->low, by->high, "after minus before", 1, out);
  }
}

void report_drift_short(const bt_drift *drift, bt_text *out) {
  const char *title = drift->study->quantity.title;
  char day[REPORT_DATE_TEXT];
  if (drift->use != BT_DRIFT_LOOKED_AT) {
    bt_text_format(out, "%s: not looked at, as ", title);
    report_drift_why_not(drift, out);
    return;
  }
  if (!drift->moved.changed) {
    bt_text_format(out, "%s: no change past the threshold", title);
    if (drift->window.event != BT_NONE) {
      bt_text_format(out, " since %s, when an event moved it",
                     report_short_date(drift->window.from, day));
      add_moved_by(drift, out);
    }
    if (report_drift_was_changed(drift)) {
      bt_text_add(out, "; before that it was ");
      add_went(&drift->before.moved, out);
      bt_text_add(out, " ");
      report_drift_between(&drift->before.change, "a day", out);
    }
    if (drift->causes_n > 0)
      bt_text_format(out, "; what the data support: “%s”",
                     report_cause_words(drift, &drift->causes[0]));
    return;
  }
  bt_text_format(out, "%s: ", title);
  add_went(&drift->moved, out);
  bt_text_add(out, " ");
  report_drift_between(&drift->change, "a day", out);
  bt_text_add(out, drift->change.open ? ", or earlier" : "");
  if (floor(drift->change.from) < floor(drift->change.to))
    bt_text_format(out, " (likeliest %s)", report_drift_date(drift->change.day, day));
  if (report_drift_alarm_is_older(drift))
    bt_text_format(out,
                   "; the first alarm, of %s, is older, as points may stand out before most do",
                   report_short_date(drift->alarm_at, day));
}

static bool is_open_unchanged(const bt_drift *drift) {
  return drift->use == BT_DRIFT_LOOKED_AT && !drift->moved.changed &&
         bt_study_open_strength(drift->study) != BT_QUIET;
}

void report_drift_brief(const bt_drift *drift, bt_text *out) {
  report_drift_short(drift, out);
  if (is_open_unchanged(drift))
    bt_text_format(out, "; its chart has %s open all the same",
                   bt_study_open_strength(drift->study) == BT_ALARM ? "an alarm" : "a notice");
  bt_text_add(out, ".");
}

bool report_drift_both(const bt_unit_drift *all, bt_text *out) {
  bool any = false;
  for (size_t i = 0; i < all->n; i++)
    any = any || is_open_unchanged(&all->drift[i]);
  if (any)
    bt_text_add(out, "A signal that is open and no change shown can both be true: a chart asks "
                     "whether points stand out of the baseline’s scatter, the look for drift "
                     "whether the level changed for good.");
  return any;
}

/* What was done may have brought it back where the mean went against the change. */
static void add_after(const bt_drift *drift, const bt_event_effect *effect, bt_event_kind kind,
                      bt_text *out) {
  if (!effect->about.given)
    return;
  bool back = effect->about.difference * drift->before.moved.sign < 0;
  bt_text_add(out, " After it the mean lies ");
  report_add_size(drift->study, effect->about.difference, out);
  bt_text_add(out, " from that before");
  if (effect->differs && back && kind == BT_EVENT_OPTICS_CLEANED)
    bt_text_add(out, ": the cleaning may have helped");
  else if (effect->differs && back)
    bt_text_add(out, ": what was done may have brought it back");
  bt_text_add(out, effect->differs ? "; another reason on those days is not ruled out."
                                   : ", which may be chance.");
}

void report_drift_until_event(const bt_unit_study *unit, const bt_drift *drift, bt_text *out) {
  char day[REPORT_DATE_TEXT];
  if (!report_drift_was_changed(drift))
    return;
  const bt_event *event = &unit->history.events[drift->window.event];
  bt_text_format(out, "Until the event of %s (%s) it was ", report_short_date(event->time, day),
                 bt_event_words(event->kind));
  add_went(&drift->before.moved, out);
  bt_text_add(out, " ");
  report_drift_between(&drift->before.change, "a day", out);
  if (floor(drift->before.change.from) < floor(drift->before.change.to))
    bt_text_format(out, " (likeliest %s)", report_drift_date(drift->before.change.day, day));
  bt_text_add(out, ".");
  for (size_t e = 0; e < drift->events_n; e++)
    if (drift->events[e].event == drift->window.event)
      add_after(drift, &drift->events[e], event->kind, out);
}

void report_drift_before(const bt_unit_study *unit, const bt_drift *drift, bt_text *out) {
  char day[REPORT_DATE_TEXT];
  if (!report_drift_was_changed(drift))
    return;
  const bt_event *event = &unit->history.events[drift->window.event];
  report_drift_until_event(unit, drift, out);
  if (!drift->moved.changed)
    bt_text_format(out, " Since then %zu values, and no change past the threshold.", drift->look.n);
  bt_text_format(out, " What was named the day before%s: “beamtally drift --unit ",
                 drift->moved.changed ? ", and the days it affects" : "");
  bt_text_add_shell_word(out, unit->history.unit);
  bt_text_format(out, " --characteristic %s --until %s”.", drift->study->quantity.key,
                 bt_time_day_iso(event->time - BT_DAY, day));
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
  add_went(moved, out);
  bt_text_add(out, " ");
  report_drift_between(&all->plate, "a day", out);
  if (all->plate_per_cent != 0)
    bt_text_format(out, ", by %s" REPORT_JOIN "%%%s", report_signed(all->plate_per_cent, 1, by),
                   all->plate.kind == BT_CHANGE_STEP ? "" : " a month");
  return true;
}

static bool any_open(const bt_unit_drift *all) {
  bool any = false;
  for (size_t i = 0; i < all->n; i++)
    any = any || (all->drift[i].use == BT_DRIFT_LOOKED_AT &&
                  bt_study_open_strength(all->drift[i].study) != BT_QUIET);
  return any;
}

static bool changed_earlier(const bt_drift *drift) {
  return !drift->moved.changed && report_drift_was_changed(drift);
}

/* Changes that an event ended are none of today's, but they are not nothing: which, and until when;
 * those that end with the same event together. */
static void add_earlier(const bt_unit_study *unit, bt_text *out) {
  const bt_unit_drift *all = unit->drift;
  char date[REPORT_DATE_TEXT];
  size_t told = 0;
  for (size_t i = 0; i < all->n; i++) {
    const bt_drift *drift = &all->drift[i];
    bool again = false;
    for (size_t k = 0; k < i; k++)
      again = again || (changed_earlier(&all->drift[k]) &&
                        all->drift[k].window.event == drift->window.event);
    if (!changed_earlier(drift) || again)
      continue;
    bt_text_add(out, told++ == 0 ? " now; changed earlier: " : "; ");
    for (size_t k = i; k < all->n; k++)
      if (changed_earlier(&all->drift[k]) && all->drift[k].window.event == drift->window.event)
        bt_text_format(out, "%s%s", k == i ? "" : ", ", all->drift[k].study->quantity.title);
    const bt_event *event = &unit->history.events[drift->window.event];
    bt_text_format(out, " until %s (%s)", report_short_date(event->time, date),
                   bt_event_words(event->kind));
  }
  if (told > 0)
    bt_text_format(out, ", see “%s”", report_drift_page_title(unit));
}

void report_drift_none(const bt_unit_study *unit, bt_text *out) {
  const bt_unit_drift *all = unit->drift;
  size_t looked = report_drift_looked(all), changed = 0;
  const bt_drift *first = NULL;
  for (size_t i = 0; all != NULL && i < all->n; i++)
    if (report_drift_is_changed(&all->drift[i]) && changed++ == 0)
      first = &all->drift[i];
  if (all == NULL) {
    bt_text_add(out, "not looked for here, as no chart signals; “beamtally drift --unit ");
    bt_text_add_shell_word(out, unit->history.unit);
    bt_text_add(out, "” does");
  } else if (looked == 0)
    report_drift_not_looked(all, out);
  else {
    bt_text_add(out, "looked for in ");
    report_count(out, looked, "characteristic", "characteristics");
    if (changed == 1) {
      bt_text_add(out, "; ");
      report_drift_short(first, out);
      bt_text_add(out, "; no cause is named");
    } else if (changed > 1)
      bt_text_format(out, ": past the threshold in %zu, with no cause named; see “%s”", changed,
                     report_drift_page_title(unit));
    else {
      bt_text_add(out, ": none past the threshold");
      add_earlier(unit, out);
    }
    if (changed == 0 && any_open(all))
      bt_text_format(out, "; a chart may signal all the same, see its page and “%s”",
                     report_drift_page_title(unit));
  }
}
