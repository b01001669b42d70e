/* Columns that hold several readings of one kind in one row. */
#ifndef INTAKE_SEVERAL_H
#define INTAKE_SEVERAL_H

#include "beamtally/intake.h"

/* How many of a preview's columns of numbers that nothing reads have headers which differ from that
 * of column i in their digits alone ("E1 (mJ)", "E2 (mJ)"), with itself; 0 where it is alone.
 * *first is the first of them, *last the last. */
size_t intake_several(const bt_survey *survey, size_t i, size_t *first, size_t *last) BT_MUST_CHECK;

/* What can be done with them, behind "they". */
#define INTAKE_SEVERAL                                                                             \
  "give the log a column of their mean and name that one, or save it in long form, one row a "     \
  "reading (date, unit, characteristic, value), or read one of them and declare the others as "    \
  "characteristics of your own"

#endif
