/* A column map while it is read. */
#ifndef INTAKE_MAP_H
#define INTAKE_MAP_H

#include "beamtally/setup.h"
#include "ini.h"
#include "own.h"

/* The key of [values] for names of readings that are passed over, in long form. */
#define INTAKE_NOT_STORED "not_stored"

typedef struct intake_map_file {
  bt_reading_choices *choices;
  size_t columns_capacity, values_capacity;
  /* [units] may stand before [columns]: kept until the end. */
  struct intake_map_unit {
    char *key, *unit;
    int line;
  } * units;
  size_t units_n, units_capacity;
} intake_map_file;

/* One line of [values]. */
bt_status intake_map_take_value(intake_map_file *map, const intake_pair *pair,
                                bt_error *error) BT_MUST_CHECK;

/* True when the choice names a column; false where it only says a reading's unit. */
bool intake_is_column(const bt_column_choice *choice);

/* True when the choices say which columns are read. */
bool intake_has_map(const bt_reading_choices *choices);

#endif
