/* Charts used together and charts that keep a budget, in words: numbers as they stand. */
#include "beamtally/report.h"

#include <criterion/criterion.h>
#include <string.h>

/* The words stand in the text, however it is wrapped. */
static void must_say(const bt_text *text, const char *words) {
  bt_text flat = {0};
  for (const char *at = bt_text_get(text); *at != '\0';) {
    size_t blanks = *at == '\n' ? 1 + strspn(at + 1, " ") : 0;
    bt_text_add_bytes(&flat, blanks > 0 ? " " : at, 1);
    at += blanks > 0 ? blanks : 1;
  }
  cr_expect_not_null(strstr(bt_text_get(&flat), words), "\"%s\" is not in:\n%s", words,
                     bt_text_get(text));
  bt_text_free(&flat);
}

static void lines_must_fit(const bt_text *text) {
  for (const char *line = bt_text_get(text); *line != '\0';) {
    size_t length = strcspn(line, "\n");
    cr_expect_leq(length, 80, "%.*s", (int)length, line);
    line += length + (line[length] == '\n');
  }
}

Test(run_set, a_set_says_its_charts_rate_and_error) {
  bt_error error;
  bt_text text = {0};
  bt_run_set set = {
      .chart = {.rules = BT_WE1 | BT_WE4, .has_cusum = true, .k = .5, .h = 5, .headstart = .25},
      .n = 2,
      .row = {{.charts = 5, .runs = 10000, .arl = 17.4, .arl_margin = .3136, .p5 = 2, .p50 = 12},
              {.charts = 5,
               .runs = 10000,
               .shift = 1,
               .arl = 6.28,
               .arl_margin = .0784,
               .p5 = 1,
               .p50 = 5}},
      .checks_a_month = 20,
      .a_year = 13.79};
  cr_assert_eq(bt_report_run_set(&set, &text, &error), BT_OK);
  must_say(&text, "together on 5 charts");
  must_say(&text, "WE1, WE4; CUSUM k = 0.5, h = 5, headstart 0.25 of h");
  must_say(&text, "(simulated 10000 times, centre and sigma known)");
  must_say(&text, "about 17 checks on average (the simulation’s 95 % margin: ± 0.31)");
  must_say(&text, "about 13.8 false signals a year");
  must_say(&text, "a shift of 1 sigma on one of the charts");
  must_say(&text, "half of them within 5 checks, one in twenty within 1 check.");
  lines_must_fit(&text);
  bt_text_free(&text);
}

Test(run_set, a_single_chart_without_a_rate_says_neither) {
  bt_error error;
  bt_text text = {0};
  bt_run_set set = {
      .chart = {.rules = BT_WE2},
      .n = 1,
      .row = {{.charts = 1, .runs = 500, .arl = 225, .arl_margin = 17.64, .p50 = 156}}};
  cr_assert_eq(bt_report_run_set(&set, &text, &error), BT_OK);
  must_say(&text, "together on one chart: WE2 (simulated 500 times, centre and sigma known)");
  cr_expect_null(strstr(bt_text_get(&text), "a month"));
  cr_expect_null(strstr(bt_text_get(&text), "CUSUM"));
  bt_text_free(&text);
}

Test(run_set, suggestions_are_a_table) {
  bt_suggestion suggestions[] = {{.chart = {.method = BT_RUN_OF_CUSUM, .k = .5, .h = 4.774},
                                  .a_year = .648,
                                  .together_a_year = .648,
                                  .arl_shifted = 9.93,
                                  .days_shifted = 15.1,
                                  .arl_later = 9.93},
                                 {.chart = {.method = BT_RUN_OF_EWMA, .lambda = .1, .limit = 2.7},
                                  .a_year = .5,
                                  .arl_shifted = 10.3,
                                  .days_shifted = 15.7,
                                  .arl_later = 12.4},
                                 {.chart = {.method = BT_RUN_OF_RULES, .rules = BT_WE1},
                                  .a_year = .648,
                                  .arl_shifted = 43.9,
                                  .days_shifted = 66.8,
                                  .arl_later = 43.9}};
  bt_budget budget = {.a_year = 1, .checks_a_month = 20, .shift = 1};
  bt_error error;
  bt_text text = {0};
  cr_assert_eq(bt_report_suggestions(&budget, suggestions, 3, &text, &error), BT_OK);
  must_say(&text, "Charts that give at most 1 false signal a year at 20 checks a month");
  must_say(&text, "9.9    15     9.9     0.65  CUSUM k = 0.5, h = 4.774 ");
  must_say(&text, "10.3    16    12.4     0.50  EWMA lambda = 0.1, limit = 2.7 ");
  must_say(&text, "43.9    67    43.9     0.65  WE1 ");
  must_say(&text,
           "Best:  CUSUM k = 0.5, h = 4.774: at 20 checks a month about 0.65 false signals a "
           "year. A shift of 1 sigma is found after about 9.9 checks on average, which is "
           "about 15 days.");
  lines_must_fit(&text);
  bt_text_clear(&text);
  cr_assert_eq(bt_report_suggestions(&budget, suggestions + 1, 1, &text, &error), BT_OK);
  must_say(&text,
           "about 16 days, if it is there from the first check on; one that comes later after "
           "about 12 checks.");
  bt_suggestion widest = suggestions[0];
  widest.chart.h = 14.4466;
  widest.chart.k = 0.25;
  widest.chart.headstart = 0.5;
  bt_text_clear(&text);
  cr_assert_eq(bt_report_suggestions(&budget, &widest, 1, &text, &error), BT_OK);
  must_say(&text, "0.65  CUSUM k = 0.25, h = 14.4466, headstart 0.5 of h ");
  lines_must_fit(&text);
  budget.charts = 5;
  suggestions[0].together_a_year = 3.24;
  bt_text_clear(&text);
  cr_assert_eq(bt_report_suggestions(&budget, suggestions, 3, &text, &error), BT_OK);
  must_say(&text, "on each of the 5 charts: together at 20");
  must_say(&text, "about 3.2 false signals");
  lines_must_fit(&text);
  bt_text_clear(&text);
  cr_assert_eq(bt_report_suggestions(&budget, suggestions, 0, &text, &error), BT_OK);
  must_say(&text, "No chart that is known here gives at most 1 false signal a year");
  bt_text_free(&text);
}
