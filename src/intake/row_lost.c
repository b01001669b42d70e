/* What is lost with a refused row, told from its raw cells, since it could not be read as a whole
 * (W4 of row.c). */
#include "row.h"
#include "words.h"

#include <math.h>
#include <string.h>

/* What a cell says of the self-test: how many passed, of how many; what it doesn't say stays. */
static void hear_selftest(const intake_plan *plan, size_t i, const char *text, double *passed,
                          double *total) {
  const intake_column *column = &plan->columns[i];
  const intake_value *value = NULL;
  size_t next = 0;
  bool reading = column->role == INTAKE_ROLE_READING;
  bool meanings = column->meanings;
  while (meanings && (value = intake_plan_value(plan, i, text, &next)) != NULL)
    if (value->role == INTAKE_ROLE_READING && value->item == BT_READING_SELFTEST_PASSED)
      *passed = value->number;
    else if (value->role == INTAKE_ROLE_READING && value->item == BT_READING_SELFTEST_TOTAL)
      *total = value->number;
  double a = 0.0, b = 0.0;
  if (reading && column->item == BT_READING_SELFTEST_PASSED) {
    if (intake_pair_of(text, &a, &b)) {
      *passed = a;
      *total = b;
    } else if (bt_number_parse(text, plan->decimal, &a)) {
      *passed = a;
    }
  } else if (reading && column->item == BT_READING_SELFTEST_TOTAL &&
             bt_number_parse(text, plan->decimal, &b)) {
    *total = b;
  }
}

/* In long form: the row's remark, or subsystems that failed. */
static unsigned text_of(intake_plan *plan, intake_fields *fields) {
  if (!plan->long_form || fields->n < plan->least_n)
    return 0;
  const char *value = intake_field(fields, plan->value_column);
  const intake_name *name = intake_plan_name(plan, intake_field(fields, plan->name_column));
  if (name == NULL || !name->known || name->column.role != INTAKE_ROLE_TEXT ||
      intake_is_missing(value))
    return 0;
  return name->column.item == BT_FIELD_REMARK ? BT_LOST_REMARK
         : name->column.item == BT_FIELD_SELFTEST_FAILED && !intake_is_none(value)
             ? BT_LOST_SELFTEST
             : 0;
}

/* Whether the map says of the text of a column of failed subsystems that it names none. */
static bool means_none(const intake_plan *plan, size_t i, const char *text) {
  const intake_value *value = NULL;
  size_t next = 0;
  bool none = intake_is_none(text);
  bool meanings = plan->columns[i].meanings;
  while (meanings && (value = intake_plan_value(plan, i, text, &next)) != NULL)
    none = none || (value->role == INTAKE_ROLE_TEXT && value->item == BT_FIELD_SELFTEST_FAILED &&
                    intake_is_none(value->choice->result));
  return none;
}

/* Whether the cell of a log of checks notes a gas refill, by itself or by the map. */
static bool is_refill(const intake_plan *plan, size_t i, const char *text) {
  const intake_value *value = NULL;
  size_t next = 0;
  bt_refill refill = BT_REFILL_NONE;
  bool noted = plan->columns[i].role == INTAKE_ROLE_REFILL && intake_refill_of(text, &refill) &&
               refill != BT_REFILL_NONE;
  bool meanings = plan->columns[i].meanings;
  while (meanings && (value = intake_plan_value(plan, i, text, &next)) != NULL)
    noted = noted || (value->role == INTAKE_ROLE_EVENT && value->item == BT_EVENT_GAS_REFILL);
  return noted;
}

static bool holds_refill(intake_plan *plan, intake_fields *fields) {
  if (plan->kind != BT_SOURCE_CHECKS || fields->n < plan->least_n)
    return false;
  for (size_t i = 0; i < plan->columns_n && i < fields->n; i++)
    if (is_refill(plan, i, intake_field(fields, i)))
      return true;
  if (!plan->long_form)
    return false;
  const char *text = intake_field(fields, plan->value_column);
  const intake_name *name = intake_plan_name(plan, intake_field(fields, plan->name_column));
  bt_refill refill = BT_REFILL_NONE;
  bool none =
      intake_is_missing(text) || (intake_refill_of(text, &refill) && refill == BT_REFILL_NONE);
  return name != NULL && name->known && !none &&
         (name->column.role == INTAKE_ROLE_REFILL ||
          (name->column.role == INTAKE_ROLE_EVENT && name->column.item == BT_EVENT_GAS_REFILL));
}

static void say_refill(intake_row *row) {
  static const char said[] = BT_REFUSED_REFILL;
  size_t length = strlen(row->reason);
  if (length + sizeof said <= sizeof row->reason)
    memcpy(row->reason + length, said, sizeof said);
}

static unsigned lost_with(intake_plan *plan, intake_fields *fields) {
  double passed = HUGE_VAL, total = 0.0; /* where nothing is said: not failing */
  unsigned lost = text_of(plan, fields);
  for (size_t i = 0; i < plan->columns_n && i < fields->n; i++) {
    const intake_column *column = &plan->columns[i];
    const char *text = intake_field(fields, i);
    if (intake_is_missing(text))
      continue;
    bool is_text = column->role == INTAKE_ROLE_TEXT;
    if (is_text && column->item == BT_FIELD_REMARK)
      lost |= BT_LOST_REMARK;
    if (is_text && column->item == BT_FIELD_SELFTEST_FAILED && !means_none(plan, i, text))
      lost |= BT_LOST_SELFTEST;
    hear_selftest(plan, i, text, &passed, &total);
  }
  return lost | (passed < total ? BT_LOST_SELFTEST : 0);
}

void intake_row_weigh(intake_plan *plan, intake_fields *fields, intake_row *row) {
  row->refusal.lost = lost_with(plan, fields);
  if (holds_refill(plan, fields)) {
    row->refusal.lost |= BT_LOST_REFILL;
    say_refill(row);
  }
}
