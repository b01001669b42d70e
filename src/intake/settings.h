/* A settings file while it is read and checked. */
#ifndef INTAKE_SETTINGS_H
#define INTAKE_SETTINGS_H

#include "beamtally/setup.h"

/* A characteristic of INTAKE_UNSAID is one that was not given. */
enum { INTAKE_SECTION_DIGITS = 6, INTAKE_UNSAID = BT_CHARACTERISTIC_COUNT };

typedef struct intake_settings_file {
  bt_settings *settings;
  size_t units_capacity, tolerances_capacity;
  /* Numbers of the sections that are being read: "[unit 2]" begins another unit. */
  char unit_number[INTAKE_SECTION_DIGITS + 1], tolerance_number[INTAKE_SECTION_DIGITS + 1];
  int *unit_lines, *tolerance_lines; /* line of each section's first key */
  size_t unit_lines_capacity, tolerance_lines_capacity;
  bool *has_alpha, *has_threshold; /* plate constants that were given, by unit */
  size_t has_alpha_capacity, has_threshold_capacity;
} intake_settings_file;

/* Whether the file as a whole makes sense; otherwise *line is that of the section at fault. Sets
 * has_plate of the units. */
bt_status intake_settings_check(const intake_settings_file *file, int *line,
                                bt_error *error) BT_MUST_CHECK;

#endif
