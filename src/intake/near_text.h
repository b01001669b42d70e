/* Texts of a log that may be what a map means by another. */
#ifndef INTAKE_NEAR_TEXT_H
#define INTAKE_NEAR_TEXT_H

#include "plan.h"

/* Whether a text of the value's column is spelled nearly as the one that the map means. */
bool intake_is_slip(const intake_value *value, const char *text);

/* Whether a text of the value's column may be what the map means by another: a slip of the pen, or
 * in a column that tells of an event a word for that event. */
bool intake_is_near(const intake_value *value, const char *text);

#endif
