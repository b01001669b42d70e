/* What the tests of changes share. */
#ifndef CHANGES_H
#define CHANGES_H

#include "beamtally/drift.h"

#include <criterion/criterion.h>
#include <gsl/gsl_errno.h>

static inline bt_change change_of(const double *day, const double *value, size_t n) {
  bt_change change;
  bt_error error = {0};
  gsl_set_error_handler_off();
  cr_assert_eq(bt_change_find(day, value, n, &change, &error), BT_OK, "%s", error.text);
  return change;
}

/* Five days of each week. */
static inline void weekdays(double *day, size_t n) {
  for (size_t i = 0; i < n; i++)
    day[i] = 7 * (double)(i / 5) + (double)(i % 5);
}

#endif
