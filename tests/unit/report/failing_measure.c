/* A measure that fails at its Nth call: its error comes back, and nothing is left behind. */
#include "fixture.h"

#include <criterion/criterion.h>
#include <string.h>

typedef struct countdown {
  size_t calls, fails_at;
} countdown;

static bt_status counted(void *context, bt_style style, const char *text, double wrap_mm,
                         double *width_mm, double *height_mm, bt_error *error) {
  countdown *count = context;
  if (++count->calls >= count->fails_at)
    return bt_fail(error, BT_SYSTEM, "the font went away");
  return fixture_measure.measure(NULL, style, text, wrap_mm, width_mm, height_mm, error);
}

static bt_status counted_strong(void *context, bt_style style, const char *text,
                                const bt_strong *strong, size_t strong_n, double wrap_mm,
                                double *width_mm, double *height_mm, bt_error *error) {
  (void)strong;
  (void)strong_n;
  return counted(context, style, text, wrap_mm, width_mm, height_mm, error);
}

Test(failing_measure, at_every_call) {
  fixture_plan plan = fixture_usual();
  plan.points = 40;
  plan.baseline_n = 10;
  plan.covariates = true;
  bt_report_request request;
  bt_unit_study *unit = fixture_make(&plan, &request);
  bt_status status = BT_SYSTEM;
  size_t fails_at = 1;
  for (; status != BT_OK && fails_at < 5000; fails_at++) {
    countdown count = {.fails_at = fails_at};
    bt_measure measure = {counted, &count, counted_strong};
    bt_document document;
    bt_error error = {0};
    status = bt_report_month(unit, &request, &measure, &document, &error);
    if (status != BT_OK) {
      cr_assert_eq(status, BT_SYSTEM, "call %zu", fails_at);
      cr_assert_str_eq(error.text, "the font went away");
      cr_assert_eq(count.calls, fails_at, "nothing is measured after a failure");
      cr_assert_null(document.pages);
      cr_assert_null(document.title);
    }
    bt_document_free(&document);
  }
  cr_expect_eq(status, BT_OK);
  cr_expect(fails_at > 100, "%zu calls", fails_at);
  bt_unit_study_free(unit);
}
