/* Composes what a plan makes. */
#include "fixture.h"

#include <criterion/criterion.h>

void fixture_compose(const fixture_plan *plan, bt_paper paper, bt_document *document) {
  bt_report_request request;
  bt_error error = {0};
  bt_unit_study *unit = fixture_make(plan, &request);
  request.paper = paper;
  cr_assert_eq(bt_report_month(unit, &request, &fixture_measure, document, &error), BT_OK, "%s",
               error.text);
  bt_unit_study_free(unit);
}

void fixture_chart(const bt_unit_study *unit, const bt_study *of, const bt_report_request *request,
                   bt_document *document) {
  bt_error error = {0};
  cr_assert_eq(bt_report_charts(unit, &of, 1, request, &fixture_measure, document, &error), BT_OK,
               "%s", error.text);
}
