/* Digits: no value is lost to the fixed decimals of its characteristic, wherever it stands. */
#include "fixture.h"
#include "report_words.h"

#include <criterion/criterion.h>
#include <string.h>

/* What a reader sees of a unit whose readings have that centre and sigma. Owned. */
static bt_text said_with(bt_characteristic characteristic, double centre, double sigma) {
  fixture_plan plan = fixture_usual();
  bt_report_request request;
  bt_error error = {0};
  bt_document document;
  bt_text said = {0};
  plan.characteristic = characteristic;
  plan.centre = centre;
  plan.sigma = sigma;
  plan.adjusted = false;
  bt_unit_study *unit = fixture_make(&plan, &request);
  bt_study *of = unit->studies[0];
  of->checks.raw[of->checks.n - 1] = centre + sigma;
  cr_assert_eq(bt_report_month(unit, &request, &fixture_measure, &document, &error), BT_OK);
  for (size_t p = 0; p < document.pages_n; p++)
    for (size_t i = 0; i < document.pages[p].texts_n; i++)
      bt_text_format(&said, "%s\n", document.pages[p].texts[i].text);
  bt_text complaints = {0};
  fixture_check(&document, &complaints);
  fixture_check_limits(of, &document.pages[1], &complaints);
  cr_expect_eq(complaints.length, 0, "%s", bt_text_get(&complaints));
  bt_text_free(&complaints);
  bt_document_free(&document);
  bt_text_add(&said, "STATUS\n");
  cr_assert_eq(bt_report_status(unit, false, &said, &error), BT_OK);
  bt_unit_study_free(unit);
  return said;
}

static void says(const bt_text *said, const char *words) {
  cr_expect_not_null(strstr(bt_text_get(said), words), "not said: %s\n%s", words,
                     bt_text_get(said));
}

Test(digits, of_very_small_readings) {
  bt_text said = said_with(BT_ENERGY_RATIO, 1e-12, 2e-14);
  says(&said, "1.0000e-12 ± 2.00e-14"); /* panel */
  says(&said, "centre 1.0000e-12");     /* label */
  says(&said, "UCL 1.0600e-12");
  says(&said, "; last 1.0200e-12 on 27 Sep 2026");
  says(&said, "1.0200e-12"); /* table */
  says(&said, "    last 1.0200e-12 on 27 Sep");
  cr_expect_null(strstr(bt_text_get(&said), "0.0000"), "%s", bt_text_get(&said));
  bt_text_free(&said);
}

Test(digits, of_very_large_readings) {
  bt_text said = said_with(BT_ENERGY_RATIO, 1e7, 42000);
  says(&said, "10000000 ± 42000");
  says(&said, "centre 10000000");
  says(&said, "UCL 10126000");
  says(&said, "10042000");
  says(&said, "    last 10042000 on 27 Sep");
  cr_expect_null(strstr(bt_text_get(&said), ".0000"), "%s", bt_text_get(&said));
  bt_text_free(&said);
}

Test(digits, of_usual_readings_stay) {
  bt_text said = said_with(BT_ENERGY_RATIO, 1, 0.0042);
  says(&said, "1.0000 ± 0.0042");
  says(&said, "1.0042");
  bt_text_free(&said);
  said = said_with(BT_DEMAND, 1.61, 0.006);
  says(&said, "1.6100 ± 0.0060");
  says(&said, "1.616\xC2\xA0mJ");
  bt_text_free(&said);
}

static int decimals(bt_characteristic characteristic, double sigma) {
  static const bt_settings none;
  bt_quantity quantity = bt_settings_quantity(&none, characteristic);
  return report_decimals(&quantity, sigma);
}

Test(digits, two_of_sigma_and_three_where_fixed_decimals_lose_it) {
  cr_expect_eq(decimals(BT_ENERGY_RATIO, 0.0042), 4);
  cr_expect_eq(decimals(BT_ENERGY_RATIO, 0.00042), 5);
  cr_expect_eq(decimals(BT_ENERGY_RATIO, 0.000042), 7);
  cr_expect_eq(decimals(BT_ENERGY_RATIO, 2e-14), 16);
  cr_expect_eq(decimals(BT_HUMIDITY, 3), 1);
  cr_expect_eq(decimals(BT_TRACKER_X, 2.3), 1);
  cr_expect_eq(decimals(BT_ENERGY_RATIO, 42), 1, "not more than four digits of sigma");
  cr_expect_eq(decimals(BT_ENERGY_RATIO, 42000), 0);
  cr_expect_eq(decimals(BT_ENERGY_RATIO, 0), 4, "sigma 0 asks for no more digits");
}

Test(digits, of_any_size) {
  char number[REPORT_NUMBER_TEXT];
  cr_expect_str_eq(report_number(1e-12, 14, number), "1.00e-12");
  cr_expect_str_eq(report_number(-1.5e-12, 16, number), "\xE2\x88\x92"
                                                        "1.5000e-12");
  cr_expect_str_eq(report_number(0, 16, number), "0");
  cr_expect_str_eq(report_number(4e-20, 16, number), "0", "nothing left at that digit");
  cr_expect_str_eq(report_number(1e7, 0, number), "10000000");
  cr_expect_str_eq(report_plain(1234567.5, number), "1234567.5", "a tolerance as it was entered");
  cr_expect_str_eq(report_plain(0.1 + 0.2, number), "0.3");
}
