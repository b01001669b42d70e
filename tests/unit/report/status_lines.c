/* Lines of `status` beside its charts: days without a check, and where the reader of a screen finds
 * more. */
#include "made_drift.h"
#include "report_drift.h"

#include <criterion/criterion.h>
#include <stdlib.h>
#include <string.h>

/* What `status` prints, blanks and line breaks as one blank. Owned. */
static char *status_of(const bt_unit_study *unit) {
  bt_text screen = {0}, flat = {0};
  bt_error error;
  cr_assert_eq(bt_report_status(unit, false, &screen, &error), BT_OK);
  must_be_plain(bt_text_get(&screen));
  on_one_line(bt_text_get(&screen), &flat);
  bt_text_free(&screen);
  return bt_text_take(&flat);
}

static bt_time day(int after) {
  return report_drift_time(MADE_DRIFT_FROM + after);
}

Test(status_lines, gaps_with_their_days_the_newest_first) {
  bt_report_request request;
  bt_unit_study *unit = made_drift(false, &request);
  char *text = status_of(unit);
  cr_expect_null(strstr(text, "Gaps"), "%s", text);
  free(text);
  unit->gaps = fixture_filled(4, sizeof *unit->gaps);
  unit->gaps_n = 1;
  unit->gaps[0] = (bt_gap){.from = day(0), .to = day(8), .days = 9, .scheduled = 5};
  text = status_of(unit);
  must_say(text,
           "Gaps no check for 9 days, 27 May – 4 Jun 2026 (5 of them on the schedule) Self-test");
  free(text);
  unit->gaps_n = 4;
  for (int i = 1; i < 4; i++)
    unit->gaps[i] = (bt_gap){.from = day(30 * i), .to = day(30 * i + i), .days = i + 1};
  text = status_of(unit);
  must_say(text,
           "Gaps no check for 4 days, 25 Aug – 28 Aug 2026; for 3 days, 26 Jul – 28 Jul 2026; "
           "for 2 days, 26 Jun – 27 Jun 2026; and 1 more in that year Self-test");
  free(text);
  bt_unit_study_free(unit);
}

/* A screen has no pages: the command that tells more stands in their place. */
Test(status_lines, a_screen_names_the_command_and_no_page) {
  bt_report_request request;
  bt_unit_study *unit = made_drift(false, &request);
  bt_drift *drift = unit->drift->drift;
  drift->before = (bt_drift_before){
      .changed = true, .change = {.from = 20453, .to = 20552}, .moved = {.sign = -1}};
  drift->window.event = 0;
  drift->before.until = unit->history.events[0].time;
  char *text = status_of(unit);
  must_say(text,
           "none past the threshold now; changed earlier: Pulse-energy ratio until 9 Jan 2026 "
           "(gas refill): “beamtally drift --unit 'Suite North'”");
  cr_expect_null(strstr(text, "Gas and drift"), "%s", text);
  free(text);
  bt_unit_study_free(unit);
}
