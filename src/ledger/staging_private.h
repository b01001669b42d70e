/* Temporary tables of an import, and the memory that it takes (staging.c). */
#ifndef LEDGER_STAGING_PRIVATE_H
#define LEDGER_STAGING_PRIVATE_H

#include "beamtally/ledger.h"

bt_status ledger_staging_make(bt_ledger *ledger, bt_error *error) BT_MUST_CHECK;
bt_status ledger_staging_drop(bt_ledger *ledger, bt_error *error) BT_MUST_CHECK;

/* Gives back the memory that an import took. */
void ledger_staging_shrink(bt_ledger *ledger);

#endif
