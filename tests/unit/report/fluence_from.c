/* The page of a fluence says where its values come from. */
#include "fixture.h"
#include "said.h"

#include <criterion/criterion.h>
#include <string.h>

static void says(bt_fluence_from from, bt_beam beam, const char *words) {
  fixture_plan plan = fixture_usual();
  bt_report_request request;
  plan.characteristic = BT_FLUENCE;
  bt_unit_study *unit = fixture_make(&plan, &request);
  unit->settings.units_n = 1;
  unit->settings.units = fixture_filled(1, sizeof *unit->settings.units);
  unit->settings.units[0] =
      (bt_unit_setting){.name = bt_copy(unit->history.unit), .fluence = from, .beam = beam};
  bt_text said = said_of_one(unit, unit->studies[0], &request);
  said_is(&said, words);
  bt_text_free(&said);
  bt_unit_study_free(unit);
}

Test(fluence_from, as_logged_or_by_which_formula) {
  says(BT_FLUENCE_LOGGED, BT_BEAM_GAUSSIAN, "mJ/cm², as logged, ");
  says(BT_FLUENCE_ENERGY, BT_BEAM_GAUSSIAN, "mJ/cm², peak, 2E/A from energy and spot, ");
  says(BT_FLUENCE_ENERGY, BT_BEAM_FLAT_TOP, "mJ/cm², mean, E/A from energy and spot, ");
  says(BT_FLUENCE_PLATE, BT_BEAM_UNDECLARED, "mJ/cm², from the depth in the test plate, ");
}
