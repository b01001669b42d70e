/* The unit that a column's numbers have, and the readings that a unit allows. */
#ifndef INTAKE_UNIT_READINGS_H
#define INTAKE_UNIT_READINGS_H

#include "beamtally/intake.h"
#include "header.h"

/* The readings that a unit allows, one bit each: those that are kept in it, and those that it can
 * be converted to. None where it is no unit. */
typedef struct intake_unit_readings {
  uint32_t same, converted;
} intake_unit_readings;

intake_unit_readings intake_readings_of_unit(const char *unit);

/* What is left to guess by the unit alone. */
uint32_t intake_readings_by_unit(intake_unit_readings of);

/* Of numbers, the header's unit, or the cells' where it names none that is known. True where a map
 * has to say it. */
bool intake_unit_of_column(const bt_survey_column *column,
                           char unit[INTAKE_UNIT_BYTES]) BT_MUST_CHECK;

/* The unit behind the first of the column's numbers that has one; false where none has. */
bool intake_unit_of_cells(const bt_survey_column *column,
                          char unit[INTAKE_UNIT_BYTES]) BT_MUST_CHECK;

#endif
