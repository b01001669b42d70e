/* The first pass over the rows of a log in long form. */
#include "named.h"
#include "map.h"
#include "moment.h"
#include "preview.h"
#include "row.h"
#include "words.h"

#include <stdlib.h>
#include <string.h>

void intake_forget_names(bt_survey *survey) {
  for (size_t i = 0; i < survey->names_n; i++) {
    free(survey->names[i].header);
    free(survey->names[i].key);
    for (size_t k = 0; k < survey->names[i].first_n; k++)
      free(survey->names[i].first[k]);
  }
  free(survey->names);
  survey->names = NULL;
  survey->names_n = 0;
}

/* The name's place among the preview's, the last one for a new name; NULL where there is no room.
 */
static bt_survey_column *place_of(bt_survey *survey, const char *text, bt_error *error,
                                  bt_status *status) {
  for (size_t i = 0; i < survey->names_n; i++)
    if (strcmp(survey->names[i].header, text) == 0)
      return &survey->names[i];
  if (survey->names_n == INTAKE_NAMES_KEPT)
    return NULL;
  if (survey->names == NULL)
    survey->names = bt_new(INTAKE_NAMES_KEPT, sizeof *survey->names);
  char *header = bt_copy(text);
  if (survey->names == NULL || header == NULL) {
    free(header);
    *status = bt_fail_memory(error);
    return NULL;
  }
  bt_survey_column *place = &survey->names[survey->names_n++];
  place->header = header;
  place->identity = intake_header_is_identity(text);
  return place;
}

static bt_status keep_name(bt_survey *survey, const intake_name *name, const char *value,
                           bt_error *error) {
  bt_status status = BT_OK;
  bt_survey_column *place = place_of(survey, name->text, error, &status);
  if (place == NULL)
    return status;
  if (place->key == NULL && name->known && !place->identity) {
    place->key = bt_copy(name->column.key == NULL ? INTAKE_NOT_STORED : name->column.key);
    if (place->key == NULL)
      return bt_fail_memory(error);
  }
  return intake_keep_first_cell(place, value, error);
}

/* The row's unit and time, by every order that the dates may have. */
static bt_status hear_order(const intake_plan *plan, intake_records *records,
                            intake_standing *standing, bt_error *error) {
  const char *date = NULL, *clock = NULL, *unit = plan->unit == NULL ? "" : plan->unit;
  intake_row_moment(plan, &records->fields, &date, &clock);
  for (size_t i = 0; i < plan->columns_n && i < records->fields.n; i++)
    if (plan->columns[i].role == INTAKE_ROLE_UNIT)
      unit = intake_field(&records->fields, i);
  for (bt_date_order order = BT_DATES_YMD; order <= BT_DATES_MDY; order++) {
    intake_moment moment;
    if ((plan->dates_stated && order != plan->choices->dates) ||
        !intake_moment_read(date, clock, order, plan->dates_stated, &moment))
      continue;
    if (!intake_order_hear(&standing->by[order], unit, moment.time, records->first_line))
      return bt_fail_memory(error);
  }
  return BT_OK;
}

bt_status intake_hear_named(bt_survey *survey, intake_plan *plan, intake_records *records,
                            intake_standing *standing, const intake_name **name, bt_error *error) {
  const char *text = intake_field(&records->fields, plan->name_column);
  const char *value = intake_field(&records->fields, plan->value_column);
  *name = NULL;
  bt_status status = hear_order(plan, records, standing, error);
  if (status != BT_OK || intake_is_missing(text))
    return status;
  *name = intake_plan_name(plan, text);
  if (*name == NULL)
    return bt_fail_memory(error);
  bool kept = survey->preview || intake_header_is_identity(text);
  return kept ? keep_name(survey, *name, value, error) : BT_OK;
}

bt_status intake_check_standing(const intake_standing *standing, bt_date_order order,
                                bt_error *error) {
  return order == BT_DATES_AUTO ? BT_OK : intake_order_check(&standing->by[order], error);
}

void intake_standing_free(intake_standing *standing) {
  for (size_t i = 0; i <= BT_DATES_MDY; i++)
    intake_order_free(&standing->by[i]);
}
