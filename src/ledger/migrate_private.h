/* Migration: a ledger of an older version is brought up to date, after a copy of it was made. */
#ifndef LEDGER_MIGRATE_PRIVATE_H
#define LEDGER_MIGRATE_PRIVATE_H

#include "ledger_private.h"

/* Brings a ledger of that older version to LEDGER_VERSION, or leaves it as it is. */
bt_status ledger_migrate(bt_ledger *ledger, int64_t version, bt_error *error) BT_MUST_CHECK;

/* Copies the ledger, which is locked, to a new file beside it, compares it and brings it to the
 * disk; or finds that file. kept->path is owned; NULL, and no file is left, after a failure. */
bt_status ledger_keep_version(bt_ledger *ledger, int64_t version, ledger_kept *kept,
                              bt_error *error) BT_MUST_CHECK;

/* Copies all pages to an empty file (copy_pages.c). */
bt_status ledger_copy_pages(bt_ledger *ledger, const char *path, bt_error *error) BT_MUST_CHECK;

/* Makes the tables of an older version those of today, within a transaction: the triggers are gone,
 * references aren't followed (migrate_tables.c). */
bt_status ledger_tables_of_today(bt_ledger *ledger, bt_error *error) BT_MUST_CHECK;

#endif
