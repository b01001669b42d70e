/* One cell of a row into its check or event, or why not. */
#include "row.h"
#include "words.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

void intake_row_refuse(intake_row *row, const intake_column *column, const char *value,
                       const char *format, ...) {
  va_list arguments;
  va_start(arguments, format);
  (void)vsnprintf(row->reason, sizeof row->reason, format, arguments);
  va_end(arguments);
  row->kind = INTAKE_ROW_REFUSED;
  row->refusal.reason = row->reason;
  if (column != NULL) {
    row->refusal.column = column->header;
    row->refusal.field = column->key;
  }
  if (value != NULL) {
    row->refusal.value = intake_show(value, row->value, sizeof row->value);
  }
}

/* Text as it is kept: one kind of line break, and without the quote that keeps a spreadsheet from
 * taking a text of our own export for a formula. */
static char *clean_text(char *text) {
  if (text[0] == '\'' && text[1] != '\0' && strchr("=+-@\t\r", text[1]) != NULL)
    text++;
  if (strchr(text, '\r') == NULL)
    return text;
  char *to = text;
  for (const char *from = text; *from != '\0'; from++) {
    if (from[0] == '\r' && from[1] == '\n')
      continue;
    *to++ = *from == '\r' ? '\n' : *from;
  }
  *to = '\0';
  return text;
}

static bool take_reading(const intake_plan *plan, const intake_column *column, const char *text,
                         intake_row *row) {
  bt_reading reading = (bt_reading)column->item;
  double value = 0.0;
  if (!bt_number_parse(text, plan->decimal, &value)) {
    intake_row_refuse(row, column, text,
                      "expected a number with a decimal %s; correct the cell or map the column",
                      plan->decimal == BT_DECIMAL_COMMA ? "comma" : "point");
    return false;
  }
  value = intake_convert(&column->conversion, value);
  if (!(fabs(value) < INTAKE_MOST_READABLE)) {
    intake_row_refuse(row, column, text,
                      "the number is larger than any instrument reads; correct the cell");
    return false;
  }
  if (value < 0.0 && !bt_reading_may_be_negative(reading)) {
    intake_row_refuse(row, column, text,
                      "a value below zero is not possible here; correct the cell");
    return false;
  }
  row->check.reading[reading] = value == 0.0 ? 0.0 : value; /* no negative zero */
  row->check.present |= 1U << reading;
  return true;
}

static bool take_state(const intake_column *column, const char *text, const intake_value *value,
                       intake_row *row) {
  if (value != NULL && value->role == INTAKE_ROLE_STATE) {
    row->check.state = (bt_state)value->item;
    return true;
  }
  if (intake_state_of(text, &row->check.state))
    return true;
  intake_row_refuse(row, column, text,
                    "expected as_found or as_left; correct the cell, or say in the map's [values] "
                    "what it means");
  return false;
}

static bool take_refill(const intake_column *column, const char *text, intake_row *row) {
  bt_refill refill;
  if (!intake_refill_of(text, &refill)) {
    intake_row_refuse(
        row, column, text,
        "expected \"before\" or \"after\": whether the refill came before or after this row's "
        "reading; correct the cell, or say it in the map's [values]");
    return false;
  }
  row->check.refill = refill;
  return true;
}

static bool take_event(const intake_column *column, const char *text, const intake_value *value,
                       intake_row *row) {
  if (value != NULL && value->role == INTAKE_ROLE_EVENT) {
    row->event.kind = (bt_event_kind)value->item;
    return true;
  }
  if (bt_event_kind_of(text, &row->event.kind))
    return true;
  intake_row_refuse(
      row, column, text,
      "expected one of gas_refill, gas_bottle, optics_cleaned, service, recalibration, moved, "
      "meter_changed, other; correct the cell, or say in the map's [values] what it means");
  return false;
}

/* An event or refill that a map reads out of a check's cell. */
static void note_event(const intake_plan *plan, const intake_value *value, intake_row *row) {
  if (plan->kind != BT_SOURCE_CHECKS || value == NULL || value->role != INTAKE_ROLE_EVENT)
    return;
  if (value->item == BT_EVENT_GAS_REFILL)
    row->check.refill = value->refill;
  else
    row->also |= 1U << value->item;
}

bool intake_row_take_cell(const intake_plan *plan, size_t i, char *text, intake_row *row) {
  const intake_column *column = &plan->columns[i];
  bool failed = false;
  const intake_value *value =
      plan->values_n == 0 ? NULL : intake_plan_value(plan, i, text, &failed);
  if (failed) {
    row->kind = INTAKE_ROW_MEMORY;
    return false;
  }
  note_event(plan, value, row);
  switch (column->role) {
  case INTAKE_ROLE_UNIT:
    row->check.unit = row->event.unit = clean_text(text);
    return true;
  case INTAKE_ROLE_READING:
    return take_reading(plan, column, text, row);
  case INTAKE_ROLE_TEXT:
    if (value != NULL && value->role == INTAKE_ROLE_TEXT && value->item == column->item)
      row->check.text[column->item] = value->choice->result;
    else if (column->item != BT_FIELD_SELFTEST_FAILED || !intake_is_none(text))
      row->check.text[column->item] = clean_text(text);
    return true;
  case INTAKE_ROLE_STATE:
    return take_state(column, text, value, row);
  case INTAKE_ROLE_REFILL:
    return value != NULL || take_refill(column, text, row);
  case INTAKE_ROLE_EVENT:
    return take_event(column, text, value, row);
  case INTAKE_ROLE_NOTE:
    row->event.note = clean_text(text);
    return true;
  default:
    return true;
  }
}
