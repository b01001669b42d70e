/* What the first page says of characteristics that do not drift, and of those that were not looked
 * at: under the table, beside what does. */
#include "report_drift.h"

static bool is_quiet(const bt_drift *drift) {
  return drift->use == BT_DRIFT_LOOKED_AT && !report_drift_is_told(drift);
}

/* "changed until 25 Oct 2025": the day of the event that ended a change, or before which what it
 * did not bring back had changed. */
static void changed_earlier(const bt_drift *drift, bt_text *out) {
  char date[REPORT_DATE_TEXT];
  bt_text_format(out, "changed %s %s", drift->before.went_on ? "before" : "until",
                 report_short_date(drift->before.until, date));
}

/* " (of these Fluence changed until 25 Oct 2025, 2 more earlier as well)". */
static void counted_changes(const bt_unit_study *unit, bt_text *out) {
  enum { MOST_CHANGES = 2 };
  const bt_unit_drift *all = unit->drift;
  size_t n = 0;
  for (size_t i = 0; i < all->n; i++) {
    if (!is_quiet(&all->drift[i]) || !report_drift_changed_earlier(&all->drift[i]) ||
        n++ >= MOST_CHANGES)
      continue;
    bt_text_format(out, "%s%s ", n == 1 ? " (of these " : ", ",
                   all->drift[i].study->quantity.title);
    changed_earlier(&all->drift[i], out);
  }
  if (n > MOST_CHANGES)
    bt_text_format(out, ", %zu more earlier as well", n - MOST_CHANGES);
  bt_text_add(out, n > 0 ? ")" : "");
}

/* "Tracker offset x (changed until 25 Oct 2025), Tracker offset y and Fluence" of those that are
 * quiet; a clinic may have many of its own, which are counted. */
static void quiet_names(const bt_unit_study *unit, size_t n, bool others, bt_text *out) {
  enum { MOST_NAMES = 7 };
  const bt_unit_drift *all = unit->drift;
  size_t named = 0;
  if (n > MOST_NAMES) {
    bt_text_format(out, "%s%zu characteristics looked at", others ? "the other " : "the ", n);
    if (others)
      counted_changes(unit, out);
    return;
  }
  for (size_t i = 0; i < all->n; i++)
    if (is_quiet(&all->drift[i])) {
      bt_text_add(out, report_list_join(named++, n));
      bt_text_add(out, all->drift[i].study->quantity.title);
      if (others && report_drift_changed_earlier(&all->drift[i])) {
        bt_text_add(out, " (");
        changed_earlier(&all->drift[i], out);
        bt_text_add(out, ")");
      }
    }
}

/* "Pulse-energy ratio and Fluence: as said above": what drifts is named before what does not. */
static void told_names(const bt_unit_drift *all, bt_text *out) {
  enum { MOST_NAMES = 4 };
  size_t n = 0, named = 0;
  for (size_t i = 0; i < all->n; i++)
    n += report_drift_is_told(&all->drift[i]);
  for (size_t i = 0; i < all->n && n <= MOST_NAMES; i++)
    if (report_drift_is_told(&all->drift[i])) {
      bt_text_add(out, report_list_join(named++, n));
      bt_text_add(out, all->drift[i].study->quantity.title);
    }
  if (n > MOST_NAMES)
    report_count(out, n, "characteristic", "characteristics");
  if (n > 0)
    bt_text_add(out, ": see above");
}

static bool has_study(const bt_unit_study *unit, bt_characteristic characteristic) {
  bool has = false;
  for (size_t i = 0; i < unit->studies_n; i++)
    has = has || unit->studies[i]->characteristic == characteristic;
  return has;
}

/* What is made of other readings has no drift of its own. */
static void derived_words(const bt_unit_study *unit, bt_text *out) {
  bool radius = has_study(unit, BT_TRACKER_RADIAL), vector = has_study(unit, BT_TRACKER_VECTOR);
  bool fluence = has_study(unit, BT_FLUENCE) && bt_unit_drift_of(unit->drift, BT_FLUENCE) == NULL;
  if (!radius && !vector && !fluence)
    return;
  bt_text_add(out, radius + vector + fluence > 1 ? "not by themselves: " : "not by itself: ");
  if (radius || vector)
    bt_text_format(out, "the tracker’s %s%s%s (made of x and y)", radius ? "radial offset" : "",
                   radius && vector ? " and " : "", vector ? "T²" : "");
  if (fluence)
    bt_text_format(out, "%sFluence (computed from the energy)", radius || vector ? ", " : "");
}

/* What was not looked at, and why; each after a semicolon where something stands before it. */
static void add_without(const bt_unit_study *unit, bt_text *out) {
  bt_text without = {0};
  report_drift_not_looked(unit->drift, &without);
  for (int pass = 0; pass < 2; pass++) {
    if (pass == 1)
      derived_words(unit, &without);
    if (!bt_text_empty(&without))
      bt_text_format(out, "%s%s", bt_text_empty(out) ? "" : "; ", bt_text_get(&without));
    out->failed |= without.failed;
    bt_text_clear(&without);
  }
  bt_text_free(&without);
}

static size_t quiet_of(const bt_unit_drift *all) {
  size_t quiet = 0;
  for (size_t i = 0; all != NULL && i < all->n; i++)
    quiet += is_quiet(&all->drift[i]);
  return quiet;
}

/* Names alone; the reasons stand on the page of drift. */
static void not_looked_names(const bt_unit_drift *all, bt_text *out) {
  enum { MOST_NAMES = 3 };
  size_t n = all->n - report_drift_looked(all), named = 0;
  if (n == 0)
    return;
  bt_text_add(out, bt_text_empty(out) ? "not looked at: " : "; not looked at: ");
  if (n > MOST_NAMES) {
    bt_text_format(out, "%zu others", n);
    return;
  }
  for (size_t i = 0; i < all->n; i++)
    if (all->drift[i].use != BT_DRIFT_LOOKED_AT)
      bt_text_format(out, "%s%s", named++ == 0 ? "" : ", ", all->drift[i].study->quantity.title);
}

void report_drift_quiet_brief(const bt_unit_study *unit, bt_text *out) {
  enum { MOST_NAMES = 3 };
  size_t quiet = quiet_of(unit->drift);
  if (unit->drift == NULL)
    return;
  if (quiet > MOST_NAMES) {
    bt_text_format(out, "no change past the threshold in %zu other characteristics", quiet);
    counted_changes(unit, out);
  } else if (quiet > 0) {
    bt_text_add(out, "no change past the threshold in ");
    quiet_names(unit, quiet, true, out);
  }
  not_looked_names(unit->drift, out);
}

void report_drift_quiet(const bt_unit_study *unit, bt_text *out) {
  size_t quiet = quiet_of(unit->drift);
  told_names(unit->drift, out);
  if (quiet > 0) {
    bt_text_format(out, "%sno change past the threshold in ", bt_text_empty(out) ? "" : "; ");
    quiet_names(unit, quiet, true, out);
  }
  add_without(unit, out);
}

void report_drift_looked_at(const bt_unit_study *unit, bt_text *out) {
  size_t quiet = quiet_of(unit->drift);
  if (quiet == 0)
    return;
  quiet_names(unit, quiet, false, out);
  add_without(unit, out);
}
