/* Adjacent rows of a log in long form, gathered to one check. */
#ifndef INTAKE_GROUP_H
#define INTAKE_GROUP_H

#include "row.h"

typedef struct intake_group {
  bool open;
  bt_check check; /* its texts are the group's */
  bt_own_reading own[BT_OWN_MOST];
  char *unit;
  bt_text texts[BT_FIELD_COUNT];
  unsigned has_text;    /* bit f set: texts[f] holds one */
  unsigned named_texts; /* and a row was there for it */
  uint32_t implied;     /* as in a row */
  unsigned also;
  bt_text words[BT_EVENT_COUNT]; /* what its rows say of an event of that kind */
  bool named_state, named_refill;
} intake_group;

/* Whether the row belongs to the check that is open: the same unit and time, and nothing of it that
 * the check has already. */
bool intake_group_takes(const intake_group *group, const intake_row *row);

/* Puts the row into the check, or begins one by it. False without memory. */
bool intake_group_add(intake_group *group, const intake_row *row) BT_MUST_CHECK;

/* The check as gathered; borrowed until the next is begun. NULL where none is open. Closes it. */
const bt_check *intake_group_close(intake_group *group);

void intake_group_free(intake_group *group);

#endif
