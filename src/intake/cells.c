/* One cell of a row into its check or event, or why not. */
#include "cells.h"
#include "event_words.h"
#include "words.h"

#include <string.h>

/* Two cells may give one reading where they agree. */
static bool put_reading(const intake_column *column, bt_reading reading, double value,
                        const char *text, intake_row *row) {
  bt_check *check = &row->check;
  if (bt_check_has(check, reading) && check->reading[reading] != value) {
    intake_row_refuse(row, column, text,
                      "two cells of the row give %s, with different numbers; correct one",
                      bt_reading_key(reading));
    return false;
  }
  check->reading[reading] = value;
  check->present |= 1U << reading;
  return true;
}

static bool put_own(const intake_plan *plan, const intake_column *column, int item, double value,
                    const char *text, intake_row *row) {
  const char *key = plan->choices->own[item].key;
  for (size_t i = 0; i < row->check.own_n; i++)
    if (row->own[i].key == key) {
      if (row->own[i].value == value)
        return true;
      intake_row_refuse(row, column, text,
                        "two cells of the row give %s, with different numbers; correct one", key);
      return false;
    }
  row->own[row->check.own_n++] = (bt_own_reading){key, value};
  return true;
}

static bool take_reading(const intake_plan *plan, const intake_column *column, const char *text,
                         intake_row *row) {
  bt_reading reading = (bt_reading)column->item;
  double value = 0.0, total = 0.0;
  if (reading == BT_READING_SELFTEST_PASSED && intake_pair_of(text, &value, &total)) {
    row->implied |= 1U << BT_READING_SELFTEST_TOTAL;
    return put_reading(column, reading, value, text, row) &&
           put_reading(column, BT_READING_SELFTEST_TOTAL, total, text, row);
  }
  if (!intake_cell_number(plan, column, text, &value, row))
    return false;
  if (value < 0.0 && !bt_reading_may_be_negative(reading)) {
    intake_row_refuse(row, column, text,
                      "a value below zero is not possible here; correct the cell");
    return false;
  }
  return put_reading(column, reading, value, text, row);
}

static bool take_own(const intake_plan *plan, const intake_column *column, const char *text,
                     intake_row *row) {
  double value = 0.0;
  return intake_cell_number(plan, column, text, &value, row) &&
         put_own(plan, column, column->item, value, text, row);
}

static bool put_text(const intake_column *column, int field, const char *kept, const char *text,
                     intake_row *row) {
  const char *before = row->check.text[field];
  if (before != NULL && strcmp(before, kept) != 0) {
    intake_row_refuse(row, column, text,
                      "two cells of the row give %s, with different texts; correct one",
                      bt_text_field_key((bt_text_field)field));
    return false;
  }
  row->check.text[field] = kept;
  return true;
}

static bool put_state(const intake_column *column, bt_state state, const char *text,
                      intake_row *row) {
  if (row->check.state != BT_STATE_NONE && row->check.state != state) {
    intake_row_refuse(
        row, column, text,
        "two cells of the row give its state, one as_found, one as_left; correct one");
    return false;
  }
  row->check.state = state;
  return true;
}

static bool take_state(const intake_column *column, const char *text, intake_row *row) {
  bt_state state = BT_STATE_NONE;
  if (intake_state_of(text, &state))
    return put_state(column, state, text, row);
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
  return intake_cell_refill(column, refill, text, row);
}

static bool take_event(const intake_column *column, const char *text, intake_row *row) {
  if (bt_event_kind_of(text, &row->event.kind))
    return true;
  char kinds[BT_EVENT_KEYS_TEXT];
  intake_row_refuse(
      row, column, text,
      "expected one of %s; correct the cell, or say what it means in a column map under "
      "[values], in a line like: event.%s = %s, THE CELL'S TEXT",
      bt_event_keys(", ", kinds), /* as ever: reasons are kept, and compared with older ones */
      bt_event_key(intake_event_guess(text)), column->header);
  return false;
}

/* One meaning of a text that stands in `column`. */
static bool apply(const intake_plan *plan, const intake_column *column, const intake_value *value,
                  const char *text, intake_row *row) {
  switch (value->role) {
  case INTAKE_ROLE_EVENT:
    row->event.kind = (bt_event_kind)value->item;
    if (plan->kind == BT_SOURCE_CHECKS)
      return intake_cell_event(plan, column, value, text, row);
    row->also |= 1U << value->item;
    return true;
  case INTAKE_ROLE_READING:
    if (column->role != INTAKE_ROLE_READING || column->item != value->item)
      row->implied |= 1U << value->item;
    return put_reading(column, (bt_reading)value->item, value->number, text, row);
  case INTAKE_ROLE_OWN:
    return put_own(plan, column, value->item, value->number, text, row);
  case INTAKE_ROLE_TEXT:
    if (value->item == BT_FIELD_SELFTEST_FAILED && intake_is_none(value->choice->result))
      return true; /* selftest_failed.none: no failed item */
    return put_text(column, value->item, value->choice->result, text, row);
  case INTAKE_ROLE_STATE:
    return put_state(column, (bt_state)value->item, text, row);
  default:
    return true;
  }
}

/* In long form a meaning in the column of values holds for rows of its key; a self-test's total
 * comes with what passed, and a refill is noted as an event. */
static bool holds_for(const intake_value *value, const intake_column *named) {
  if (value->role == INTAKE_ROLE_EVENT)
    return named->role == INTAKE_ROLE_REFILL && value->item == BT_EVENT_GAS_REFILL;
  bool total = value->role == INTAKE_ROLE_READING && value->item == BT_READING_SELFTEST_TOTAL &&
               named->role == INTAKE_ROLE_READING && named->item == BT_READING_SELFTEST_PASSED;
  return total || (value->role == named->role &&
                   (value->role == INTAKE_ROLE_STATE || value->item == named->item));
}

/* What the map's [values] make of a text in column i. `named`: in long form, how the row's value is
 * read; else NULL. *any: it has a meaning; *whole: one that stands for what the column is read as.
 */
static bool apply_meanings(const intake_plan *plan, size_t i, const intake_column *named,
                           const char *text, bool *any, bool *whole, intake_row *row) {
  const intake_column *column = named == NULL ? &plan->columns[i] : named;
  const intake_value *value = NULL;
  size_t next = 0;
  bool taken = true;
  while (taken && (value = intake_plan_value(plan, i, text, &next)) != NULL) {
    if (named != NULL && !holds_for(value, named))
      continue;
    bool same = value->role == INTAKE_ROLE_NONE || /* not_stored */
                (value->role == column->role &&
                 (value->role == INTAKE_ROLE_EVENT || value->role == INTAKE_ROLE_STATE ||
                  value->item == column->item));
    *any = true;
    *whole = *whole || same;
    taken = apply(plan, column, value, text, row);
  }
  return taken;
}

/* Reads a text as the column is read. */
static bool read_as(const intake_plan *plan, const intake_column *column, char *text,
                    intake_row *row) {
  switch (column->role) {
  case INTAKE_ROLE_UNIT:
    row->check.unit = row->event.unit = intake_cell_text(plan, text);
    return true;
  case INTAKE_ROLE_READING:
    return take_reading(plan, column, text, row);
  case INTAKE_ROLE_OWN:
    return take_own(plan, column, text, row);
  case INTAKE_ROLE_TEXT:
    if (column->item == BT_FIELD_SELFTEST_FAILED && intake_is_none(text))
      return true;
    return put_text(column, column->item, intake_cell_text(plan, text), text, row);
  case INTAKE_ROLE_STATE:
    return take_state(column, text, row);
  case INTAKE_ROLE_REFILL:
    return take_refill(column, text, row);
  case INTAKE_ROLE_EVENT:
    return take_event(column, text, row);
  case INTAKE_ROLE_NOTE:
    row->event.note = intake_cell_text(plan, text);
    return true;
  default:
    return true;
  }
}

bool intake_row_take_cell(const intake_plan *plan, size_t i, char *text, intake_row *row) {
  const intake_column *column = &plan->columns[i];
  bool any = false, whole = false;
  if (column->meanings && !apply_meanings(plan, i, NULL, text, &any, &whole, row))
    return false;
  if (column->must_mean && !any) {
    intake_row_refuse(row, column, text,
                      "the map's [values] read this column but not this text; say there what it "
                      "means, or correct the cell");
    return false;
  }
  if (any)
    intake_cell_keep_words(plan, i, text, row);
  if (whole || (any && column->role == INTAKE_ROLE_REFILL))
    return true;
  return read_as(plan, column, text, row);
}

bool intake_row_take_named(const intake_plan *plan, const intake_name *name, char *text,
                           intake_row *row) {
  const intake_column *column = &name->column;
  bool any = false, whole = false;
  if (column->role == INTAKE_ROLE_NONE)
    return true;
  if (column->role == INTAKE_ROLE_EVENT)
    return intake_cell_named_event(plan, name, text, row);
  if (plan->columns[plan->value_column].meanings &&
      !apply_meanings(plan, plan->value_column, column, text, &any, &whole, row))
    return false;
  row->named_state = column->role == INTAKE_ROLE_STATE;
  row->named_refill = column->role == INTAKE_ROLE_REFILL;
  if (column->role == INTAKE_ROLE_TEXT)
    row->named_texts |= 1U << column->item;
  if (whole || (any && column->role == INTAKE_ROLE_REFILL))
    return true;
  return read_as(plan, column, text, row);
}
