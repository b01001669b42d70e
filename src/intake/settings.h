/* A settings file while it is read and checked. */
#ifndef INTAKE_SETTINGS_H
#define INTAKE_SETTINGS_H

#include "beamtally/setup.h"

#include "ini.h"

enum { INTAKE_SECTION_DIGITS = 6 };

/* What stands behind the limits of a tolerance, "mm"; NULL where nothing does. */
typedef struct intake_limit_units {
  char *low, *high;
} intake_limit_units;

typedef struct intake_settings_file {
  bt_settings *settings;
  size_t units_capacity, tolerances_capacity;
  /* Numbers of the sections that are being read: "[unit 2]" begins another unit. */
  char unit_number[INTAKE_SECTION_DIGITS + 1], tolerance_number[INTAKE_SECTION_DIGITS + 1],
      own_number[INTAKE_SECTION_DIGITS + 1];
  int *unit_lines, *tolerance_lines; /* line of each section's first key */
  size_t unit_lines_capacity, tolerance_lines_capacity;
  char **judged; /* characteristic of each tolerance as written: it may be declared further down */
  intake_limit_units *limit_units; /* by tolerance */
  size_t judged_capacity, limit_units_capacity, own_capacity;
  int own_lines[BT_OWN_MOST];
  bool *has_alpha, *has_threshold; /* plate constants that were given, by unit */
  size_t has_alpha_capacity, has_threshold_capacity;
  bool *by_pulses; /* fill_age = pulses, by unit */
  size_t by_pulses_capacity;
} intake_settings_file;

/* One key of a characteristic of the clinic's own, whose section was begun. */
bt_status intake_settings_take_own(intake_settings_file *file, const intake_pair *pair,
                                   bt_error *error) BT_MUST_CHECK;

/* Begins another; refused from the 33rd on. */
bt_status intake_settings_begin_own(intake_settings_file *file, const intake_pair *pair,
                                    bt_error *error) BT_MUST_CHECK;

/* Whether characteristic i has all it needs, and names that nothing else has. */
bt_status intake_settings_check_own(const intake_settings_file *file, size_t i,
                                    bt_error *error) BT_MUST_CHECK;

/* A limit of the tolerance that was begun last, with the unit behind it where one stands there. */
bt_status intake_settings_take_limit(intake_settings_file *file, const intake_pair *pair,
                                     bt_error *error) BT_MUST_CHECK;

/* Converts the limits of tolerance i, whose characteristic is found, to its unit; BT_INPUT, with
 * the unit that is wanted, where that can't be. */
bt_status intake_settings_convert_limits(const intake_settings_file *file, size_t i,
                                         bt_error *error) BT_MUST_CHECK;

/* Frees what was kept of `n` tolerances for that. */
void intake_settings_free_limits(intake_settings_file *file, size_t n);

/* Whether the file as a whole makes sense; otherwise *line is that of the section at fault. Sets
 * has_plate of the units and the characteristics of the tolerances. */
bt_status intake_settings_check(const intake_settings_file *file, int *line,
                                bt_error *error) BT_MUST_CHECK;

#endif
