/* What the log cannot tell from a fault of the meter asks for a second meter. */
#include "made_drift.h"
#include "report_next.h"

#include <criterion/criterion.h>

static void says(bool changed, bt_cause_kind kind, bool brief, const char *words) {
  bt_report_request request;
  bt_unit_study *unit = made_drift(changed, &request);
  bt_text said = {0};
  if (unit->drift->drift[0].causes_n > 0)
    unit->drift->drift[0].causes[0].kind = kind;
  report_second_meter_step(unit, brief, &said);
  cr_expect_str_eq(bt_text_get(&said), words, "%s", bt_text_get(&said));
  bt_text_free(&said);
  bt_unit_study_free(unit);
}

Test(next_meter, a_second_one_reads_what_no_refill_brings_back) {
  says(true, BT_CAUSE_NOT_RESTORED_BY_REFILL, false,
       "Technician: if a second meter can be had, let it read the laser beside the usual one: the "
       "log cannot tell whether Pulse-energy ratio changed in the laser or in the meter.");
  says(true, BT_CAUSE_NOT_RESTORED_BY_REFILL, true,
       "Technician: it may be the meter: have a second one, if any, read the laser.");
  says(true, BT_CAUSE_GAS_AGEING, false, "");
  says(false, BT_CAUSE_NOT_RESTORED_BY_REFILL, false, "");
}
