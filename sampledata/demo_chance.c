/* The demo clinic's random numbers: the same on every machine.
 *
 * Uniform numbers: splitmix64 (Steele, Lea and Flood 2014, "Fast splittable pseudorandom number
 * generators"); normal variates: the polar method (Marsaglia and Bray 1964). Each check has a
 * generator of its own and always draws the same numbers, used or not, so that a change to one
 * table leaves all other days alone. */
#include <math.h>

#include "demo.h"

static uint64_t splitmix(uint64_t *state) {
  uint64_t z = *state += 0x9e3779b97f4a7c15U;
  z = (z ^ z >> 30) * 0xbf58476d1ce4e5b9U;
  z = (z ^ z >> 27) * 0x94d049bb133111ebU;
  return z ^ z >> 31;
}

/* In [0, 1), from the upper 53 bits. */
static double uniform(uint64_t *state) {
  return (double)(splitmix(state) >> 11) * 0x1p-53;
}

static double normal(uint64_t *state) {
  for (;;) {
    double u = 2.0 * uniform(state) - 1.0;
    double v = 2.0 * uniform(state) - 1.0;
    double s = u * u + v * v;
    if (s > 0.0 && s < 1.0)
      return u * sqrt(-2.0 * log(s) / s);
  }
}

chance chance_of(uint64_t seed, int which, int64_t day, int attempt) {
  uint64_t state = seed + (uint64_t)day * 16 + (uint64_t)which * 2 + (uint64_t)attempt;
  state = splitmix(&state);
  chance c;
  c.missed = uniform(&state);
  c.interval = uniform(&state);
  c.minute = normal(&state);
  c.refill_minute = normal(&state);
  c.ratio = normal(&state);
  c.fluence = normal(&state);
  c.spread = normal(&state);
  c.x = normal(&state);
  c.y = normal(&state);
  c.voltage = normal(&state);
  c.temperature = normal(&state);
  c.humidity = normal(&state);
  for (size_t i = 0; i < CELLS; i++)
    c.missing[i] = uniform(&state);
  c.mark = uniform(&state);
  c.who = uniform(&state);
  c.target = normal(&state);
  return c;
}
