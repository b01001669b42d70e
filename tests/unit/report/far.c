/* What is said of readings that stand alone, far from those around them. */
#include "made_drift.h"
#include "report_next.h"

#include <criterion/criterion.h>
#include <stdlib.h>
#include <string.h>

static bt_report_request request;

/* The newest n points but the last one stand alone; freed with the unit. */
static const bt_drift *with_far(bt_unit_study *unit, size_t n) {
  bt_drift *drift = unit->drift->drift;
  drift->far = fixture_filled(n, sizeof *drift->far);
  drift->far_n = n;
  for (size_t i = 0; i < n; i++)
    drift->far[i] = drift->study->points.n - 1 - n + i;
  return drift;
}

Test(far, drift_names_each_up_to_three) {
  static const char *const said[] = {"Left out: 1 reading that stands alone, far from",
                                     "Left out: 2 readings that stand alone, far from",
                                     "Left out: 3 readings that stand alone, far from",
                                     "Left out: 4 readings that stand alone, far from"};
  for (size_t n = 1; n <= 4; n++) {
    bt_unit_study *unit = made_drift(true, &request);
    (void)with_far(unit, n);
    char *printed = made_drift_printed(unit, true);
    must_say(printed, said[n - 1]);
    must_say(printed, "Look the readings that were left out up in the log");
    cr_expect_eq(strstr(printed, "; 1 before)") != NULL, n == 4, "%s", printed);
    free(printed);
    bt_unit_study_free(unit);
  }
}

Test(far, the_newest_is_asked_for_until_somebody_concludes) {
  bt_unit_study *unit = made_drift(true, &request);
  bt_text step = {0};
  report_far_step(unit, 0, &step);
  cr_expect(bt_text_empty(&step));
  const bt_drift *drift = with_far(unit, 2);
  bt_time newest = drift->study->points.at[drift->far[1]];
  char iso[BT_TIME_TEXT];
  report_far_step(unit, 0, &step);
  must_say(bt_text_get(&step), "Technician: look the reading of ");
  must_say(bt_text_get(&step), bt_time_iso(newest, true, iso));
  must_say(bt_text_get(&step), "1 other is like it: “beamtally drift”.");
  bt_text_clear(&step);
  report_far_step(unit, newest, &step);
  cr_expect_null(strstr(bt_text_get(&step), "other"), "%s", bt_text_get(&step));
  bt_text_clear(&step);
  report_far_step(unit, newest + 1, &step);
  cr_expect(bt_text_empty(&step), "%s", bt_text_get(&step));
  bt_text_free(&step);
  bt_unit_study_free(unit);
}

/* Those before the window are no part of what was left out of it, but asked for all the same. */
Test(far, before_the_window_is_not_left_out_of_it) {
  bt_unit_study *unit = made_drift(true, &request);
  bt_text step = {0};
  (void)with_far(unit, 3);
  unit->drift->drift->far_before = 2;
  char *printed = made_drift_printed(unit, true);
  must_say(printed, "Left out: 1 reading that stands alone, far from");
  free(printed);
  unit->drift->drift->far_before = 3;
  printed = made_drift_printed(unit, true);
  cr_expect_null(strstr(printed, "Left out:"), "%s", printed);
  cr_expect_null(strstr(printed, "Look the readings that were left out"), "%s", printed);
  free(printed);
  report_far_step(unit, 0, &step);
  must_say(bt_text_get(&step), "2 others are like it");
  bt_text_free(&step);
  bt_unit_study_free(unit);
}
