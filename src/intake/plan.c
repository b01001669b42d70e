/* How each column of a surveyed log is read. */
#include "plan.h"
#include "columns.h"
#include "map.h"
#include "nearest.h"

#include <stdlib.h>
#include <string.h>

/* The unit that a map gives a column or reading, or NULL. */
static const char *unit_of_key(const bt_reading_choices *choices, const char *key) {
  for (size_t i = 0; key != NULL && choices != NULL && i < choices->columns_n; i++)
    if (strcmp(choices->columns[i].key, key) == 0)
      return choices->columns[i].from_unit;
  return NULL;
}

/* Puts the conversion of the map's unit, if it gives the key one, on the column. */
static bt_status plan_unit(const bt_reading_choices *choices, intake_column *column,
                           bt_error *error) {
  const char *unit = unit_of_key(choices, column->key);
  if (unit == NULL)
    return BT_OK;
  bool reading = column->role == INTAKE_ROLE_READING;
  if (reading && intake_conversion_of((bt_reading)column->item, unit, &column->conversion))
    return BT_OK;
  return bt_fail(error, BT_INPUT,
                 "the map gives the column %s the unit \"%s\", which can't be converted to \"%s\"; "
                 "correct it in [units]",
                 column->key, unit, reading ? bt_reading_unit((bt_reading)column->item) : "");
}

bool intake_unit_is_untold(const bt_reading_choices *choices, const intake_column *column,
                           const char *header, char unit[INTAKE_UNIT_BYTES]) {
  intake_conversion found;
  if (column->role != INTAKE_ROLE_READING || unit_of_key(choices, column->key) != NULL)
    return false;
  intake_header_unit(header, unit);
  return unit[0] != '\0' && intake_conversion_of((bt_reading)column->item, unit, &found) &&
         (found.factor != 1 || found.divisor != 1 || found.shift != 0);
}

static bt_status check_header_unit(const bt_reading_choices *choices, const intake_column *column,
                                   bt_error *error) {
  char unit[INTAKE_UNIT_BYTES];
  if (!intake_unit_is_untold(choices, column, column->header, unit))
    return BT_OK;
  const char *own = bt_reading_unit((bt_reading)column->item);
  return bt_fail(
      error, BT_INPUT,
      "the column \"%s\" seems to hold %s, and %s is in %s; say in a map, under [units], "
      "which it is: %s = %s (converted), or %s = %s (as it stands)",
      column->header, unit, column->key, own, column->key, unit, column->key, own);
}

/* Tables of our own export whose records don't stand: they must not come back as a log. */
static bool holds_past_records(const bt_survey *survey) {
  for (size_t i = 0; i < survey->columns_n; i++)
    if (bt_same_name(survey->columns[i].header, "became") ||
        bt_same_name(survey->columns[i].header, "conflict"))
      return true;
  return false;
}

static bt_status plan_columns(const bt_survey *survey, intake_plan *plan, bt_error *error) {
  static const char export[] = "beamtally_export";
  for (size_t i = 0; i < survey->columns_n; i++) {
    intake_column *column = &plan->columns[i];
    column->header = survey->columns[i].header;
    column->key = survey->columns[i].key;
    column->conversion = (intake_conversion){1, 1, 0};
    plan->own_export = plan->own_export || bt_same_name(column->header, export);
    if (column->key != NULL || column->header[0] != '\0')
      plan->least_n = i + 1;
    if (column->key == NULL)
      continue;
    column->role = intake_role_in(survey->choices, column->key, &column->item);
    if (column->role == INTAKE_ROLE_EVENT)
      plan->kind = BT_SOURCE_EVENTS;
    plan->words_are_note = plan->words_are_note || intake_words_are_note(survey, i);
    if (column->role == INTAKE_ROLE_DATE)
      plan->date = column;
    if (column->role == INTAKE_ROLE_TIME)
      plan->clock = column;
    if (column->role == INTAKE_ROLE_NAME)
      plan->name_column = i;
    if (column->role == INTAKE_ROLE_VALUE)
      plan->value_column = i;
    if (column->role == INTAKE_ROLE_MEASURE)
      plan->measure_column = i;
    bt_status status = plan_unit(survey->choices, column, error);
    if (status == BT_OK)
      status = check_header_unit(survey->choices, column, error);
    if (status != BT_OK)
      return status;
  }
  if (plan->own_export && holds_past_records(survey))
    return bt_fail(error, BT_INPUT,
                   "this table of an export holds records that were superseded or held back; what "
                   "stands is in its checks.csv and events.csv, import those");
  return BT_OK;
}

static bool is_event_key(const char *key, bt_event_kind *kind) {
  static const char event[] = "event.";
  return strncmp(key, event, sizeof event - 1) == 0 &&
         bt_event_kind_of(key + sizeof event - 1, kind);
}

/* The role of a meaning's key, and what it gives. */
static void plan_meaning(const bt_reading_choices *choices, const bt_value_choice *choice,
                         intake_value *value) {
  bt_event_kind kind;
  if (is_event_key(choice->key, &kind)) {
    value->role = INTAKE_ROLE_EVENT;
    value->item = (int)kind;
    if (choice->result != NULL)
      value->refill = strcmp(choice->result, "before") == 0 ? BT_REFILL_BEFORE : BT_REFILL_AFTER;
    return;
  }
  value->name = choice->result == NULL;
  value->role = intake_role_in(choices, choice->key, &value->item);
  if (value->role == INTAKE_ROLE_STATE && choice->result != NULL)
    value->item = strcmp(choice->result, "as_found") == 0 ? BT_AS_FOUND : BT_AS_LEFT;
  bool number = intake_is_number(value->role);
  if (number && !value->name)
    value->name = !bt_number_parse(choice->result, BT_DECIMAL_POINT, &value->number);
}

/* Whether the map reads events out of the column that it calls so. */
static bool tells_events(const bt_reading_choices *choices, const char *header) {
  bt_event_kind kind;
  for (size_t i = 0; i < choices->values_n; i++)
    if (is_event_key(choices->values[i].key, &kind) &&
        bt_same_name(choices->values[i].header, header))
      return true;
  return false;
}

/* A log with one row a check: in a column that is read, such a text is no reading, and in one that
 * events are read out of it is none. */
static bool is_not_measured(const intake_plan *plan, const intake_column *column,
                            const bt_value_choice *choice) {
  bool read = intake_is_number(column->role) || column->role == INTAKE_ROLE_TEXT ||
              column->role == INTAKE_ROLE_STATE || column->role == INTAKE_ROLE_REFILL ||
              (plan->kind == BT_SOURCE_CHECKS && tells_events(plan->choices, choice->header));
  return !plan->long_form && read && strcmp(choice->key, INTAKE_NOT_STORED) == 0;
}

static bt_status plan_value(const bt_survey *survey, const bt_value_choice *choice,
                            intake_plan *plan, intake_value *value, bt_error *error) {
  value->choice = choice;
  if (!intake_find_column(survey, choice->header, &value->column))
    return bt_fail(error, BT_INPUT,
                   "the map's [values] name a column \"%s\" that the log doesn't have; correct the "
                   "map",
                   choice->header);
  plan_meaning(survey->choices, choice, value);
  intake_column *column = &plan->columns[value->column];
  bool of_names = plan->long_form && value->column == plan->name_column;
  if (value->name && !of_names && value->role == INTAKE_ROLE_NONE &&
      !is_not_measured(plan, column, choice))
    return bt_fail(
        error, BT_INPUT,
        "the map's [values] have not_stored = %s, %s: a word for \"not measured\" is said "
        "of a column that [columns] reads as a reading, text, state or refill or that other lines "
        "of [values] read events out of, and in long form of a name in the column of names",
        choice->header, choice->value);
  if (value->name && !of_names && value->role != INTAKE_ROLE_NONE)
    return bt_fail(
        error, BT_INPUT,
        "the map's [values] have \"%s\" without what it means there (%s.1, say): only in "
        "a log in long form, and in its column of names, a cell is the name of a reading",
        choice->key, choice->key);
  if (of_names && !value->name && value->role != INTAKE_ROLE_EVENT)
    return bt_fail(error, BT_INPUT,
                   "the map's [values] give a name in the column \"%s\" the meaning %s.%s; there a "
                   "cell names a reading (%s = %s, %s), and what its value means is said of the "
                   "column of values",
                   choice->header, choice->key, choice->result, choice->key, choice->header,
                   choice->value);
  if (survey->columns[value->column].identity)
    return bt_fail(error, BT_INPUT,
                   "the column \"%s\" looks like a patient's identity: it is never read; take it "
                   "out of the map's [values]",
                   column->header);
  column->meanings = true;
  bool checks = plan->kind == BT_SOURCE_CHECKS, event = value->role == INTAKE_ROLE_EVENT;
  column->events = column->events || (event && checks && !plan->long_form);
  column->must_mean = column->must_mean || (column->role == INTAKE_ROLE_NONE && !event && checks &&
                                            value->role != INTAKE_ROLE_NONE);
  return BT_OK;
}

/* In long form a unit is said of a reading, not of its column. */
static bt_status check_units(const bt_reading_choices *choices, bt_error *error) {
  for (size_t i = 0; choices != NULL && i < choices->columns_n; i++) {
    intake_column column = {.key = choices->columns[i].key};
    column.role = intake_role_in(choices, column.key, &column.item);
    bt_status status = plan_unit(choices, &column, error);
    if (status != BT_OK)
      return status;
  }
  return BT_OK;
}

bt_status intake_plan_make(const bt_survey *survey, intake_plan *plan, bt_error *error) {
  const bt_reading_choices *choices = survey->choices;
  size_t values = choices == NULL ? 0 : choices->values_n;
  *plan = (intake_plan){.decimal = survey->decimal,
                        .thousands = choices == NULL ? BT_THOUSANDS_NONE : choices->thousands,
                        .dates = survey->dates,
                        .dates_stated = choices != NULL && choices->dates != BT_DATES_AUTO,
                        .days_alone = survey->days_alone,
                        .unit = survey->unit,
                        .choices = choices,
                        .long_form = survey->long_form,
                        .kind = choices != NULL && choices->all_events ? BT_SOURCE_EVENTS
                                                                       : BT_SOURCE_CHECKS,
                        .measure_column = SIZE_MAX,
                        .columns_n = survey->columns_n};
  plan->columns = bt_new(survey->columns_n, sizeof *plan->columns);
  plan->values = bt_new(values, sizeof *plan->values);
  if (plan->columns == NULL || plan->values == NULL)
    return bt_fail_memory(error);
  bt_status status = plan_columns(survey, plan, error);
  if (status == BT_OK && plan->long_form)
    status = check_units(choices, error);
  for (size_t i = 0; i < values && status == BT_OK; i++) {
    intake_value *value = &plan->values[plan->values_n];
    status = plan_value(survey, &choices->values[i], plan, value, error);
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
  for (size_t i = 0; i <= INTAKE_NAMES_KEPT; i++)
    free(plan->names[i].text);
  for (size_t i = 0; i < plan->unmeant_n; i++)
    free(plan->unmeant[i].text);
  free(plan->unmeant);
  free(plan->values);
  free(plan->columns);
  *plan = (intake_plan){0};
}

const intake_value *intake_plan_value(const intake_plan *plan, size_t column, const char *text,
                                      size_t *next) {
  while (*next < plan->values_n) {
    const intake_value *value = &plan->values[(*next)++];
    if (value->column == column && bt_same_name(text, value->choice->value))
      return value;
  }
  return NULL;
}

bool intake_plan_means(const intake_plan *plan, size_t column, const char *text) {
  size_t next = 0;
  return plan->columns[column].meanings && intake_plan_value(plan, column, text, &next) != NULL;
}

/* What a name means by the map: a reading, an event, or not stored. */
static bool name_by_map(const intake_plan *plan, const char *text, intake_name *name) {
  size_t next = 0;
  if (!plan->columns[plan->name_column].meanings)
    return false;
  const intake_value *value = intake_plan_value(plan, plan->name_column, text, &next);
  if (value == NULL)
    return false;
  name->column.role = value->role;
  name->column.item = value->item;
  name->column.key = value->role == INTAKE_ROLE_NONE ? NULL : value->choice->key;
  name->refill = value->refill;
  return true;
}

/* What it means by itself. */
static bool name_by_itself(const intake_plan *plan, const char *text, intake_name *name) {
  const char *key = intake_key_of_header(plan->choices, text);
  intake_column *column = &name->column;
  if (key == NULL)
    return false;
  column->key = key;
  column->role = intake_role_in(plan->choices, key, &column->item);
  return intake_is_held(column->role) || column->role == INTAKE_ROLE_OWN;
}

const intake_name *intake_plan_name(intake_plan *plan, const char *text) {
  for (size_t i = 0; i < plan->names_n; i++)
    if (strcmp(plan->names[i].text, text) == 0)
      return &plan->names[i];
  intake_name *name = &plan->names[plan->names_n];
  char *copy = bt_copy(text);
  if (copy == NULL)
    return NULL;
  free(name->text);
  *name = (intake_name){.text = copy};
  /* A patient's identity is never read, whatever a map says: its rows are passed over. */
  name->known = intake_header_is_identity(text) || name_by_map(plan, text, name) ||
                name_by_itself(plan, text, name);
  if (!name->known)
    name->nearest =
        intake_nearest_key(plan->choices == NULL ? NULL : plan->choices->own,
                           plan->choices == NULL ? 0 : plan->choices->own_n, text, true);
  name->column.header = plan->columns[plan->value_column].header;
  name->column.conversion = (intake_conversion){1, 1, 0};
  const char *unit = unit_of_key(plan->choices, name->known ? name->column.key : NULL);
  bool converted = unit != NULL && name->column.role == INTAKE_ROLE_READING;
  if (converted &&
      !intake_conversion_of((bt_reading)name->column.item, unit, &name->column.conversion))
    return NULL;
  plan->names_n += plan->names_n < INTAKE_NAMES_KEPT;
  return name;
}
