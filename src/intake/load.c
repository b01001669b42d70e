/* The second pass: rows of a surveyed log into a sink. */
#include "group.h"
#include "match.h"
#include "sniff.h"

#include <stdlib.h>
#include <string.h>

/* What a check's rows say of each kind of event, as the log has it; "" of most. */
typedef struct noted_events {
  unsigned also; /* bit k set: an event of kind k */
  const char *words[BT_EVENT_COUNT];
} noted_events;

/* A gas refill is noted in the check itself, which has no room for its words but the remark. */
static const char *remark_with(const char *remark, const char *words, bt_text *joined) {
  if (*words == '\0' || (remark != NULL && strstr(remark, words) != NULL))
    return remark;
  bt_text_format(joined, "%s%s%s", remark == NULL ? "" : remark, remark == NULL ? "" : "; ", words);
  return bt_text_get(joined);
}

/* A check with the events that its rows note. Where they note events, a gas refill among them, and
 * nothing else that a check says, nothing was checked: the events alone. */
static bt_status give_check(const bt_check *check, noted_events noted, const bt_sink *sink,
                            bt_error *error) {
  bt_check bare = *check, whole = *check;
  bt_text remark = {0};
  bt_status status = BT_OK;
  bare.refill = BT_REFILL_NONE;
  bool nothing = bt_check_says_nothing(&bare);
  if (nothing && check->refill != BT_REFILL_NONE)
    noted.also |= 1U << BT_EVENT_GAS_REFILL;
  bool checked = noted.also == 0 || !nothing;
  if (checked) {
    whole.text[BT_FIELD_REMARK] =
        remark_with(check->text[BT_FIELD_REMARK], noted.words[BT_EVENT_GAS_REFILL], &remark);
    status =
        bt_text_ok(&remark) ? sink->check(sink->context, &whole, error) : bt_fail_memory(error);
  }
  for (int kind = 0; kind < BT_EVENT_COUNT && status == BT_OK; kind++)
    if ((noted.also >> kind & 1U) != 0) {
      bt_event event = {.unit = check->unit,
                        .time = check->time,
                        .has_clock = check->has_clock,
                        .kind = (bt_event_kind)kind,
                        .note = noted.words[kind][0] != '\0' ? noted.words[kind] : NULL,
                        .line = check->line,
                        .last_line = check->last_line};
      status = sink->event(sink->context, &event, error);
    }
  bt_text_free(&remark);
  return status;
}

static bt_status give_row(const intake_row *row, const bt_sink *sink, bt_error *error) {
  noted_events noted = {.also = row->also};
  for (int kind = 0; kind < BT_EVENT_COUNT; kind++)
    noted.words[kind] = (row->worded >> kind & 1U) != 0 ? row->words[kind] : "";
  return give_check(&row->check, noted, sink, error);
}

/* One text may mean several events: "yearly service, optics cleaned". */
static bt_status give_events(const intake_row *row, const bt_sink *sink, bt_error *error) {
  unsigned kinds = row->also | 1U << row->event.kind;
  bt_status status = BT_OK;
  for (int kind = 0; kind < BT_EVENT_COUNT && status == BT_OK; kind++)
    if ((kinds >> kind & 1U) != 0) {
      bt_event event = row->event;
      event.kind = (bt_event_kind)kind;
      status = sink->event(sink->context, &event, error);
    }
  return status;
}

static bt_status give_group(intake_group *group, const bt_sink *sink, bt_error *error) {
  const bt_check *check = intake_group_close(group);
  noted_events noted = {.also = group->also};
  for (int kind = 0; kind < BT_EVENT_COUNT; kind++)
    noted.words[kind] = bt_text_get(&group->words[kind]);
  return check == NULL ? BT_OK : give_check(check, noted, sink, error);
}

/* In long form the row goes to its check; the one before it is complete where it begins another. */
static bt_status gather(intake_group *group, const intake_row *row, const bt_sink *sink,
                        bt_error *error) {
  bt_status status = intake_group_takes(group, row) ? BT_OK : give_group(group, sink, error);
  if (status == BT_OK && !intake_group_add(group, row))
    return bt_fail_memory(error);
  return status;
}

static bt_status hand_over(const intake_row *row, intake_group *group, const bt_sink *sink,
                           bt_error *error) {
  switch (row->kind) {
  case INTAKE_ROW_CHECK:
    return group == NULL ? give_row(row, sink, error) : gather(group, row, sink, error);
  case INTAKE_ROW_EVENT:
    return give_events(row, sink, error);
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
  intake_group group = {0};
  unsigned char sha256[BT_SHA256_BYTES];
  if (survey->questions_n > 0)
    return bt_fail(error, BT_INPUT, "%s", survey->questions[0]);
  bt_status status = intake_plan_make(survey, &plan, error);
  plan.latest = latest;
  if (status == BT_OK)
    status = intake_check_unit(survey, error);
  if (status == BT_OK)
    status = intake_open_log(survey, survey->delimiter, &records, error);
  while (status == BT_OK) {
    status = intake_records_next(&records, error);
    if (status != BT_OK || records.at_end)
      break;
    if (records.first_line <= survey->header_line)
      continue;
    intake_row_read(&plan, &records, &row);
    status = hand_over(&row, plan.long_form ? &group : NULL, sink, error);
  }
  if (status == BT_OK)
    status = give_group(&group, sink, error);
  if (status == BT_OK) {
    intake_bytes_sha256(&records.lines.bytes, sha256);
    if (memcmp(sha256, survey->source.sha256, sizeof sha256) != 0)
      status = bt_fail(error, BT_INPUT,
                       "the file changed while it was read; nothing of it was taken: import it "
                       "again when nobody writes to it");
  }
  intake_records_close(&records);
  intake_plan_free(&plan);
  intake_group_free(&group);
  return status;
}
