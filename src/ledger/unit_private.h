/* Units (unit.c): found by their names, and taken in where they are new. */
#ifndef LEDGER_UNIT_PRIVATE_H
#define LEDGER_UNIT_PRIVATE_H

#include "beamtally/ledger.h"

/* *number of the unit of that name: 0 when there is none; or then BT_NOTFOUND with the nearest
 * name. */
bt_status ledger_unit_number(bt_ledger *ledger, const char *name, int64_t *number,
                             bt_error *error) BT_MUST_CHECK;
bt_status ledger_unit_known(bt_ledger *ledger, const char *name, int64_t *number,
                            bt_error *error) BT_MUST_CHECK;

/* The unit's name as first written, owned. */
bt_status ledger_unit_name(bt_ledger *ledger, int64_t number, char **name,
                           bt_error *error) BT_MUST_CHECK;

/* Whether a unit of the ledger differs from that name in case, blanks and joints only. */
bt_status ledger_unit_resembles(bt_ledger *ledger, const char *name, bool *like,
                                bt_error *error) BT_MUST_CHECK;

#define LEDGER_NEW_UNIT_ADVICE                                                                     \
  "if it is another laser, say --new-unit; if it is misspelt, correct the name"

/* BT_NOTFOUND, or BT_REFUSED where something is put in, with the nearest name or all of a few, and
 * what to do. */
bt_status ledger_unit_unknown(bt_ledger *ledger, const char *name, bt_status status,
                              const char *advice, bt_error *error) BT_MUST_CHECK;

/* Whether the settings in force name that unit: a person declared it, so its first log is no typing
 * error. */
bt_status ledger_unit_declared(bt_ledger *ledger, const char *name, bool *declared,
                               bt_error *error) BT_MUST_CHECK;
/* The number of a unit that a person names: known, declared in the settings or new by their word;
 * else BT_REFUSED. */
bt_status ledger_unit_take(bt_ledger *ledger, const char *name, bool new_unit, int64_t entry,
                           int64_t *number, bt_error *error) BT_MUST_CHECK;
/* Makes a unit, under the spelling of the settings in force where they name it. */
bt_status ledger_unit_add(bt_ledger *ledger, const char *name, int64_t entry, int64_t *number,
                          bt_error *error) BT_MUST_CHECK;

#endif
