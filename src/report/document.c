/* A document from its beginning to its end: paper, title, author, date; and what becomes of it. */
#include "report_build.h"

#include <stdlib.h>

static void begin(report_builder *builder, bt_document *document, bt_paper paper,
                  const bt_measure *measure, bt_error *error) {
  *builder = (report_builder){.document = document, .measure = measure, .error = error};
  bool letter = paper == BT_PAPER_LETTER;
  document->width_mm = letter ? 279.4 : 297.0;
  document->height_mm = letter ? 215.9 : 210.0;
}

bt_status report_begin_document(report_builder *builder, const bt_report_request *request,
                                bt_text *title, const char *author, const char *subject,
                                const bt_measure *measure, bt_document *document, bt_error *error) {
  *document = (bt_document){0};
  begin(builder, document, request->paper, measure, error);
  document->title = bt_text_take(title);
  document->author = bt_copy(author != NULL ? author : "");
  document->subject = bt_copy(subject);
  document->created = request->created;
  if (document->title == NULL || document->author == NULL || document->subject == NULL)
    report_no_memory(builder);
  if (builder->status == BT_OK && request->to <= request->from)
    builder->status = bt_fail(error, BT_USAGE, "the span to be shown ends before it begins");
  return builder->status;
}

bt_status report_end_document(report_builder *builder, bt_document *document) {
  bt_status status = report_status(builder);
  free(builder->references);
  if (status != BT_OK)
    bt_document_free(document);
  return status;
}
