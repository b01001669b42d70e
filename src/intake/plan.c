/* How each column of a surveyed log is read. */
#include "plan.h"

#include <stdlib.h>
#include <string.h>

bool intake_find_column(const bt_survey *survey, const char *header, size_t *column) {
  if (header[0] == '@') {
    char *end = NULL;
    long position = strtol(header + 1, &end, 10);
    if (*end == '\0' && position >= 1 && (size_t)position <= survey->columns_n) {
      *column = (size_t)position - 1;
      return true;
    }
  }
  for (size_t i = 0; i < survey->columns_n; i++)
    if (bt_same_name(survey->columns[i].header, header)) {
      *column = i;
      return true;
    }
  return false;
}

/* The unit that a map gives a column, or NULL. */
static const char *unit_of_column(const bt_reading_choices *choices, const char *key) {
  for (size_t i = 0; choices != NULL && i < choices->columns_n; i++)
    if (strcmp(choices->columns[i].key, key) == 0)
      return choices->columns[i].from_unit;
  return NULL;
}

static bt_status plan_columns(const bt_survey *survey, intake_plan *plan, bt_error *error) {
  for (size_t i = 0; i < survey->columns_n; i++) {
    intake_column *column = &plan->columns[i];
    column->header = survey->columns[i].header;
    column->key = survey->columns[i].key;
    column->conversion = (intake_conversion){1, 1, 0};
    if (column->key != NULL || column->header[0] != '\0')
      plan->least_n = i + 1;
    if (column->key == NULL)
      continue;
    column->role = intake_role_of(column->key, &column->item);
    if (column->role == INTAKE_ROLE_EVENT)
      plan->kind = BT_SOURCE_EVENTS;
    const char *unit = unit_of_column(survey->choices, column->key);
    if (unit == NULL)
      continue;
    if (column->role != INTAKE_ROLE_READING ||
        !intake_conversion_of((bt_reading)column->item, unit, &column->conversion))
      return bt_fail(error, BT_INPUT,
                     "the map gives the column %s the unit \"%s\", which can't be converted to "
                     "\"%s\"; correct it in [units]",
                     column->key, unit,
                     column->role == INTAKE_ROLE_READING ? bt_reading_unit((bt_reading)column->item)
                                                         : "");
  }
  return BT_OK;
}

static bt_status plan_value(const bt_survey *survey, const bt_value_choice *choice,
                            intake_value *value, bt_error *error) {
  static const char event[] = "event.";
  bt_event_kind kind;
  value->choice = choice;
  if (!intake_find_column(survey, choice->header, &value->column))
    return bt_fail(error, BT_INPUT,
                   "the map's [values] name a column \"%s\" that the log doesn't have; correct the "
                   "map",
                   choice->header);
  if (strncmp(choice->key, event, sizeof event - 1) == 0 &&
      bt_event_kind_of(choice->key + sizeof event - 1, &kind)) {
    value->role = INTAKE_ROLE_EVENT;
    value->item = (int)kind;
    if (choice->result != NULL)
      value->refill = strcmp(choice->result, "before") == 0 ? BT_REFILL_BEFORE : BT_REFILL_AFTER;
  } else if (strcmp(choice->key, "state") == 0) {
    value->role = INTAKE_ROLE_STATE;
    value->item = strcmp(choice->result, "as_found") == 0 ? BT_AS_FOUND : BT_AS_LEFT;
  } else {
    value->role = intake_role_of(choice->key, &value->item);
  }
  value->folded = bt_fold_name(choice->value);
  return value->folded == NULL ? bt_fail_memory(error) : BT_OK;
}

bt_status intake_plan_make(const bt_survey *survey, intake_plan *plan, bt_error *error) {
  const bt_reading_choices *choices = survey->choices;
  size_t values = choices == NULL ? 0 : choices->values_n;
  *plan = (intake_plan){.decimal = survey->decimal,
                        .dates = survey->dates,
                        .dates_stated = choices != NULL && choices->dates != BT_DATES_AUTO,
                        .unit = survey->unit,
                        .columns_n = survey->columns_n};
  plan->columns = bt_new(survey->columns_n, sizeof *plan->columns);
  plan->values = bt_new(values, sizeof *plan->values);
  if (plan->columns == NULL || plan->values == NULL)
    return bt_fail_memory(error);
  bt_status status = plan_columns(survey, plan, error);
  for (size_t i = 0; i < values && status == BT_OK; i++) {
    intake_value *value = &plan->values[plan->values_n];
    status = plan_value(survey, &choices->values[i], value, error);
    plan->values_n += status == BT_OK;
    bool refill = value->role == INTAKE_ROLE_EVENT && value->item == BT_EVENT_GAS_REFILL;
    if (status == BT_OK && plan->kind == BT_SOURCE_CHECKS && refill &&
        value->refill == BT_REFILL_NONE)
      status = bt_fail(error, BT_INPUT,
                       "the map's event.gas_refill doesn't say whether the refill came before or "
                       "after the reading; write \"%s, %s, before\" or \"... after\"",
                       value->choice->header, value->choice->value);
  }
  return status;
}

void intake_plan_free(intake_plan *plan) {
  for (size_t i = 0; i < plan->values_n; i++)
    free(plan->values[i].folded);
  free(plan->values);
  free(plan->columns);
  *plan = (intake_plan){0};
}

const intake_value *intake_plan_value(const intake_plan *plan, size_t column, const char *text,
                                      bool *failed) {
  const intake_value *found = NULL;
  char *folded = NULL;
  for (size_t i = 0; i < plan->values_n && found == NULL; i++) {
    if (plan->values[i].column != column)
      continue;
    if (folded == NULL)
      folded = bt_fold_name(text);
    if (folded == NULL) {
      *failed = true;
      return NULL;
    }
    if (strcmp(folded, plan->values[i].folded) == 0)
      found = &plan->values[i];
  }
  free(folded);
  return found;
}
