/* An alarm that ended as the CUSUM began anew is not told as if the readings had gone back. */
#include "fixture.h"
#include "report_case.h"
#include "report_episodes.h"
#include "said.h"

#include <criterion/criterion.h>
#include <stdlib.h>
#include <string.h>

/* The low side's CUSUM signals at ten points up to the 21st last; an event before the next one
 * begins it anew. Nothing else signals. */
static bt_unit_study *made(bool restarted, bool resolved, bt_report_request *request) {
  fixture_plan plan = fixture_usual();
  plan.drift = 0;
  bt_unit_study *unit = fixture_make(&plan, request);
  bt_study *of = unit->studies[0];
  size_t n = of->points.n;
  for (size_t p = 0; p < n; p++) {
    of->rules[BT_LOW][p] = of->rules[BT_HIGH][p] = 0;
    of->strength[p] = BT_QUIET;
  }
  for (size_t p = n - 20; p < n; p++) /* at the centre */
    of->z[p] = 0;
  of->cusum.low[n - 21] = of->cusum.h + 4;
  for (size_t p = n - 30; p < n - 20; p++) {
    of->rules[BT_LOW][p] = BT_CUSUM_SIGNAL | BT_ALARM_CUSUM;
    of->strength[p] = BT_ALARM;
  }
  of->cusum.excursions_n = 0;
  of->episodes_n = 1;
  of->episodes[0] = (bt_episode){.id = "0a1b2c3d",
                                 .disposition = BT_NONE,
                                 .side = BT_LOW,
                                 .strength = BT_ALARM,
                                 .first = n - 30,
                                 .last = n - 21,
                                 .signals = 10,
                                 .rules = BT_CUSUM_SIGNAL | BT_ALARM_CUSUM};
  of->restarted = BT_NONE;
  of->recent_n = 8;
  of->recent_shift = -0.001;
  of->verdict = BT_VERDICT_NO_SIGNAL;
  free(of->cusum.restarts);
  of->cusum.restarts = fixture_filled(1, sizeof *of->cusum.restarts);
  of->cusum.restarts_n = 1;
  of->cusum.restarts[0] = (bt_restart){.point = restarted ? n - 20 : n - 15,
                                       .at = of->points.at[restarted ? n - 20 : n - 15] - BT_HOUR,
                                       .kind = BT_EVENT_RECALIBRATION,
                                       .resolved = resolved};
  return unit;
}

Test(ended, by_a_restart_only_where_the_sum_was_past_its_limit_to_the_last_point) {
  bt_report_request request;
  bt_unit_study *unit = made(true, false, &request);
  bt_study *of = unit->studies[0];
  size_t n = of->points.n;
  bt_episode *episode = &of->episodes[0];
  cr_expect_eq(bt_study_ended_by(of, episode), of->cusum.restarts);
  of->cusum.restarts[0].point = n - 19; /* a point of the readings' own lies between */
  cr_expect_null(bt_study_ended_by(of, episode));
  of->judged[n - 20] = 0; /* unless no rule judges it */
  cr_expect_eq(bt_study_ended_by(of, episode), of->cusum.restarts);
  of->cusum.restarts[0].point = n - 25; /* one within the episode ended nothing */
  cr_expect_null(bt_study_ended_by(of, episode));
  of->cusum.restarts[0].point = n - 20;
  of->rules[BT_LOW][n - 21] = BT_WE1;
  cr_expect_null(bt_study_ended_by(of, episode));
  of->rules[BT_LOW][n - 21] = BT_CUSUM_SIGNAL;
  cr_expect_not_null(bt_study_ended_by(of, episode));
  episode->last = n - 1;
  of->rules[BT_LOW][n - 1] = BT_CUSUM_SIGNAL;
  cr_expect_null(bt_study_ended_by(of, episode), "it is open");
  bt_unit_study_free(unit);
}

Test(ended, by_readings_where_the_sum_had_fallen_below_its_limit_with_the_next_as_well) {
  bt_report_request request;
  bt_unit_study *unit = made(true, false, &request);
  bt_study *of = unit->studies[0];
  size_t n = of->points.n;
  bt_episode *episode = &of->episodes[0];
  of->cusum.low[n - 21] = of->cusum.h + of->cusum.k + 0.01;
  cr_expect_not_null(bt_study_ended_by(of, episode));
  of->z[n - 20] = 0.02;
  cr_expect_null(bt_study_ended_by(of, episode));
  of->z[n - 20] = -1;
  cr_expect_not_null(bt_study_ended_by(of, episode));
  of->z[n - 20] = 0;
  int32_t baseline = of->points.segment[n - 20];
  of->points.segment[n - 21] = baseline - 1; /* a new one begins where it ended */
  cr_expect_null(bt_study_ended_by(of, episode));
  of->points.segment[n - 21] = baseline;
  bt_unit_study_free(unit);
}

Test(ended, what_readings_ended_of_other_rules_is_not_said_of_the_restart) {
  bt_report_request request;
  bt_unit_study *unit = made(true, false, &request);
  const bt_study *of = unit->studies[0];
  const bt_episode *episode = &of->episodes[0];
  cr_expect_not(bt_study_ended_in_part(of, episode));
  of->rules[BT_LOW][episode->last] |= BT_WE1;
  cr_expect(bt_study_ended_in_part(of, episode));
  bt_text said = said_of(unit, &request);
  said_never(&said, "not by readings");
  said_is(&said, "(recalibration), of other rules by readings");
  bt_text_free(&said);
  bt_unit_study_free(unit);
}

Test(ended, pages_screen_and_steps_say_so) {
  for (int k = 0; k < 3; k++) {
    bt_report_request request;
    bt_unit_study *unit = made(k != 2, k == 1, &request);
    const bt_study *of = unit->studies[0];
    char date[REPORT_DATE_TEXT];
    bt_text said = said_of(unit, &request), whole = {0}, brief = {0};
    (void)report_short_date(of->cusum.restarts[0].at, date);
    bt_text_format(&brief, "ended by the CUSUM’s restart of %s", date);
    bt_text_format(&whole, "%s (%s), not by readings", bt_text_get(&brief),
                   k == 1 ? "asked for with a disposition" : "recalibration");
    bt_text_add(&brief, ", not by readings");
    if (k == 2)
      said_never(&said, "not by readings");
    else {
      bt_text line = {0};
      said_is(&said, bt_text_get(&brief)); /* in the list of episodes */
      bt_text_format(&line,
                     "The newest signals on the low side %s. The last 8 points lie on average ",
                     bt_text_get(&whole));
      said_is(&said, bt_text_get(&line));
      bt_text_clear(&line);
      bt_text_format(&line, "; its last low alarm %s", bt_text_get(&whole));
      said_is(&said, bt_text_get(&line));
      bt_text_clear(&line);
      bt_text_format(&line, "10 alarm points; %s): “beamtally resolve 0a1b2c3d",
                     bt_text_get(&whole));
      said_is(&said, bt_text_get(&line));
      bt_text_free(&line);
    }
    bt_text_free(&whole);
    bt_text_free(&brief);
    bt_text_free(&said);
    bt_unit_study_free(unit);
  }
}
