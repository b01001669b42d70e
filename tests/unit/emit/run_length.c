/* The JSON of run lengths: one document, several, and what is left out. */
#include "beamtally/emit.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <stdlib.h>

static void expect_json(const bt_run_table *tables, size_t n, const char *expected) {
  char *text = NULL;
  size_t size = 0;
  bt_error error = {0};
  FILE *stream = open_memstream(&text, &size);
  cr_assert_not_null(stream);
  cr_assert_eq(bt_emit_run_lengths_json(tables, n, stream, &error), BT_OK, "%s", error.text);
  (void)fclose(stream);
  cr_expect_str_eq(text, expected);
  free(text);
}

static const bt_run_length one_sigma = {.shift = 1,
                                        .arl = 20.00504,
                                        .sdrl = 18.83671,
                                        .p5 = 2,
                                        .p25 = 7,
                                        .p50 = 14,
                                        .p75 = 27,
                                        .p95 = 58};

Test(run_length, one_is_the_document) {
  bt_run_table table = {.chart.rules = BT_WE1 | BT_WE2, .n = 1, .row = {one_sigma}};
  expect_json(
      &table, 1,
      "{\"format\":1,\"rules\":[\"WE1\",\"WE2\"],\"shift\":1.0,\"arl\":20.005,"
      "\"sdrl\":18.837,\"percentiles\":{\"5\":2,\"25\":7,\"50\":14,\"75\":27,\"95\":58}}\n");
}

Test(run_length, several_stand_in_charts) {
  bt_run_table tables[] = {
      {.chart = {.method = BT_RUN_OF_CUSUM, .k = 0.5, .h = 4.773834, .headstart = 0.5},
       .wanted_arl = 370,
       .n = 1,
       .row = {{.shift = -0.0, .arl = 370.0001, .sdrl = 1, .p5 = 1, .p95 = 123456789012}},
       .rate = {.checks_a_month = 20, .a_year = 0.6486484, .within_month = 0.1, .within_year = 1}},
      {.chart = {.method = BT_RUN_OF_EWMA, .lambda = 0.2, .limit = 3}, .n = 1, .row = {one_sigma}},
      {.chart = {.method = BT_RUN_OF_EWMA, .lambda = 0.2, .limit = 3, .constant_limits = true},
       .n = 1,
       .row = {one_sigma}},
      {.chart = {.method = BT_RUN_OF_CUSUM, .k = 1, .h = 2, .one_sided = true},
       .n = 1,
       .row = {one_sigma}}};
  expect_json(
      tables, 4,
      "{\"format\":1,\"charts\":["
      "{\"k\":0.5,\"h\":4.773834,\"headstart\":0.5,\"wanted_arl\":370.0,\"shift\":0.0,"
      "\"arl\":370.0,\"sdrl\":1.0,"
      "\"percentiles\":{\"5\":1,\"25\":0,\"50\":0,\"75\":0,\"95\":123456789012},"
      "\"false_signals\":{\"checks_a_month\":20.0,\"a_year\":0.648648,\"within_month\":0.1,"
      "\"within_year\":1.0}},"
      "{\"lambda\":0.2,\"limit\":3.0,\"limits\":\"exact\",\"shift\":1.0,\"arl\":20.005,"
      "\"sdrl\":18.837,\"percentiles\":{\"5\":2,\"25\":7,\"50\":14,\"75\":27,\"95\":58}},"
      "{\"lambda\":0.2,\"limit\":3.0,\"limits\":\"constant\",\"shift\":1.0,\"arl\":20.005,"
      "\"sdrl\":18.837,\"percentiles\":{\"5\":2,\"25\":7,\"50\":14,\"75\":27,\"95\":58}},"
      "{\"k\":1.0,\"h\":2.0,\"headstart\":0.0,\"sides\":1,\"shift\":1.0,\"arl\":20.005,"
      "\"sdrl\":18.837,\"percentiles\":{\"5\":2,\"25\":7,\"50\":14,\"75\":27,\"95\":58}}]}\n");
}

Test(run_length, a_full_disk_is_told) {
  bt_run_table table = {.chart.rules = BT_WE1, .n = 1, .row = {one_sigma}};
  bt_error error = {0};
  FILE *full = fopen("/dev/full", "w");
  cr_assert_not_null(full);
  cr_expect_eq(bt_emit_run_lengths_json(&table, 1, full, &error), BT_SYSTEM);
  (void)fclose(full);
}
