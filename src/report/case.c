/* The document of a case. */
#include "report_case.h"

#include <stdlib.h>

/* A case is of its span, not of a month. */
static void entitle(report_builder *builder, const bt_case *one) {
  char period[REPORT_DATE_TEXT];
  bt_text title = {0};
  bt_text_format(&title, "%s, %s", one->unit->history.unit,
                 report_short_period(one->from, one->to - 1, period));
  char *made = bt_text_take(&title);
  if (made == NULL) {
    report_no_memory(builder);
    return;
  }
  free(builder->document->title);
  builder->document->title = made;
}

bt_status bt_report_case(const bt_case *one, const bt_report_request *request,
                         const bt_measure *measure, bt_document *document, bt_error *error) {
  report_builder builder;
  bt_status status = report_begin_document(&builder, one->unit, request, measure, document,
                                           "Evidence for the manufacturer's engineer", error);
  if (status != BT_OK) {
    bt_document_free(document);
    return status;
  }
  entitle(&builder, one);
  case_pages on = {.builder = &builder, .one = one, .request = request};
  report_case_page(&on);
  /* They share the page of the characteristics, or that of the sections behind the charts. */
  bool beside = report_case_has_room(&on);
  if (beside)
    report_case_causes(&on);
  report_case_charts(&on);
  if (!beside)
    report_case_causes(&on);
  report_case_events(&on);
  report_case_method(&on);
  report_resolve(&builder);
  report_footers(&builder, one->unit, request);
  return report_end_document(&builder, document);
}
