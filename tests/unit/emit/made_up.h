/* A study for the tests of the analysis forms: four points, the last in Phase II. */
#ifndef BEAMTALLY_TEST_EMIT_MADE_UP_H
#define BEAMTALLY_TEST_EMIT_MADE_UP_H

#include "beamtally/emit.h"

#include <jansson.h>

enum { POINTS = 4 };

/* A study of four points, the last in Phase II with a signal on both charts. */
typedef struct made_up {
  bt_unit_study unit;
  bt_study study;
  bt_segment segment;
  bt_excursion excursion;
  bt_restart restart;
  bt_exclusion exclusion;
  bt_tolerance tolerance;
  char name[24], source[24];
} made_up;

void make_up(made_up *made);
void drop(made_up *made);

/* The forms of the points in [from, to): their text (owned), or the JSON read back. */
char *written(const made_up *made, bool json, bt_time from, bt_time to);
json_t *parsed(const made_up *made, bt_time from, bt_time to);

#endif
