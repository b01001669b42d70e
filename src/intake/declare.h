/* How a column of numbers could be declared. */
#ifndef INTAKE_DECLARE_H
#define INTAKE_DECLARE_H

#include "beamtally/intake.h"
#include "header.h"

/* How a column of numbers could be declared as a characteristic of the clinic's own. */
typedef struct intake_declaration {
  char key[INTAKE_NAME_BYTES], title[2 * INTAKE_NAME_BYTES], unit[INTAKE_NAME_BYTES];
} intake_declaration;

void intake_declare(const bt_survey_column *column, intake_declaration *declaration);

#endif
