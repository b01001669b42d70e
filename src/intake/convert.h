/* Units of a log's column to the canonical ones. */
#ifndef INTAKE_CONVERT_H
#define INTAKE_CONVERT_H

#include "beamtally/record.h"

/* canonical = value * factor / divisor + shift; a divisor keeps "1610 µm" an exact 1.61 mm. */
typedef struct intake_conversion {
  double factor, divisor, shift;
} intake_conversion;

static inline double intake_convert(const intake_conversion *conversion, double value) {
  return value * conversion->factor / conversion->divisor + conversion->shift;
}

/* How `from` becomes `to`; false where it can't. "1" is a bare ratio. Case counts (mJ is no MJ);
 * "u" may stand for "µ" and "2" for "²". */
bool intake_conversion_to(const char *to, const char *from,
                          intake_conversion *conversion) BT_MUST_CHECK;

/* The same to the unit of `reading`. */
bool intake_conversion_of(bt_reading reading, const char *unit,
                          intake_conversion *conversion) BT_MUST_CHECK;

/* True for a unit of some reading, or one that converts to it. */
bool intake_is_unit(const char *unit);

/* True when two spellings are of one unit, with the same leave. */
bool intake_same_unit(const char *a, const char *b);

#endif
