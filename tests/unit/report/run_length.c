/* The run lengths as text: all words of one made-up page, and what differs from chart to chart. */
#include "beamtally/report.h"

#include <criterion/criterion.h>
#include <string.h>

/* Numbers made up so that each stands out. */
static const bt_run_length made_up[] = {
    {.shift = 0,
     .arl = 91.75,
     .sdrl = 88.14,
     .p5 = 8,
     .p25 = 29,
     .p50 = 65,
     .p75 = 126,
     .p95 = 268},
    {.shift = 1, .arl = 9.222, .sdrl = 6.31, .p5 = 2, .p25 = 5, .p50 = 8, .p75 = 12, .p95 = 22},
    {.shift = -2.5, .arl = 2.04, .sdrl = 1.2, .p5 = 1, .p25 = 1, .p50 = 1, .p75 = 3, .p95 = 4}};

static bt_run_table table_of(bt_run_chart chart, size_t n) {
  bt_run_table table = {.chart = chart, .n = n};
  memcpy(table.row, made_up, n * sizeof *made_up);
  return table;
}

static void expect_says(const bt_run_table *tables, size_t n, const char *words, bool said) {
  bt_text text = {0};
  bt_error error;
  cr_assert_eq(bt_report_run_lengths(tables, n, &text, &error), BT_OK);
  cr_expect_eq(strstr(bt_text_get(&text), words) != NULL, said, "\"%s\" in:\n%s", words,
               bt_text_get(&text));
  size_t column = 0;
  for (const char *at = bt_text_get(&text); *at != '\0'; at++) {
    column = *at == '\n' ? 0 : column + (((unsigned char)*at & 0xC0) != 0x80);
    cr_expect_leq(column, 80, "a line is too long:\n%s", bt_text_get(&text));
  }
  bt_text_free(&text);
}

Test(run_length, whole_text) {
  bt_run_table table = table_of((bt_run_chart){.rules = BT_WE1 | BT_WE2 | BT_WE4}, 3);
  table.rate = (bt_false_signals){
      .checks_a_month = 20, .a_year = 2.616, .within_month = 0.174, .within_year = 0.934};
  static const char expected[] =
      "Zone rules WE1, WE2 and WE4 used together, each side by itself\n"
      "  WE1  one point beyond 3 sigma\n"
      "  WE2  two of three successive points beyond 2 sigma, the last one among them\n"
      "  WE4  eight successive points on one side of the centre\n"
      "\n"
      "  In control  one false signal in about 92 checks on average; half of them come\n"
      "              within 65 checks, one in twenty within 8 checks.\n"
      "  Your rate   at 20 checks a month about 2.6 false signals a year; at least one\n"
      "              within a month with 17 % probability, within a year with 93 %.\n"
      "  Shifted     a shift of 1 sigma is found after about 9.2 checks on average;\n"
      "              half the time within 8 checks, nineteen times in twenty within 22\n"
      "              checks.\n"
      "\n"
      "  Checks to the first signal\n"
      "  shift of the mean     average   spread   5 % within   half   95 % within\n"
      "  none (in control)        91.8     88.1            8     65           268\n"
      "  1 sigma                   9.2      6.3            2      8            22\n"
      "  \xE2\x88\x92"
      "2.5 sigma                2.0      1.2            1      1             4\n"
      "\n"
      "These numbers take centre (the usual value) and sigma (the usual scatter) as\n"
      "known. Limits from few checks are uncertain themselves, and the true rate of\n"
      "false signals can be far higher or lower: --n N says how much.\n"
      "Checks are taken as normally distributed and independent of one another;\n"
      "readings that follow each other, as gas ages, make false signals more frequent.\n"
      "The average is of runs of very unequal length (spread is their standard\n"
      "deviation): a first false signal often comes much sooner.\n";
  bt_text text = {0};
  bt_error error;
  cr_assert_eq(bt_report_run_lengths(&table, 1, &text, &error), BT_OK);
  cr_expect_str_eq(bt_text_get(&text), expected);
  bt_text_free(&text);
}

/* Signals that hardly ever come: the columns stay apart. */
Test(run_length, large_numbers_keep_their_columns) {
  bt_run_table table = table_of((bt_run_chart){.method = BT_RUN_OF_CUSUM, .k = 0.5, .h = 18}, 2);
  table.row[0] = (bt_run_length){
      .arl = 209098310.9, .sdrl = 209098278.7, .p5 = 10725372, .p50 = 144935915, .p95 = 626402494};
  expect_says(&table, 1,
              "  none (in control)       209 M    209 M         11 M  145 M         626 M\n", true);
  expect_says(&table, 1, "  M: millions of checks\n", true);
  expect_says(&table, 1, "one false signal in about 209 million checks on average", true);
  table.row[0] = (bt_run_length){
      .arl = 1e12, .sdrl = 999999.94, .p5 = 999999, .p50 = 693147180560, .p95 = 1234567};
  expect_says(&table, 1, " 1000000 M 999999.9       999999 693147 M         1.2 M\n", true);
  table.n = 0;
  expect_says(&table, 1, "M: millions", false);
}

Test(run_length, limits_are_printed_as_used) {
  bt_run_chart cusum = {.method = BT_RUN_OF_CUSUM, .k = 0.5, .h = 4.773834, .headstart = 0.5};
  bt_run_table table = table_of(cusum, 2);
  expect_says(&table, 1, "CUSUM, both sides: k = 0.5, h = 4.773834, begun with a headstart of 0.5",
              true);
  expect_says(&table, 1, "was found for", false);
  expect_says(&table, 1, "adds up by how much more than k sigma a check lies from the centre",
              true);
  expect_says(&table, 1, "both sums begin part of the way to h", true);
  table.wanted_arl = 370;
  table.chart.headstart = 0;
  expect_says(&table, 1, "h was found for one false signal in 370 checks.", true);
  expect_says(&table, 1, "no headstart", true);
  expect_says(&table, 1, "part of the way", false);
  table.chart.one_sided = true;
  expect_says(&table, 1, "CUSUM, the high side alone: ", true);
}

Test(run_length, limits_of_the_ewma) {
  bt_run_chart ewma = {.method = BT_RUN_OF_EWMA, .lambda = 0.2, .limit = 2.858961};
  bt_run_table table = table_of(ewma, 2);
  expect_says(&table, 1, "EWMA, both sides: lambda = 0.2, limit = 2.858961, exact limits", true);
  expect_says(&table, 1, "the newest check has the weight lambda, older ones fade", true);
  expect_says(&table, 1, "narrower for the first checks", true);
  table.chart.constant_limits = true;
  expect_says(&table, 1, "limit = 2.858961, constant limits", true);
  table.wanted_arl = 370;
  expect_says(&table, 1, "the limit was found for one false signal in 370 checks.", true);
}

Test(run_length, what_is_not_there_is_not_spoken_of) {
  bt_run_table table = table_of((bt_run_chart){.rules = BT_WE3}, 1);
  expect_says(&table, 1, "Zone rule WE3, each side by itself", true);
  expect_says(&table, 1, "a shift of", false);
  expect_says(&table, 1, "Your rate", false);
  expect_says(&table, 1, "Used together", false);
  table.row[0] = made_up[2];
  expect_says(&table, 1, "In control", false);
  expect_says(&table, 1,
              "a shift of \xE2\x88\x92"
              "2.5 sigma is found after about 2.0 checks",
              true);
  expect_says(&table, 1, "half the time within 1 check, nineteen", true);
  table.rate = (bt_false_signals){.checks_a_month = 1, .a_year = 0.13};
  expect_says(&table, 1, "at 1 check a month about 0.13 false signals a year", true);
  table.rate.a_year = 0.004;
  table.rate.within_month = 0.0003;
  table.rate.within_year = 0.997;
  expect_says(&table, 1, "at 1 check a month about one false signal in 250 years", true);
  expect_says(&table, 1, "with under 1 %", true);
  expect_says(&table, 1, "over 99 %.", true);
}

Test(run_length, several_charts) {
  bt_run_table tables[] = {
      table_of((bt_run_chart){.rules = BT_WE1}, 2),
      table_of((bt_run_chart){.method = BT_RUN_OF_CUSUM, .k = 1, .h = 2.5}, 2)};
  expect_says(tables, 2, "Zone rule WE1", true);
  expect_says(tables, 2, "CUSUM, both sides: k = 1, h = 2.5", true);
  expect_says(tables, 2, "Each of these charts is counted alone. Used together", true);
}
