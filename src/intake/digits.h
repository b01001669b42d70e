/* Digits of a date or a clock. */
#ifndef INTAKE_DIGITS_H
#define INTAKE_DIGITS_H

#include <stdbool.h>

static inline bool intake_is_digit(char c) {
  return c >= '0' && c <= '9';
}

/* Up to `most` digits as a number, and past them; their count. */
static inline int intake_take_digits(const char **at, int most, int *number) {
  int count = 0;
  *number = 0;
  for (; count < most && intake_is_digit(**at); (*at)++, count++)
    *number = *number * 10 + (**at - '0');
  return count;
}

#endif
