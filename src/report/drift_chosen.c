/* Which drift the page "Gas and drift" is of, which one answers for the gas, and what the page is
 * called. */
#include "report_drift.h"

const bt_drift *report_drift_of_gas(const bt_unit_study *unit) {
  const bt_unit_drift *all = unit->drift;
  const bt_drift *best = NULL;
  int best_rank = 0;
  for (size_t i = 0; all != NULL && i < all->n; i++) {
    const bt_drift *drift = &all->drift[i];
    int rank = 1;
    if (drift->use != BT_DRIFT_LOOKED_AT || drift->loss == 0)
      continue;
    rank += bt_study_open_strength(drift->study) != BT_QUIET ? 1 : 0;
    rank += report_drift_is_changed(drift) ? 2 : 0;
    rank += report_drift_evidence(drift, BT_CAUSE_NOT_RESTORED_BY_REFILL) != 0 ? 4 : 0;
    rank += report_drift_evidence(drift, BT_CAUSE_GAS_AGEING) != 0 ? 8 : 0;
    if (rank > best_rank) {
      best = drift;
      best_rank = rank;
    }
  }
  return best;
}

/* What the page is of, the first in the order of page 1; NULL: nothing was looked at. */
const bt_drift *report_drift_chosen(const bt_unit_study *unit) {
  const bt_drift *first = NULL, *changed = NULL, *named = NULL;
  for (const bt_drift *drift = report_drift_after(unit, NULL); drift != NULL;
       drift = report_drift_after(unit, drift)) {
    if (drift->use != BT_DRIFT_LOOKED_AT)
      continue;
    first = first == NULL ? drift : first;
    if (report_drift_is_changed(drift) && changed == NULL)
      changed = drift;
    if (drift->causes_n > 0 && named == NULL)
      named = drift;
  }
  return named != NULL ? named : changed != NULL ? changed : first;
}

const bt_drift *report_drift_asked_for_gas(const bt_unit_study *unit) {
  const bt_drift *drift = report_drift_chosen(unit);
  return drift == NULL || drift->loss != 0 ? drift : report_drift_of_gas(unit);
}

/* Of a laser whose gas nothing looked at speaks of, it is of time alone. */
bool report_drift_asks_for_gas(const bt_unit_study *unit) {
  const bt_drift *drift = report_drift_chosen(unit);
  return report_drift_of_gas(unit) != NULL || (drift != NULL && report_drift_by_fills(drift));
}

const char *report_drift_page_title(const bt_unit_study *unit) {
  return report_drift_asks_for_gas(unit) ? "Gas and drift" : "Drift";
}

const char *report_drift_page_link(const bt_unit_study *unit) {
  return report_drift_chosen(unit) == NULL ? NULL
         : report_drift_asks_for_gas(unit) ? "Gas and drift "
                                           : "Drift ";
}
