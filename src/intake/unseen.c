/* Texts that a map gives a meaning and that no row of a log has.
 * A month may be without a refill: an import says it only where a row has what may be meant, a
 * typing error or a refill that is lost; a preview, in which a map is looked over, always. */
#include "unseen.h"
#include "near_text.h"
#include "preview.h"
#include "unmeant.h"

#include <string.h>

void intake_hear_meanings(intake_plan *plan, intake_fields *fields, int64_t line) {
  for (size_t k = 0; k < plan->values_n; k++) {
    intake_value *value = &plan->values[k];
    if (value->seen || value->column >= fields->n)
      continue;
    const char *text = intake_field(fields, value->column);
    value->seen = bt_same_name(text, value->choice->value);
    if (!value->seen && value->near_line == 0 && !intake_is_missing(text) &&
        intake_is_near(value, text) && !intake_plan_means(plan, value->column, text)) {
      value->near_line = line;
      (void)intake_show(text, value->near, sizeof value->near);
    }
  }
}

bt_status intake_hint_unseen(bt_survey *survey, const intake_plan *plan, bt_error *error) {
  bt_status status = BT_OK;
  for (size_t k = 0; k < plan->values_n && status == BT_OK; k++) {
    const intake_value *value = &plan->values[k];
    bt_text sentence = {0};
    bool told = intake_is_unmeant(plan, value->column); /* what is near to it */
    if (value->seen || ((value->near_line == 0 || told) && !survey->preview))
      continue;
    bt_text_format(&sentence,
                   "the map gives the text \"%s\" of the column \"%s\" a meaning (%s), but no row "
                   "has it: compare its spelling",
                   value->choice->value, value->choice->header, value->choice->key);
    if (value->near_line != 0)
      bt_text_format(&sentence, " with \"%s\" (line %lld)", value->near,
                     (long long)value->near_line);
    status = intake_add_hint(survey, &sentence, error);
    bt_text_free(&sentence);
  }
  return status;
}
