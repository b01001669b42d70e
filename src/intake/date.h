/* Dates as a log writes them, and what one says about the order of its parts. */
#ifndef INTAKE_DATE_H
#define INTAKE_DATE_H

#include "beamtally/setup.h"

typedef enum intake_date_says {
  INTAKE_DATE_NOTHING, /* no date */
  INTAKE_DATE_YMD,     /* 2026-08-17, 17 Aug 2026 */
  INTAKE_DATE_DMY,     /* 17/08/2026, 05.08.2026 */
  INTAKE_DATE_MDY,     /* 08/17/2026 */
  INTAKE_DATE_EITHER,  /* 05/08/2026 */
  INTAKE_DATE_SAME,    /* 05/05/2026: the same day in both orders */
  INTAKE_DATE_SHORT    /* 05/08/26: which part is the year? */
} intake_date_says;

intake_date_says intake_date_of(const char *text);

/* True where letters stand in the date itself: a month that is named needs no order told. */
bool intake_names_month(const char *date);

/* A spreadsheet's count of days, as it stands where a date was saved as a number: 46204, 46204.33.
 */
bool intake_is_serial(const char *text);
#define INTAKE_SERIAL                                                                              \
  "this is a spreadsheet's own count of days; give the column a date format there (2026-08-17), "  \
  "and save it as CSV again"

/* True where the text begins with what looks like a date; *behind is what stands behind it. */
bool intake_is_date(const char *text, const char **behind) BT_MUST_CHECK;

/* Reads a date into year, month and day of *civil; *behind is what stands behind it. `stated`: a
 * person gave the order, so that a year may have two digits. *reason: where it can't be read, why.
 */
bool intake_day_read(const char *date, bt_date_order order, bool stated, bt_civil *civil,
                     const char **behind, const char **reason) BT_MUST_CHECK;

#endif
