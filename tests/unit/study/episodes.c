/* Episodes and what people concluded of them: ids, overlap, restarts that a disposition asks for.
 */
#include "made_ledger.h"

#include <math.h>
#include <stdlib.h>

static bt_error error;

static const bt_study_request ask_x = {.characteristic = BT_TRACKER_X};

/* Noise, high by 5 on days 65..68 and by 3 from day 90 on. */
static void x_days(made_ledger *made) {
  uint64_t state = 53;
  made_begin(made);
  for (int day = 0; day < 110; day++)
    made_check(made, made_time(day, 8, 0), BT_READING_OFFSET_X_UM,
               made_normal(&state) + (day >= 65 && day < 69 ? 5
                                      : day >= 90           ? 3
                                                            : 0),
               BT_READING_COUNT, 0);
  made_event(made, made_time(80, 12, 0), BT_EVENT_SERVICE);
  made_finish(made);
}

static void dispose(made_ledger *made, const char *id, bool high, int from, int to, int entered,
                    bool restart, bt_time restart_at) {
  char key[] = "tracker_x", cause[] = "a loose mount", action[] = "tightened", by[] = "KL";
  bt_disposition disposition = {.characteristic = key,
                                .high = high,
                                .from = made_time(from, 8, 0),
                                .to = made_time(to, 8, 0),
                                .cause = cause,
                                .action = action,
                                .restart = restart,
                                .restart_at = restart_at,
                                .by = by};
  for (int i = 0; i < BT_ID_DIGITS; i++)
    disposition.episode[i] = id[i];
  cr_assert_eq(bt_ledger_add_disposition(made->ledger, "Unit A", &disposition,
                                         made_time(entered, 12, 0), &error),
               BT_OK, "%s", error.text);
}

/* The high episode that holds that point. */
static const bt_episode *episode_at(const bt_study *study, size_t point) {
  for (size_t e = 0; e < study->episodes_n; e++)
    if (study->episodes[e].side == BT_HIGH && study->episodes[e].first <= point &&
        study->episodes[e].last >= point)
      return &study->episodes[e];
  cr_assert_fail("no episode holds point %zu", point);
  return NULL;
}

Test(episodes, ids_are_of_the_first_signalling_point) {
  made_ledger made;
  x_days(&made);
  bt_unit_study *unit = made_study(&made, ask_x);
  const bt_study *study = unit->studies[0];
  cr_assert_gt(study->episodes_n, 1);
  for (size_t e = 0; e < study->episodes_n; e++) {
    const bt_episode *episode = &study->episodes[e];
    char id[BT_ID_DIGITS + 1];
    bt_status named = bt_episode_id("unit a", "tracker_x", study->points.at[episode->first],
                                    study->points.sequence[episode->first], id, &error);
    cr_assert_eq(named, BT_OK, "%s", error.text);
    cr_assert_str_eq(episode->id, id);
    cr_assert_eq(episode->disposition, BT_NONE);
  }
  bt_unit_study_free(unit);
  made_end(&made);
}

/* Two dispositions of one episode: the later counts. One of the other side, and one of days that
 * hold no episode, stand alone. */
Test(episodes, dispositions_belong_to_what_they_overlap) {
  made_ledger made;
  x_days(&made);
  bt_unit_study *unit = made_study(&made, ask_x);
  const bt_episode *early = episode_at(unit->studies[0], 66);
  char id[BT_ID_DIGITS + 1];
  for (int i = 0; i <= BT_ID_DIGITS; i++)
    id[i] = early->id[i];
  bt_unit_study_free(unit);
  dispose(&made, id, true, 66, 66, 70, false, 0);
  dispose(&made, id, true, 60, 65, 71, false, 0);
  dispose(&made, id, false, 66, 66, 72, false, 0);
  dispose(&made, id, true, 2, 3, 73, false, 0);
  unit = made_study(&made, ask_x);
  const bt_study *study = unit->studies[0];
  early = episode_at(study, 66);
  cr_assert_eq(study->dispositions_n, 4);
  cr_assert_str_eq(early->id, id);
  cr_assert_eq(early->disposition, early->first <= 65 ? 1 : 0);
  cr_assert(study->disposition_used[0]);
  cr_assert_not(study->disposition_used[2]);
  cr_assert_not(study->disposition_used[3]);
  cr_assert_str_eq(study->dispositions[0].cause, "a loose mount");
  cr_assert_eq(episode_at(study, 105)->disposition, BT_NONE);
  bt_unit_study_free(unit);

  bt_study_request before = ask_x; /* what was concluded later isn't known then */
  before.until = made_time(70, 0, 0);
  unit = made_study(&made, before);
  cr_assert_eq(unit->studies[0]->dispositions_n, 0);
  bt_unit_study_free(unit);
  made_end(&made);
}

/* Days 65 to 68 are high by the limits of two baselines, of which the later begins on day 67: they
 * are an episode of each, and what was concluded of both days belongs to both. */
Test(episodes, none_goes_on_over_the_border_of_two_baselines) {
  made_ledger made;
  x_days(&made);
  (void)made_freeze(&made, BT_TRACKER_X, 0, 59);
  (void)made_freeze(&made, BT_TRACKER_X, 67, 89);
  dispose(&made, "00000000", true, 66, 67, 95, false, 0);
  bt_unit_study *unit = made_study(&made, ask_x);
  const bt_study *study = unit->studies[0];
  cr_assert_eq(study->segments_n, 2);
  for (size_t p = 65; p < 69; p++)
    cr_assert_neq(study->rules[BT_HIGH][p], 0, "day %zu", p);
  const bt_episode *before = episode_at(study, 66), *after = episode_at(study, 67);
  cr_assert_eq(before->last, 66);
  cr_assert_eq(after->first, 67);
  cr_expect_eq(before->disposition, 0);
  cr_expect_eq(after->disposition, 0);
  bt_unit_study_free(unit);
  made_end(&made);
}

/* Typed in weeks later, the CUSUM begins anew at the first point after the episode's last one, or
 * the first one from the action on where the disposition says when that was; in order with the
 * events. */
Test(episodes, a_disposition_can_restart_the_cusum) {
  made_ledger made;
  x_days(&made);
  dispose(&made, "00000000", true, 65, 68, 109, true, 0);
  dispose(&made, "00000000", true, 65, 68, 109, true, made_time(70, 8, 0));
  dispose(&made, "00000000", true, 90, 95, 109, true, made_time(96, 8, 1));
  bt_unit_study *unit = made_study(&made, ask_x);
  const bt_study *study = unit->studies[0];
  static const size_t point[] = {69, 70, 81, 97};
  const bt_time at[] = {made_time(68, 8, 0), made_time(70, 8, 0), made_time(80, 12, 0),
                        made_time(96, 8, 1)};
  cr_assert_eq(study->cusum.restarts_n, 4);
  for (int r = 0; r < 4; r++) {
    const bt_restart *restart = &study->cusum.restarts[r];
    cr_expect_eq(restart->point, point[r]);
    cr_expect_eq(restart->resolved, r != 2);
    cr_expect_eq(restart->ended, r == 0);
    cr_expect_eq(restart->at, at[r]);
    double expected =
        fmax(0, study->cusum.headstart * study->cusum.h + study->z[point[r]] - study->cusum.k);
    cr_assert_float_eq(study->cusum.high[point[r]], expected, 1e-12);
  }
  cr_assert_eq(study->cusum.restarts[2].kind, BT_EVENT_SERVICE);
  bt_unit_study_free(unit);
  made_end(&made);
}

Test(episodes, corrections_of_the_unit_are_listed) {
  made_ledger made;
  x_days(&made);
  bt_check check;
  cr_assert_eq(
      bt_ledger_find_check(made.ledger, "Unit A", made_time(66, 8, 0), false, 0, &check, &error),
      BT_OK, "%s", error.text);
  bt_check replacement = check;
  replacement.reading[BT_READING_OFFSET_X_UM] = 0.25;
  cr_assert_eq(bt_ledger_correct_check(made.ledger, "Unit A", made_time(66, 8, 0), check.sequence,
                                       &replacement, "KL", "typed wrongly", made_time(200, 0, 0),
                                       &error),
               BT_OK, "%s", error.text);
  bt_check_free(&check);
  bt_unit_study *unit = made_study(&made, ask_x);
  cr_assert_eq(unit->corrections_n, 1);
  cr_assert_eq(unit->corrections[0].kind, BT_CORRECTED);
  cr_assert_str_eq(unit->corrections[0].why, "typed wrongly");
  cr_assert_eq(unit->studies[0]->points.n, 110);
  cr_assert_float_eq(unit->studies[0]->points.raw[66], 0.25, 0);
  bt_unit_study_free(unit);
  made_end(&made);
}

/* A reading that fails its tolerance low is no alarm of the notices on the high side around it. */
Test(episodes, strength_is_that_of_the_own_side) {
  made_ledger made;
  made_begin(&made);
  for (int day = 0; day < 40; day++) {
    double x = day % 3 - 1 + (day >= 20 ? 2 : 0);
    made_check(&made, made_time(day, 8, 0), BT_READING_OFFSET_X_UM, day == 30 ? -9 : x,
               BT_READING_COUNT, 0);
  }
  made_finish(&made);
  made_tolerance(&made, BT_TRACKER_X, -8, 8);
  (void)made_freeze(&made, BT_TRACKER_X, 0, 19);
  bt_unit_study *unit = made_study(&made, ask_x);
  const bt_study *study = unit->studies[0];
  size_t low = 0, high = 0;
  for (size_t e = 0; e < study->episodes_n; e++) {
    const bt_episode *episode = &study->episodes[e];
    bool holds = episode->first <= 30 && episode->last >= 30;
    low += holds && episode->side == BT_LOW && episode->strength == BT_ALARM;
    high += episode->side == BT_HIGH;
    cr_expect(episode->side == BT_LOW || episode->strength == BT_NOTICE, "high, points %zu to %zu",
              episode->first, episode->last);
  }
  cr_expect_eq(low, 1);
  cr_expect_gt(high, 0);
  bt_unit_study_free(unit);
  made_end(&made);
}
