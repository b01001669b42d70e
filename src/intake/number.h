/* Numbers as a log writes them, and what they say about its decimal mark. */
#ifndef INTAKE_NUMBER_H
#define INTAKE_NUMBER_H

#include "beamtally/setup.h"

typedef enum intake_mark {
  INTAKE_MARK_NONE,         /* no number, or no fraction */
  INTAKE_MARK_POINT,        /* "1.61": a decimal point for certain */
  INTAKE_MARK_COMMA,        /* "1,61" */
  INTAKE_MARK_POINT_EITHER, /* "1.610": a decimal point, or thousands in a log with commas */
  INTAKE_MARK_COMMA_EITHER  /* "1,610" */
} intake_mark;

intake_mark intake_mark_of(const char *text);

/* A number with something behind it, "46 %": the number, and what follows, up to the text's end.
 * False where nothing follows or no number begins the text. */
bool intake_number_before(const char *text, bt_decimal_mark decimal, double *number,
                          const char **rest) BT_MUST_CHECK;

#endif
