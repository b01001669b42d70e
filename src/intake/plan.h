/* How each column of a surveyed log is read, worked out once before its rows are. */
#ifndef INTAKE_PLAN_H
#define INTAKE_PLAN_H

#include "beamtally/intake.h"
#include "convert.h"
#include "header.h"

typedef struct intake_column {
  intake_role role;
  int item; /* bt_reading or bt_text_field of those roles */
  const char *header, *key;
  intake_conversion conversion;
} intake_column;

/* What one text in one column means. */
typedef struct intake_value {
  size_t column;
  char *folded; /* the text, by bt_fold_name */
  const bt_value_choice *choice;
  intake_role role; /* EVENT, TEXT or STATE */
  int item;         /* bt_event_kind, bt_text_field or bt_state */
  bt_refill refill; /* of a gas refill in a log of checks */
} intake_value;

typedef struct intake_plan {
  bt_source_kind kind;
  size_t columns_n, values_n;
  size_t least_n; /* fields that a row needs: the header may end in delimiters that rows lack */
  intake_column *columns;
  intake_value *values;
  bt_decimal_mark decimal;
  bt_date_order dates;
  bool dates_stated;
  const char *unit;
  bt_time latest;
} intake_plan;

/* `choices` must outlive the plan, as must the survey. BT_INPUT for a choice that the log or a
 * column can't follow; the plan is then good for the columns before it. */
bt_status intake_plan_make(const bt_survey *survey, intake_plan *plan,
                           bt_error *error) BT_MUST_CHECK;
void intake_plan_free(intake_plan *plan);

/* The meaning of the text in that column, or NULL. Sets *failed without memory. */
const intake_value *intake_plan_value(const intake_plan *plan, size_t column, const char *text,
                                      bool *failed);

/* Column (from 0) that a map's header, or "@3", means among the survey's; false where none is. */
bool intake_find_column(const bt_survey *survey, const char *header, size_t *column) BT_MUST_CHECK;

#endif
