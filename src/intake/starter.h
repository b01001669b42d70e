/* Parts of a starter map. */
#ifndef INTAKE_STARTER_H
#define INTAKE_STARTER_H

#include "beamtally/intake.h"

/* The section [values]: the meanings that the log was read by, and as comments those that a person
 * may have to give. `declared`: the number of the last characteristic of the clinic's own that is
 * there or was offered above. */
void intake_add_values(const bt_survey *survey, size_t declared, bt_text *map);

/* starter_known.c: the meanings of the map that the log was read by (NULL: none). */
void intake_add_known(const bt_reading_choices *choices, bt_text *lines);

/* starter_example.c: "# KEY = COLUMN, TEXT" of column i; the column by its position where its
 * header makes the line too long. */
void intake_add_example(const bt_survey *survey, size_t i, const char *key, const char *text,
                        bt_text *lines);

/* The first text of the column that `is` takes, or `other`. */
const char *intake_text_of(const bt_survey_column *column, bool (*is)(const char *),
                           const char *other);

/* What to say of column i, behind the words "# Column 3, \"NAME": where it notes gas refills
 * (starter_gas.c), or says in words whether a self-test passed (starter_selftest.c). */
void intake_add_refill(const bt_survey *survey, size_t i, bt_text *lines);
void intake_add_selftest(const bt_survey *survey, size_t i, bt_text *lines);

/* Of how many items a cell of the column counts ("17 of 18"); 0 where none does. */
double intake_counted_of(const bt_survey_column *column);

#endif
