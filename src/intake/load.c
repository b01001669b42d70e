/* The second pass: rows of a surveyed log into a sink. */
#include "match.h"
#include "row.h"
#include "sniff.h"

#include <stdlib.h>
#include <string.h>

static bt_status hand_over(const intake_row *row, const bt_sink *sink, bt_error *error) {
  switch (row->kind) {
  case INTAKE_ROW_CHECK: {
    bt_status status = sink->check(sink->context, &row->check, error);
    for (int kind = 0; kind < BT_EVENT_COUNT && status == BT_OK; kind++)
      if ((row->also >> kind & 1U) != 0) {
        bt_event event = {.unit = row->check.unit,
                          .time = row->check.time,
                          .has_clock = row->check.has_clock,
                          .kind = (bt_event_kind)kind,
                          .line = row->check.line,
                          .last_line = row->check.last_line};
        status = sink->event(sink->context, &event, error);
      }
    return status;
  }
  case INTAKE_ROW_EVENT:
    return sink->event(sink->context, &row->event, error);
  case INTAKE_ROW_REFUSED:
    return sink->refusal(sink->context, &row->refusal, error);
  case INTAKE_ROW_MEMORY:
    return bt_fail_memory(error);
  default:
    return BT_OK;
  }
}

bt_status bt_load_file(const bt_survey *survey, bt_time latest, const bt_sink *sink,
                       bt_error *error) {
  intake_plan plan = {0};
  intake_records records = {.lines = {.bytes = {.descriptor = -1}}};
  intake_row row;
  unsigned char sha256[BT_SHA256_BYTES];
  if (survey->questions_n > 0)
    return bt_fail(error, BT_INPUT, "%s", survey->questions[0]);
  bt_status status = intake_plan_make(survey, &plan, error);
  plan.latest = latest;
  if (status == BT_OK)
    status = intake_check_unit(survey, error);
  if (status == BT_OK)
    status = intake_records_open(&records, survey->path, survey->spool, survey->encoding,
                                 intake_line_end(survey), survey->delimiter, error);
  while (status == BT_OK) {
    status = intake_records_next(&records, error);
    if (status != BT_OK || records.at_end)
      break;
    if (records.first_line <= survey->header_line)
      continue;
    intake_row_read(&plan, &records, &row);
    status = hand_over(&row, sink, error);
  }
  if (status == BT_OK) {
    intake_bytes_sha256(&records.lines.bytes, sha256);
    if (memcmp(sha256, survey->source.sha256, sizeof sha256) != 0)
      status = bt_fail(error, BT_INPUT,
                       "the file changed while it was read; nothing of it was taken: import it "
                       "again when nobody writes to it");
  }
  intake_records_close(&records);
  intake_plan_free(&plan);
  return status;
}
