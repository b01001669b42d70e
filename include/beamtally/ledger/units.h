/* The units: their names, and the nearest one to a name that is none. */
#ifndef BEAMTALLY_LEDGER_UNITS_H
#define BEAMTALLY_LEDGER_UNITS_H

#include "beamtally/base.h"
#include "beamtally/ledger/open.h"

/* Names of all units, in the order in which they came. */
bt_status bt_ledger_units(bt_ledger *ledger, char ***names, size_t *n,
                          bt_error *error) BT_MUST_CHECK;
void bt_names_free(char **names, size_t n);

/* The unit's name as the ledger has it, owned; BT_NOTFOUND with the nearest name. */
bt_status bt_ledger_find_unit(bt_ledger *ledger, const char *name, char **found,
                              bt_error *error) BT_MUST_CHECK;

#endif
