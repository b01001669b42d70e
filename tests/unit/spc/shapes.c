/* The grid of shapes: each length, form and pattern of use once. */
#include "shapes.h"

#include <math.h>

double shape_uniform(uint64_t *seed) {
  /* splitmix64: Steele, Lea and Flood (2014). */
  uint64_t x = *seed += 0x9E3779B97F4A7C15U;
  x = (x ^ (x >> 30)) * 0xBF58476D1CE4E5B9U;
  x = (x ^ (x >> 27)) * 0x94D049BB133111EBU;
  return (double)((x ^ (x >> 31)) >> 11) * 0x1p-53;
}

double shape_normal(uint64_t *seed) {
  double radius = sqrt(-2 * log(1 - shape_uniform(seed)));
  return radius * cos(6.283185307179586 * shape_uniform(seed));
}

static const size_t lengths[] = {0, 1, 2, 3, 5, 8, 13, 60, SHAPE_MOST};

enum { FORMS = 9, USES = 4, LENGTHS = sizeof lengths / sizeof *lengths };

static double form_value(size_t form, size_t i, uint64_t *seed) {
  switch (form) {
  case 0:
    return 0; /* all equal */
  case 1:
    return 1.7; /* a plateau beyond 1 sigma */
  case 2:
    return i == 1 ? 9.5 : 0.25; /* a spike */
  case 3:
    return i / 20 % 2 == 0 ? -2.25 : 2.25; /* plateaus on both sides */
  case 4:
    return i % 2 == 0 ? 2.5 : -2.5; /* alternating */
  case 5:
    return floor(9 * shape_uniform(seed)) - 4; /* on the lines */
  case 6:
    return 0.02 * (double)i - 1; /* a ramp */
  case 7:
    return shape_normal(seed);
  default:
    return 1.5 * shape_normal(seed) + 0.7;
  }
}

static uint8_t form_use(size_t pattern, size_t i, uint64_t *seed) {
  switch (pattern) {
  case 0:
    return 1;
  case 1:
    return !(i >= 2 && i < 7); /* a gap */
  case 2:
    return shape_uniform(seed) < 0.7;
  default:
    return 0; /* none takes part */
  }
}

bool shape_make(size_t index, shape *made) {
  static const char *const names[FORMS] = {"all equal",    "plateau",     "spike",
                                           "two plateaus", "alternating", "on the lines",
                                           "ramp",         "normal",      "wide normal"};
  if (index >= (size_t)LENGTHS * FORMS * USES)
    return false;
  size_t form = index % FORMS, pattern = index / FORMS % USES;
  uint64_t seed = 1000 + index;
  made->name = names[form];
  made->n = lengths[index / FORMS / USES];
  for (size_t i = 0; i < made->n; i++) {
    made->value[i] = form_value(form, i, &seed);
    made->use[i] = form_use(pattern, i, &seed);
  }
  return true;
}
