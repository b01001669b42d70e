/* What a person may do further with a log, said by a preview. */
#ifndef INTAKE_HINTS_H
#define INTAKE_HINTS_H

#include "beamtally/intake.h"
#include "header.h"

/* How a column of numbers could be declared as a characteristic of the clinic's own. */
typedef struct intake_declaration {
  char key[INTAKE_NAME_BYTES], title[2 * INTAKE_NAME_BYTES], unit[INTAKE_NAME_BYTES];
} intake_declaration;

void intake_declare(const char *header, intake_declaration *declaration);

/* True when the map's [values] look into column i. */
bool intake_has_meanings(const bt_survey *survey, size_t i);

/* Takes the sentence, which is empty then. */
bt_status intake_add_hint(bt_survey *survey, bt_text *sentence, bt_error *error) BT_MUST_CHECK;

bt_status intake_give_hints(bt_survey *survey, bt_error *error) BT_MUST_CHECK;
void intake_forget_hints(bt_survey *survey);

#endif
