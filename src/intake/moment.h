/* Moments as a log writes them: a date, and its time of day. */
#ifndef INTAKE_MOMENT_H
#define INTAKE_MOMENT_H

#include "beamtally/setup.h"

/* True when a time of day other than midnight stands behind the date. */
bool intake_has_clock_behind(const char *date);

/* True when something else than a time of day stands behind the date. */
bool intake_has_words_behind(const char *date);

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
