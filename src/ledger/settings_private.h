/* Settings as stored (settings.c). */
#ifndef LEDGER_SETTINGS_PRIVATE_H
#define LEDGER_SETTINGS_PRIVATE_H

#include "beamtally/ledger.h"

/* The key of a characteristic, owned; BT_USAGE for one of the clinic's own that the settings in
 * force don't name (settings.c). */
bt_status ledger_characteristic_key(bt_ledger *ledger, bt_characteristic characteristic, char **key,
                                    bt_error *error) BT_MUST_CHECK;

#endif
