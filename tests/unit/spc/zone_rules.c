/* Zone rules: a hand-written table of patterns, a plain loop, and properties. */
#include "beamtally/spc.h"
#include "shapes.h"

#include <criterion/criterion.h>
#include <string.h>

enum { PATTERN_MOST = 40 };

/* A point a letter. Upper side: c within 1 sigma, b beyond 1, a beyond 2, x beyond 3; capitals the
 * same on the lower side; 0 on the centre; 1 2 3 exactly on the line above; ! @ # exactly on the
 * line below; . not judged. Expected marks: a hexadecimal digit a point, the sum of the rules that
 * it completes (1 WE1, 2 WE2, 4 WE3, 8 WE4), - for none. */
static double distance_of(char letter) {
  static const char letters[] = "cbaxCBAX0123!@#.";
  static const double distance[] = {0.5, 1.5, 2.5, 3.5, -0.5, -1.5, -2.5, -3.5,
                                    0,   1,   2,   3,   -1,   -2,   -3,   99};
  const char *at = strchr(letters, letter);
  cr_assert(at != NULL && letter != '\0');
  return distance[at - letters];
}

static char mark_of(bt_rules rules) {
  return rules == 0 ? '-' : "0123456789ABCDEF"[rules];
}

static void expect_pattern(const char *rule, const char *points, const char *high,
                           const char *low) {
  size_t n = strlen(points);
  cr_assert(n < PATTERN_MOST && strlen(high) == n && strlen(low) == n, "%s", rule);
  double z[PATTERN_MOST];
  uint8_t judged[PATTERN_MOST];
  bt_rules above[PATTERN_MOST], below[PATTERN_MOST];
  char got_high[PATTERN_MOST] = "", got_low[PATTERN_MOST] = "";
  for (size_t i = 0; i < n; i++) {
    z[i] = distance_of(points[i]);
    judged[i] = points[i] != '.';
  }
  bt_zone_rules(z, judged, n, above, below);
  for (size_t i = 0; i < n; i++) {
    got_high[i] = mark_of(above[i]);
    got_low[i] = mark_of(below[i]);
  }
  cr_expect_str_eq(got_high, high, "%s, high side of %s: %s, not %s", rule, points, got_high, high);
  cr_expect_str_eq(got_low, low, "%s, low side of %s: %s, not %s", rule, points, got_low, low);
}

Test(zone_rules, Z1_WE1_one_point_beyond_three_sigma) {
  expect_pattern("Z1", "0x0", "-1-", "---");
  expect_pattern("Z1", "0X0", "---", "-1-");
  expect_pattern("Z1 again", "x0Cx", "1--1", "----");
}

Test(zone_rules, Z2_WE2_two_of_three_beyond_two_sigma) {
  expect_pattern("Z2 neighbours", "C0aa", "---2", "----");
  expect_pattern("Z2 one between", "C0a0a", "----2", "-----");
  expect_pattern("Z2 two between", "Ca00a", "-----", "-----");
  expect_pattern("Z2 low", "cAA", "---", "--2");
  expect_pattern("Z2 low, one between", "cAcA", "----", "---2");
}

Test(zone_rules, Z3_WE3_four_of_five_beyond_one_sigma) {
  expect_pattern("Z3 in a row", "0bbbb", "----4", "-----");
  expect_pattern("Z3 one between", "0bbcbb", "-----4", "------");
  expect_pattern("Z3 first one after a gap", "0bcbbb", "-----4", "------");
  expect_pattern("Z3 two between", "0bb00bb", "-------", "-------");
  expect_pattern("Z3 low", "cBBBB", "-----", "----4");
}

Test(zone_rules, Z4_WE4_eight_in_a_row_on_one_side) {
  expect_pattern("Z4", "Ccccccccc", "--------8", "---------");
  expect_pattern("Z4 seven", "CcccccccC", "---------", "---------");
  expect_pattern("Z4 low", "cCCCCCCCC", "---------", "--------8");
}

Test(zone_rules, Z5_sides_never_combine) {
  expect_pattern("Z5 WE2", "0aA0", "----", "----");
  expect_pattern("Z5 WE3, the other side counts as a miss", "0bbBbb", "-----4", "------");
  expect_pattern("Z5 WE3, never four", "0bBbBbB", "-------", "-------");
  expect_pattern("Z5 both sides, each its own", "0aAaA", "---2-", "----2");
}

Test(zone_rules, Z6_the_completing_point_lies_in_the_zone) {
  expect_pattern("Z6 WE2", "0aa0", "--2-", "----");
  expect_pattern("Z6 WE2, dated once", "0aacC", "--2--", "-----");
  expect_pattern("Z6 WE3", "0bbbbc", "----4-", "------");
  expect_pattern("Z6 WE3, four of five but the last inside", "0bbbbcb", "----4-4", "-------");
}

Test(zone_rules, Z7_zones_are_cumulative) {
  expect_pattern("Z7 WE1 and WE2", "0xa", "-12", "---");
  expect_pattern("Z7 both beyond three", "0xx", "-13", "---");
  expect_pattern("Z7 WE3 of all zones", "0bxba", "--1-6", "-----");
}

Test(zone_rules, Z8_every_completing_point_is_marked) {
  expect_pattern("Z8 ten in a row", "Ccccccccccc", "--------888", "-----------");
  expect_pattern("Z8 WE2 goes on", "0aaaaa", "--2266", "------");
  expect_pattern("Z8 after the first signal", "0aa0a00aa", "--2-2---2", "---------");
  expect_pattern("Z8 all together", "0xxxxxxxxx", "-1337777FF", "----------");
}

Test(zone_rules, Z9_short_windows_at_the_start_count) {
  expect_pattern("Z9 two of two", "aa", "-2", "--");
  expect_pattern("Z9 four of four", "bbbb", "---4", "----");
  expect_pattern("Z9 seven of seven don't", "ccccccc", "-------", "-------");
  expect_pattern("Z9 low", "AA", "--", "-2");
}

Test(zone_rules, Z10_on_the_line_is_not_beyond) {
  expect_pattern("Z10 three", "0300", "----", "----");
  expect_pattern("Z10 three is beyond two", "0303", "---2", "----");
  expect_pattern("Z10 two", "022a", "----", "----");
  expect_pattern("Z10 two is beyond one", "0222a", "----4", "-----");
  expect_pattern("Z10 one", "0bbb1b", "-----4", "------");
  expect_pattern("Z10 centre", "cccc0cccc", "---------", "---------");
  expect_pattern("Z10 low lines", "C#@@!!!!", "--------", "-------8");
}

/* As many points as the rule needs, at its line and 9e-10 or 1.1e-9 sigma beyond it. */
Test(zone_rules, Z10_the_lines_are_1e_9_sigma_wide) {
  static const struct {
    double line;
    size_t n;
    bt_rules rule;
  } needs[] = {{3, 1, BT_WE1}, {2, 2, BT_WE2}, {1, 4, BT_WE3}, {0, 8, BT_WE4}};
  static const uint8_t judged[] = {1, 1, 1, 1, 1, 1, 1, 1};
  for (size_t r = 0; r < 4; r++)
    for (int beyond = 0; beyond <= 1; beyond++) {
      double z[8], mirrored[8];
      bt_rules high[8], low[8];
      for (size_t i = 0; i < 8; i++) {
        z[i] = needs[r].line + (beyond ? 1.1e-9 : 9e-10);
        mirrored[i] = -z[i];
      }
      size_t last = needs[r].n - 1;
      bt_zone_rules(z, judged, needs[r].n, high, low);
      cr_expect_eq((high[last] & needs[r].rule) != 0, beyond, "line %g", needs[r].line);
      bt_zone_rules(mirrored, judged, needs[r].n, high, low);
      cr_expect_eq((low[last] & needs[r].rule) != 0, beyond, "line %g", -needs[r].line);
    }
}

Test(zone_rules, Z11_points_not_judged_are_stepped_over) {
  expect_pattern("Z11 WE2 across", "0a...a", "-----2", "------");
  expect_pattern("Z11 WE3 across", "0b.b.b.b", "-------4", "--------");
  expect_pattern("Z11 WE4 across", "Ccccc..cccc", "----------8", "-----------");
  expect_pattern("Z11 none judged", "...", "---", "---");
  expect_pattern("Z11 empty", "", "", "");
}

/* Judged points up to and with i, newest first, that are beyond the line; of at most m. */
static int beyond_of_last(const double *distance, const uint8_t *judged, size_t i, int m,
                          double line) {
  int seen = 0, beyond = 0;
  for (size_t j = i + 1; j > 0 && seen < m; j--) {
    if (judged[j - 1] == 0)
      continue;
    seen++;
    beyond += distance[j - 1] > line + 1e-9;
  }
  return beyond;
}

/* The rules as they read in words, one point at a time. */
static bt_rules plain_rules(const double *distance, const uint8_t *judged, size_t i) {
  int rules = 0;
  if (judged[i] == 0)
    return 0;
  if (distance[i] > 3 + 1e-9)
    rules |= BT_WE1;
  if (distance[i] > 2 + 1e-9 && beyond_of_last(distance, judged, i, 3, 2) >= 2)
    rules |= BT_WE2;
  if (distance[i] > 1 + 1e-9 && beyond_of_last(distance, judged, i, 5, 1) >= 4)
    rules |= BT_WE3;
  if (beyond_of_last(distance, judged, i, 8, 0) == 8)
    rules |= BT_WE4;
  return (bt_rules)rules;
}

Test(zone_rules, plain_loop_agrees_over_all_shapes) {
  static shape at;
  size_t marked = 0;
  for (size_t s = 0; shape_make(s, &at); s++) {
    double mirrored[SHAPE_MOST];
    bt_rules high[SHAPE_MOST], low[SHAPE_MOST];
    for (size_t i = 0; i < at.n; i++)
      mirrored[i] = -at.value[i];
    bt_zone_rules(at.value, at.use, at.n, high, low);
    for (size_t i = 0; i < at.n; i++) {
      cr_expect_eq(high[i], plain_rules(at.value, at.use, i), "%s %zu, point %zu", at.name, s, i);
      cr_expect_eq(low[i], plain_rules(mirrored, at.use, i), "%s %zu, point %zu", at.name, s, i);
      marked += high[i] != 0 || low[i] != 0;
    }
  }
  cr_expect_gt(marked, 1000);
}

Test(zone_rules, mirrored_points_swap_the_sides) {
  static shape at;
  for (size_t s = 0; shape_make(s, &at); s++) {
    double mirrored[SHAPE_MOST];
    bt_rules high[SHAPE_MOST], low[SHAPE_MOST], high_m[SHAPE_MOST], low_m[SHAPE_MOST];
    for (size_t i = 0; i < at.n; i++)
      mirrored[i] = -at.value[i];
    bt_zone_rules(at.value, at.use, at.n, high, low);
    bt_zone_rules(mirrored, at.use, at.n, high_m, low_m);
    cr_expect_arr_eq(high, low_m, at.n);
    cr_expect_arr_eq(low, high_m, at.n);
  }
}

/* Leaving out the points that aren't judged changes no mark of the others. */
Test(zone_rules, Z11_stepping_over_is_leaving_out) {
  static shape at;
  for (size_t s = 0; shape_make(s, &at); s++) {
    double kept[SHAPE_MOST];
    uint8_t all[SHAPE_MOST];
    bt_rules high[SHAPE_MOST], low[SHAPE_MOST], high_k[SHAPE_MOST], low_k[SHAPE_MOST];
    size_t n = 0;
    memset(all, 1, sizeof all);
    for (size_t i = 0; i < at.n; i++)
      if (at.use[i] != 0)
        kept[n++] = at.value[i];
    bt_zone_rules(at.value, at.use, at.n, high, low);
    bt_zone_rules(kept, all, n, high_k, low_k);
    for (size_t i = 0, k = 0; i < at.n; i++) {
      if (at.use[i] == 0)
        continue;
      cr_expect_eq(high[i], high_k[k]);
      cr_expect_eq(low[i], low_k[k]);
      k++;
    }
  }
}

/* Later points never change a mark, and a pattern never reaches back over the start. */
Test(zone_rules, a_series_cut_in_two) {
  static shape at;
  for (size_t s = 0; shape_make(s, &at); s++) {
    size_t cut = at.n / 2;
    bt_rules high[SHAPE_MOST], low[SHAPE_MOST], high_c[SHAPE_MOST], low_c[SHAPE_MOST];
    bt_zone_rules(at.value, at.use, at.n, high, low);
    bt_zone_rules(at.value, at.use, cut, high_c, low_c);
    cr_expect_arr_eq(high, high_c, cut);
    cr_expect_arr_eq(low, low_c, cut);
    bt_zone_rules(at.value + cut, at.use + cut, at.n - cut, high_c, low_c);
    for (size_t i = cut; i < at.n; i++)
      cr_expect_eq(high_c[i - cut] & ~high[i], 0, "the second part marks nothing of its own");
  }
}
