/* The shapes that every statistic is run over: lengths 0 and up, gaps, spikes, plateaus, values on
 * the lines, all equal, random; with a few patterns of points that take part. */
#ifndef SHAPES_H
#define SHAPES_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum { SHAPE_MOST = 220 };

typedef struct shape {
  const char *name;
  size_t n;
  double value[SHAPE_MOST];
  uint8_t use[SHAPE_MOST];
} shape;

/* Makes shape number `index` from 0; false when there are no more. Always the same shapes. */
bool shape_make(size_t index, shape *made);

/* Uniform in [0, 1) and standard normal numbers from a seed, the same on every machine. */
double shape_uniform(uint64_t *seed);
double shape_normal(uint64_t *seed);

#endif
