/* Newest checks that their gas sets aside ask for the refill that nobody noted. */
#include "fixture.h"
#include "report_next.h"

#include <criterion/criterion.h>

static void says(bool adjusted, size_t aside, uint16_t flag, bool brief, const char *words) {
  fixture_plan plan = fixture_usual();
  bt_report_request request;
  plan.adjusted = adjusted;
  bt_unit_study *unit = fixture_make(&plan, &request);
  bt_study *of = unit->studies[0];
  bt_text said = {0};
  for (size_t i = 0; i < of->points.n; i++)
    of->points.flags[i] &= (uint16_t) ~(BT_POINT_TOO_OLD | BT_POINT_UNKNOWN_AGE);
  for (size_t i = 0; i < aside; i++)
    of->points.flags[of->points.n - 1 - i] |= flag;
  of->points.fill_age_days[of->points.n - 1] = 13.96;
  report_gas_age_step(unit, brief, &said);
  cr_expect_str_eq(bt_text_get(&said), words, "%s", bt_text_get(&said));
  bt_text_free(&said);
  bt_unit_study_free(unit);
}

Test(next_gas_age, asks_for_a_refill) {
  says(
      true, 1, BT_POINT_TOO_OLD, false,
      "Technician: the check of 27 Sep 2026 is judged by tolerance alone, because its gas is older "
      "than the limits know (14.0 days): was the gas changed? Then note the refill, “beamtally "
      "event --unit 'Suite North' --at WHEN --by NAME gas_refill”.");
  says(true, 3, BT_POINT_UNKNOWN_AGE, true,
       "Technician: the checks of the last 3 days with one are judged by tolerance alone, because "
       "their refill is not known: was the gas changed? Then note the refill.");
  says(true, 0, BT_POINT_TOO_OLD, false, "");
  says(false, 2, BT_POINT_TOO_OLD, false, "");
}
