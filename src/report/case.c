/* The document of a case. */
#include "report_case.h"

/* All pages in their order. */
static void compose(case_pages *on) {
  report_case_page(on);
  /* They share the page of the characteristics, or that of the sections behind the charts. */
  bool beside = report_case_has_room(on);
  if (beside)
    report_case_causes(on);
  report_case_charts(on);
  if (!beside)
    report_case_causes(on);
  report_case_events(on);
  report_case_method(on);
}

bt_status bt_report_case(const bt_case *one, const bt_report_request *request,
                         const bt_measure *measure, bt_document *document, bt_error *error) {
  report_builder builder;
  char period[REPORT_DATE_TEXT];
  bt_text title = {0};
  bt_text_format(&title, "%s, %s", one->unit->history.unit,
                 report_short_period(one->from, one->to - 1, period));
  if (report_begin_document(&builder, request, &title, one->unit->settings.clinic,
                            "Evidence for the manufacturer's engineer", measure, document,
                            error) == BT_OK) {
    case_pages on = {.builder = &builder, .one = one, .request = request};
    compose(&on);
    report_resolve(&builder);
    report_footers(&builder, one->unit, request);
  }
  return report_end_document(&builder, document);
}
