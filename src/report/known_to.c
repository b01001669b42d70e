/* Up to when a page or screen knows what came. */
#include "report_sentences.h"

/* Checks of later than the page are stored: the log has not ended, and the page is of a past that
 * others tell on. Else the ledger was open to them until it was last written to. */
bt_time report_known_to(const bt_unit_study *unit) {
  bt_time read_on = unit->drift != NULL ? unit->drift->read_on : 0;
  bool goes_on = unit->provenance.checks > (int64_t)unit->history.n;
  return read_on > unit->until && !goes_on ? read_on : unit->until;
}

bool report_is_measured(const bt_unit_study *unit) {
  return unit->has_check && bt_day_of(unit->last_check) >= bt_day_of(report_known_to(unit) - 1);
}
