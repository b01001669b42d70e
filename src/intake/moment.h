/* Dates and clocks as a log writes them, and what a date says about the order of its parts. */
#ifndef INTAKE_MOMENT_H
#define INTAKE_MOMENT_H

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

/* True when a time of day other than midnight stands behind the date. */
bool intake_has_clock_behind(const char *date);

/* True when something else than a time of day stands behind the date. */
bool intake_has_words_behind(const char *date);

/* True when the text is a time of day and nothing else. */
bool intake_is_clock(const char *text);

/* True when the text is a time of day where its column holds times, and else may be a number or a
 * date: 7.45, 7.45.30. */
bool intake_is_dotted_clock(const char *text);

/* Why other numbers with a dot are no times of day. */
#define INTAKE_DECIMAL_HOUR                                                                        \
  "with a dot, an hour and its two digits of minutes are expected (7.45 is a quarter to eight); "  \
  "where the log counts hours with decimals, write all of them as hours and minutes"

typedef struct intake_moment {
  bt_time time;
  bool has_clock;
  const char *reason;  /* where it can't be read: why */
  bool clock_is_wrong; /* and whether it is the clock of its own column */
} intake_moment;

/* Reads a date, which may have a clock behind it, and a clock from a column of its own (NULL:
 * none). `stated`: a person gave the order, so that a year may have two digits. */
bool intake_moment_read(const char *date, const char *clock, bt_date_order order, bool stated,
                        intake_moment *moment) BT_MUST_CHECK;

#endif
