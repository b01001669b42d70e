/* What became of the look for drift where no line of a characteristic says so: for the first page,
 * which refers to other pages, and for a screen, which has none and names the command. */
#include "report_drift.h"

static bool any_open(const bt_unit_drift *all) {
  bool any = false;
  for (size_t i = 0; i < all->n; i++)
    any = any || (all->drift[i].use == BT_DRIFT_LOOKED_AT &&
                  bt_study_open_strength(all->drift[i].study) != BT_QUIET);
  return any;
}

/* Changes that an event ended are none of today's, but they are not nothing: which, and until when;
 * those that end with the same event together. How many such events. */
static size_t add_earlier(const bt_unit_study *unit, bt_text *out) {
  const bt_unit_drift *all = unit->drift;
  char date[REPORT_DATE_TEXT];
  size_t told = 0;
  for (size_t i = 0; i < all->n; i++) {
    const bt_drift *drift = &all->drift[i];
    bool again = false;
    for (size_t k = 0; k < i; k++)
      again = again || (report_drift_changed_earlier(&all->drift[k]) &&
                        all->drift[k].before.event == drift->before.event);
    if (!report_drift_changed_earlier(drift) || again)
      continue;
    bt_text_add(out, told++ == 0 ? " now; changed earlier: " : "; ");
    for (size_t k = i; k < all->n; k++)
      if (report_drift_changed_earlier(&all->drift[k]) &&
          all->drift[k].before.event == drift->before.event)
        bt_text_format(out, "%s%s", k == i ? "" : ", ", all->drift[k].study->quantity.title);
    const bt_event *event = &unit->history.events[drift->before.event];
    bt_text_format(out, " until %s (%s)", report_short_date(event->time, date),
                   bt_event_words(event->kind));
  }
  return told;
}

static void add_command(const bt_unit_study *unit, bt_text *out) {
  bt_text_add(out, "“beamtally drift --unit ");
  bt_text_add_shell_word(out, unit->history.unit);
  bt_text_add(out, "”");
}

static void looked(const bt_unit_study *unit, bool page, size_t looked_at, bt_text *out) {
  const bt_unit_drift *all = unit->drift;
  const char *title = report_drift_page_title(unit);
  size_t changed = 0, earlier = 0;
  const bt_drift *first = NULL;
  for (size_t i = 0; i < all->n; i++)
    if (report_drift_is_changed(&all->drift[i]) && changed++ == 0)
      first = &all->drift[i];
  bt_text_add(out, "looked for in ");
  report_count(out, looked_at, "characteristic", "characteristics");
  if (changed == 1) {
    bt_text_add(out, "; ");
    if (page)
      report_drift_short_about(unit, first, out);
    else
      report_drift_short(unit, first, out);
    bt_text_add(out, "; no cause is named");
  } else if (changed > 1)
    bt_text_format(out, ": past the threshold in %zu, with no cause named", changed);
  else {
    bt_text_add(out, ": none past the threshold");
    earlier = add_earlier(unit, out);
  }
  bool open = changed == 0 && any_open(all);
  if (page && (changed > 1 || earlier > 0))
    bt_text_format(out, "%s see “%s”", changed > 1 ? ";" : ",", title);
  if (open)
    bt_text_add(out, "; a chart may signal all the same");
  if (page && open)
    bt_text_format(out, ", see its page and “%s”", title);
  if (page || (changed < 2 && earlier == 0 && !open))
    return;
  bt_text_add(out, ": ");
  add_command(unit, out);
}

void report_drift_none(const bt_unit_study *unit, bool page, bt_text *out) {
  size_t n = report_drift_looked(unit->drift);
  if (unit->drift == NULL) {
    bt_text_add(out, "not looked for here, as no chart signals; ");
    add_command(unit, out);
    bt_text_add(out, " does");
  } else if (n == 0)
    report_drift_not_looked(unit->drift, out);
  else
    looked(unit, page, n, out);
}
