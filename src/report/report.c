/* The entry points that make documents. */
#include "report_drift.h"

#include <stdio.h>

/* All pages in their order. Room conditions stand together on the page of the self-test. */
static void compose(report_builder *builder, const bt_unit_study *study,
                    const bt_report_request *request) {
  report_summary_page(builder, study, request);
  for (size_t i = 0; i < study->studies_n; i++)
    if (report_has_chart_page(study->studies[i], request))
      report_characteristic_page(builder, study, study->studies[i], request, REPORT_SPEAKS_OF_LOG);
  if (report_drift_chosen(study) != NULL)
    report_drift_page(builder, study);
  report_selftest_page(builder, study, request);
  report_record_page(builder, study, request);
  report_changes_page(builder, study, request);
  report_data_page(builder, study, request);
  report_method_page(builder, study, request);
}

/* A report of a month that isn't over says on each page how far it goes. */
static void set_edition(report_builder *builder, const bt_unit_study *study,
                        const bt_report_request *request) {
  char edition[48], date[REPORT_DATE_TEXT];
  if (request->revision == 0)
    (void)snprintf(edition, sizeof edition, BT_REPORT_DRAFT);
  else
    (void)snprintf(edition, sizeof edition, "Revision %lld, issued", (long long)request->revision);
  bool over = study->until >= bt_month_start(request->month, 1);
  (void)snprintf(builder->edition, sizeof builder->edition, over ? "%s" : "%s (month up to %s)",
                 edition, report_short_date(study->until - BT_DAY, date));
}

/* A document of one unit and month. */
static bt_status begin(report_builder *builder, const bt_unit_study *study,
                       const bt_report_request *request, const char *subject,
                       const bt_measure *measure, bt_document *document, bt_error *error) {
  char month[BT_TIME_TEXT];
  bt_text title = {0};
  bt_text_format(&title, "%s, %s", study->history.unit, bt_time_month(request->month, month));
  return report_begin_document(builder, request, &title, study->settings.clinic, subject, measure,
                               document, error);
}

bt_status bt_report_month(const bt_unit_study *study, const bt_report_request *request,
                          const bt_measure *measure, bt_document *document, bt_error *error) {
  report_builder builder;
  bool draft = request->revision == 0;
  const char *subject = draft ? BT_REPORT_SUBJECT ", " BT_REPORT_DRAFT : BT_REPORT_SUBJECT;
  if (begin(&builder, study, request, subject, measure, document, error) == BT_OK) {
    set_edition(&builder, study, request);
    compose(&builder, study, request);
    report_resolve(&builder);
    report_footers(&builder, study, request);
  }
  return report_end_document(&builder, document);
}

bt_status bt_report_charts(const bt_unit_study *study, const bt_study *const *of, size_t n,
                           const bt_report_request *request, const bt_measure *measure,
                           bt_document *document, bt_error *error) {
  report_builder builder;
  const char *subject = n == 1 ? of[0]->quantity.title : "Charts";
  if (begin(&builder, study, request, subject, measure, document, error) == BT_OK) {
    for (size_t i = 0; i < n; i++)
      report_characteristic_page(&builder, study, of[i], request, REPORT_SPEAKS_OF_LOG);
    report_footers(&builder, study, request);
  }
  return report_end_document(&builder, document);
}
