/* Times of day as a log writes them. */
#ifndef INTAKE_CLOCK_H
#define INTAKE_CLOCK_H

#include "beamtally/base.h"

/* True when the text is a time of day and nothing else. */
bool intake_is_clock(const char *text);

/* True when the text is a time of day where its column holds times, and else may be a number or a
 * date: 7.45, 7.45.30. */
bool intake_is_dotted_clock(const char *text);

/* Why other numbers with a dot are no times of day. */
#define INTAKE_DECIMAL_HOUR                                                                        \
  "with a dot, an hour and its two digits of minutes are expected (7.45 is a quarter to eight); "  \
  "where the log counts hours with decimals, write all of them as hours and minutes"

/* Reads a clock in a place that can hold nothing else into hour, minute and second of *civil.
 * *reason: where it can't be read, why. */
bool intake_clock_read(const char *text, bt_civil *civil, const char **reason) BT_MUST_CHECK;

#endif
