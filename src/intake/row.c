/* A record to a check or an event.
 *
 * W1  Refused: what can't be read, a sign that can't be, a time that can't be. Zero and wild values
 *     are kept: they may be the laser failing.
 * W2  The first field that can't be taken refuses the row, with its column, key, value and reason.
 * W3  Missing is absent, never zero.
 * W4  A refused row with a failing self-test or a remark is serious. */
#include "row.h"
#include "moment.h"
#include "words.h"

#include <stdio.h>
#include <string.h>

/* 1985-01-01: no log of such a laser is older. */
static const bt_time earliest = 5479 * BT_DAY;

bool intake_row_is_empty(intake_fields *fields) {
  for (size_t i = 0; i < fields->n; i++)
    if (intake_field(fields, i)[0] != '\0')
      return false;
  return true;
}

static bool take_moment(const intake_plan *plan, intake_fields *fields, intake_row *row) {
  const intake_column *date = NULL, *clock = NULL;
  const char *date_text = "", *clock_text = NULL;
  char iso[BT_TIME_TEXT];
  for (size_t i = 0; i < plan->columns_n; i++) {
    if (plan->columns[i].role == INTAKE_ROLE_DATE) {
      date = &plan->columns[i];
      date_text = intake_field(fields, i);
    } else if (plan->columns[i].role == INTAKE_ROLE_TIME) {
      clock = &plan->columns[i];
      clock_text = intake_field(fields, i);
      if (intake_is_missing(clock_text))
        clock_text = NULL;
    }
  }
  if (intake_is_missing(date_text)) {
    intake_row_refuse(row, date, date_text, "the row has no date; fill it in");
    return false;
  }
  intake_moment moment;
  if (!intake_moment_read(date_text, clock_text, plan->dates, plan->dates_stated, &moment)) {
    intake_row_refuse(row, moment.clock_is_wrong ? clock : date,
                      moment.clock_is_wrong ? clock_text : date_text, "%s", moment.reason);
    return false;
  }
  bool future = moment.time > plan->latest;
  if (future || moment.time < earliest) {
    (void)bt_time_day_iso(moment.time, iso);
    intake_row_refuse(row, date, date_text, "%s is %s; correct the date%s", iso,
                      future ? "in the future" : "before 1985, too early for a log of such a laser",
                      plan->dates_stated ? ", or the order stated with --dates" : "");
    return false;
  }
  row->check.time = row->event.time = moment.time;
  row->check.has_clock = row->event.has_clock = moment.has_clock;
  return true;
}

/* W4, from the raw cells, since the row could not be read as a whole. */
static bool is_serious(const intake_plan *plan, intake_fields *fields) {
  double passed = 0.0, total = 0.0;
  int counts = 0;
  for (size_t i = 0; i < plan->columns_n && i < fields->n; i++) {
    const intake_column *column = &plan->columns[i];
    const char *text = intake_field(fields, i);
    if (intake_is_missing(text))
      continue;
    bool is_text = column->role == INTAKE_ROLE_TEXT;
    if (is_text && column->item == BT_FIELD_REMARK)
      return true;
    if (is_text && column->item == BT_FIELD_SELFTEST_FAILED && !intake_is_none(text))
      return true;
    if (column->role != INTAKE_ROLE_READING)
      continue;
    if (column->item == BT_READING_SELFTEST_PASSED)
      counts += bt_number_parse(text, plan->decimal, &passed);
    else if (column->item == BT_READING_SELFTEST_TOTAL)
      counts += bt_number_parse(text, plan->decimal, &total);
  }
  return counts == 2 && passed < total;
}

static bool says_nothing(const intake_row *row) {
  const bt_check *check = &row->check;
  return check->present == 0 && check->refill == BT_REFILL_NONE && row->also == 0 &&
         check->text[BT_FIELD_PATTERN] == NULL && check->text[BT_FIELD_SELFTEST_FAILED] == NULL &&
         check->text[BT_FIELD_REMARK] == NULL;
}

/* A row with more or fewer fields is read shifted, "1,5" as 1 and 5, if it is read at all. */
static bool has_right_width(const intake_plan *plan, intake_records *records, intake_row *row) {
  intake_fields *fields = &records->fields;
  if (fields->n >= plan->least_n && fields->n <= plan->columns_n)
    return true;
  char lines[96] = "";
  if (records->last_line > records->first_line)
    (void)snprintf(lines, sizeof lines, " (lines %lld to %lld were read as one row)",
                   (long long)records->first_line, (long long)records->last_line);
  intake_row_refuse(
      row, NULL, NULL,
      "the row has %zu fields where the header has %zu%s; look for a missing or an unquoted "
      "delimiter",
      fields->n, plan->least_n, lines);
  return false;
}

static void read_fields(const intake_plan *plan, intake_records *records, intake_row *row) {
  intake_fields *fields = &records->fields;
  if (!has_right_width(plan, records, row) || !take_moment(plan, fields, row))
    return;
  row->check.unit = row->event.unit = plan->unit;
  const intake_column *event = NULL;
  for (size_t i = 0; i < fields->n; i++) {
    char *text = intake_field(fields, i);
    const intake_column *column = &plan->columns[i];
    if (column->role == INTAKE_ROLE_EVENT)
      event = column;
    if (intake_is_missing(text)) {
      if (column->role == INTAKE_ROLE_UNIT || column->role == INTAKE_ROLE_EVENT) {
        intake_row_refuse(row, column, text, "the row has no %s; fill it in", column->key);
        return;
      }
      continue;
    }
    if (!intake_row_take_cell(plan, i, text, row))
      return;
  }
  if (event == NULL && says_nothing(row))
    intake_row_refuse(row, NULL, NULL, "the row has a date but no reading; complete it");
}

void intake_row_read(const intake_plan *plan, intake_records *records, intake_row *row) {
  intake_fields *fields = &records->fields;
  int64_t first = records->first_line, last = records->last_line;
  row->check = (bt_check){.line = first, .last_line = last};
  row->event = (bt_event){.line = first, .last_line = last};
  row->refusal = (bt_refusal){.line = first};
  row->also = 0;
  row->kind = plan->kind == BT_SOURCE_EVENTS ? INTAKE_ROW_EVENT : INTAKE_ROW_CHECK;
  if (records->bad != NULL) {
    intake_row_refuse(row, NULL, NULL, "%s", records->bad);
    return;
  }
  if (intake_row_is_empty(fields)) {
    row->kind = INTAKE_ROW_EMPTY;
    return;
  }
  read_fields(plan, records, row);
  if (row->kind == INTAKE_ROW_REFUSED)
    row->refusal.serious = is_serious(plan, fields);
}
