/* Episodes: edges by hand and a plain search. */
#include "beamtally/spc.h"
#include "shapes.h"

#include <criterion/criterion.h>
#include <stdlib.h>

enum { MOST = 64 };

/* A point a letter: . not judged, - quiet, h a signal high, l low, b on both sides; capitals are
 * alarms; x a signal high at a point that isn't judged; | before a point: it has another baseline
 * than the one before. */
static size_t find(const char *points, bt_episode **episodes) {
  uint8_t judged[MOST] = {0}, strength[MOST] = {0};
  bt_rules high[MOST] = {0}, low[MOST] = {0};
  int32_t segment[MOST] = {0}, borders = -1;
  size_t n = 0, found = 0;
  for (; *points != '\0'; points++) {
    cr_assert_lt(n, MOST);
    char c = *points;
    if (c == '|') {
      borders++;
      continue;
    }
    segment[n] = borders;
    judged[n] = c != '.' && c != 'x';
    high[n] = c == 'h' || c == 'x' || c == 'b' || c == 'H' ? BT_WE1 : 0;
    low[n] = c == 'l' || c == 'b' || c == 'L' ? BT_WE2 : 0;
    strength[n] = c == 'H' || c == 'L' ? BT_ALARM : high[n] | low[n] ? BT_NOTICE : BT_QUIET;
    n++;
  }
  bt_rules *const rules[BT_SIDES] = {[BT_LOW] = low, [BT_HIGH] = high};
  bt_error error;
  cr_assert_eq(bt_episodes_find(segment, judged, rules, strength, n, episodes, &found, &error),
               BT_OK);
  return found;
}

Test(episodes, no_points_and_no_signals_give_none) {
  bt_episode *episodes = NULL;
  cr_expect_eq(find("", &episodes), 0);
  free(episodes);
  cr_expect_eq(find("--..--", &episodes), 0);
  free(episodes);
}

Test(episodes, E2_seven_quiet_points_join_and_eight_divide) {
  bt_episode *episodes = NULL;
  cr_assert_eq(find("-h-------h-", &episodes), 1);
  cr_expect_eq(episodes[0].first, 1);
  cr_expect_eq(episodes[0].last, 9);
  cr_expect_eq(episodes[0].signals, 2);
  free(episodes);
  cr_assert_eq(find("h--------h", &episodes), 2);
  cr_expect_eq(episodes[0].last, 0);
  cr_expect_eq(episodes[1].first, 9);
  free(episodes);
}

Test(episodes, E1_a_signal_at_a_point_not_judged_counts) {
  bt_episode *episodes = NULL;
  cr_assert_eq(find("..x..", &episodes), 1);
  cr_expect(episodes[0].first == 2 && episodes[0].signals == 1);
  free(episodes);
  cr_expect_eq(find("h---x----h", &episodes), 1);
  free(episodes);
}

Test(episodes, E2_points_not_judged_do_not_divide) {
  bt_episode *episodes = NULL;
  cr_expect_eq(find("h----....---h", &episodes), 1);
  free(episodes);
  cr_expect_eq(find("h----....----h", &episodes), 2);
  free(episodes);
}

Test(episodes, E3_E4_E5_sides_strengths_and_order) {
  bt_episode *episodes = NULL;
  cr_assert_eq(find("-l-bL--h---------h", &episodes), 3);
  cr_expect(episodes[0].side == BT_LOW && episodes[0].first == 1 && episodes[0].last == 4);
  cr_expect(episodes[0].signals == 3 && episodes[0].strength == BT_ALARM);
  cr_expect_eq(episodes[0].rules, BT_WE2);
  cr_expect(episodes[1].side == BT_HIGH && episodes[1].first == 3 && episodes[1].last == 7);
  cr_expect(episodes[1].signals == 2 && episodes[1].strength == BT_NOTICE);
  cr_expect_eq(episodes[1].rules, BT_WE1);
  cr_expect(episodes[2].side == BT_HIGH && episodes[2].first == 17);
  free(episodes);
}

Test(episodes, E6_a_border_of_baselines_divides_both_sides) {
  bt_episode *episodes = NULL;
  cr_assert_eq(find("hb|bh-l-|--h|l", &episodes), 6);
  cr_expect(episodes[0].side == BT_HIGH && episodes[0].first == 0 && episodes[0].last == 1);
  cr_expect(episodes[1].side == BT_LOW && episodes[1].first == 1 && episodes[1].last == 1);
  cr_expect(episodes[2].side == BT_LOW && episodes[2].first == 2 && episodes[2].last == 5);
  cr_expect(episodes[3].side == BT_HIGH && episodes[3].first == 2 && episodes[3].last == 3);
  cr_expect(episodes[4].side == BT_HIGH && episodes[4].first == 9 && episodes[4].last == 9);
  cr_expect(episodes[5].side == BT_LOW && episodes[5].first == 10);
  free(episodes);
}

/* Every signal belongs to the episode of the last signal of its side before it, when fewer than 8
 * quiet points lie between. */
static void expect_side(const uint8_t *judged, const bt_rules *rules, size_t n, bt_side side,
                        const bt_episode *episodes, size_t episodes_n) {
  size_t e = 0, before = BT_NONE;
  for (size_t i = 0; i < n; i++) {
    if (rules[i] == 0)
      continue;
    size_t quiet = 0;
    for (size_t j = before == BT_NONE ? i : before + 1; j < i; j++)
      quiet += judged[j] != 0;
    bool first = before == BT_NONE || quiet >= 8;
    if (first && before != BT_NONE)
      e++;
    while (e < episodes_n && episodes[e].side != side)
      e++;
    cr_assert_lt(e, episodes_n);
    cr_expect(!first || episodes[e].first == i);
    cr_expect(episodes[e].first <= i && i <= episodes[e].last);
    before = i;
  }
  for (e++; before != BT_NONE && e < episodes_n; e++)
    cr_expect_neq(episodes[e].side, side);
}

Test(episodes, plain_search_agrees_over_all_shapes) {
  static shape at;
  size_t total = 0;
  for (size_t s = 0; shape_make(s, &at); s++) {
    uint8_t strength[SHAPE_MOST] = {0};
    bt_rules high[SHAPE_MOST] = {0}, low[SHAPE_MOST] = {0};
    for (size_t i = 0; i < at.n; i++) {
      high[i] = at.value[i] > 1.9;
      low[i] = at.value[i] < -1.9;
    }
    bt_rules *const rules[BT_SIDES] = {[BT_LOW] = low, [BT_HIGH] = high};
    bt_episode *episodes = NULL;
    size_t n = 0;
    bt_error error;
    cr_assert_eq(bt_episodes_find(NULL, at.use, rules, strength, at.n, &episodes, &n, &error),
                 BT_OK);
    expect_side(at.use, low, at.n, BT_LOW, episodes, n);
    expect_side(at.use, high, at.n, BT_HIGH, episodes, n);
    for (size_t e = 1; e < n; e++)
      cr_expect_geq(episodes[e].first, episodes[e - 1].first);
    total += n;
    free(episodes);
  }
  cr_expect_gt(total, 100);
}
