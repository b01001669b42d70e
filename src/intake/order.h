/* Whether the rows of a log in long form stand together, a unit and time at a time. */
#ifndef INTAKE_ORDER_H
#define INTAKE_ORDER_H

#include "beamtally/base.h"

/* A log of more lasers is not one of checks; it also bounds the memory. */
enum { INTAKE_UNITS_MOST = 4096 };

typedef struct intake_order_unit {
  char *name;    /* folded */
  bt_time last;  /* time of its newest rows */
  int64_t line;  /* the last of them */
  int direction; /* 1: times go up, -1: down, 0: not known yet */
} intake_order_unit;

typedef struct intake_order {
  intake_order_unit *units;
  size_t units_n, capacity;
  size_t open; /* unit of the row before */
  /* The first rows that don't stand together: `line` comes too late for its time. */
  int64_t line, before;
  bt_time time;
  bool too_many;
} intake_order;

/* Hears a row. False without memory. */
bool intake_order_hear(intake_order *order, const char *unit, bt_time time,
                       int64_t line) BT_MUST_CHECK;

/* BT_INPUT with what to do, where rows don't stand together. */
bt_status intake_order_check(const intake_order *order, bt_error *error) BT_MUST_CHECK;

void intake_order_free(intake_order *order);

#endif
