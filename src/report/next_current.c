/* What to do next where the newest check is of long ago: of the day that the page is of; or, on the
 * page of a past month, of the day on which the ledger was last written to, where the log ended
 * before that as well. */
#include "report_next.h"

/* The last moment by which a check was expected and none is stored; 0: there is no such. */
static bt_time missing_on(const bt_unit_study *unit) {
  bt_time known_to = report_known_to(unit);
  if (!unit->current)
    return unit->until - 1;
  bool missing = (double)(bt_day_of(known_to) - bt_day_of(unit->last_check)) > unit->expected_days;
  return known_to > unit->until && missing ? known_to : 0;
}

void report_check_ago(const bt_unit_study *unit, bool brief, bt_text *out) {
  char end[REPORT_DATE_TEXT];
  bt_time on = unit->has_check ? missing_on(unit) : 0;
  if (on == 0)
    return;
  bt_text_add(out, ", ");
  report_count(out, (uint64_t)(bt_day_of(on) - bt_day_of(unit->last_check)), "day", "days");
  if (brief && unit->current)
    bt_text_add(out, " before the ledger’s last entry");
  else
    bt_text_format(out, " before %s%s", unit->current ? "the ledger’s last entry, of " : "",
                   report_short_date(on, end));
}

void report_current_step(const bt_unit_study *unit, bool brief, bt_text *out) {
  char date[REPORT_DATE_TEXT];
  if (!unit->has_check) {
    bt_text_add(out, "Technician: no check is stored for this laser up to then: import its log of "
                     "checks with “beamtally import”.");
    return;
  }
  if (missing_on(unit) == 0 || report_asks_to_measure(unit))
    return;
  bt_text_format(out, "Technician, before %s: the last check is of %s",
                 brief ? "surgery" : "the next surgery day",
                 report_short_date(unit->last_check, date));
  report_check_ago(unit, false, out);
  bt_text_add(out, ": import the newer log");
  bt_text_add(out, brief ? ", or find out why there is none."
                         : " with “beamtally import”, or find out why no check was made.");
}
