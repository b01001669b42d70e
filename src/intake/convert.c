/* Units of a log's column to the canonical ones.
 * Source of the factors: SI Brochure, 9th edition (2019), prefixes; degree Fahrenheit and the
 * conventional millimetre of mercury: NIST SP 811 (2008), appendix B.8. */
#include "convert.h"

#include <string.h>

static const struct {
  const char *to, *from;
  intake_conversion conversion;
} table[] = {
    {"mJ", "J", {1000, 1, 0}},
    {"mJ", "uJ", {1, 1000, 0}},
    {"%", "pct", {1, 1, 0}},
    {"%", "1", {100, 1, 0}},
    {"1", "%", {1, 100, 0}},
    {"1", "pct", {1, 100, 0}},
    {"mm", "um", {1, 1000, 0}},
    {"mm", "cm", {10, 1, 0}},
    {"mJ/cm2", "J/cm2", {1000, 1, 0}},
    {"mJ/cm2", "J/m2", {1, 10, 0}},
    {"um", "mm", {1000, 1, 0}},
    {"um", "nm", {1, 1000, 0}},
    {"kV", "V", {1, 1000, 0}},
    {"d", "days", {1, 1, 0}},
    {"d", "h", {1, 24, 0}},
    {"C", "K", {1, 1, -273.15}},
    {"C", "F", {5, 9, -160.0 / 9.0}},
    {"mbar", "hPa", {1, 1, 0}},
    {"mbar", "kPa", {10, 1, 0}},
    {"mbar", "Pa", {1, 100, 0}},
    {"mbar", "mmHg", {1.333224, 1, 0}},
};

enum { UNIT_BYTES = 16 };

/* "µm" and "um" are one, as are "cm²" and "cm2", "°C" and "C". */
static bool plain(const char *unit, char out[UNIT_BYTES]) {
  static const struct {
    const char *from, *to;
  } signs[] = {{"µ", "u"}, {"μ", "u"}, {"²", "2"}, {"°", ""}};
  size_t used = 0;
  while (*unit != '\0') {
    const char *piece = NULL;
    size_t step = 1;
    for (size_t i = 0; i < sizeof signs / sizeof signs[0]; i++)
      if (strncmp(unit, signs[i].from, strlen(signs[i].from)) == 0) {
        piece = signs[i].to;
        step = strlen(signs[i].from);
      }
    size_t length = piece == NULL ? 1 : strlen(piece);
    if (used + length >= UNIT_BYTES)
      return false;
    memcpy(out + used, piece == NULL ? unit : piece, length);
    used += length;
    unit += step;
  }
  out[used] = '\0';
  return true;
}

bool intake_conversion_to(const char *wanted, const char *given, intake_conversion *conversion) {
  char to[UNIT_BYTES], from[UNIT_BYTES];
  if (!plain(wanted, to) || !plain(given, from))
    return false;
  if (strcmp(to, from) == 0) {
    *conversion = (intake_conversion){1, 1, 0};
    return true;
  }
  for (size_t i = 0; i < sizeof table / sizeof table[0]; i++)
    if (strcmp(table[i].to, to) == 0 && strcmp(table[i].from, from) == 0) {
      *conversion = table[i].conversion;
      return true;
    }
  return false;
}

bool intake_conversion_of(bt_reading reading, const char *unit, intake_conversion *conversion) {
  return intake_conversion_to(bt_reading_unit(reading), unit, conversion);
}

bool intake_is_unit(const char *unit) {
  intake_conversion conversion;
  for (int r = 0; r < BT_READING_COUNT; r++)
    if (bt_reading_unit((bt_reading)r)[0] != '\0' &&
        intake_conversion_of((bt_reading)r, unit, &conversion))
      return true;
  return false;
}

bool intake_same_unit(const char *a, const char *b) {
  char one[UNIT_BYTES], other[UNIT_BYTES];
  return strcmp(a, b) == 0 || (plain(a, one) && plain(b, other) && strcmp(one, other) == 0);
}
