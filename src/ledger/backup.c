/* A backup: a copy of the ledger (copy_pages.c), verified as a ledger of its own. */
#include "ledger_private.h"
#include "migrate_private.h"

#include <string.h>

/* Takes the copy's own path from the beginning of a sentence about it. */
static void unname(const char *path, bt_error *error) {
  size_t length = strlen(path);
  if (error != NULL && strncmp(error->text, path, length) == 0 &&
      strncmp(error->text + length, ": ", 2) == 0)
    memmove(error->text, error->text + length + 2, strlen(error->text + length + 2) + 1);
}

bt_status bt_ledger_copy(bt_ledger *ledger, const char *path, bt_verification *found,
                         bt_error *error) {
  bt_ledger *copy = NULL;
  *found = (bt_verification){0};
  bt_status status = ledger_copy_pages(ledger, path, error);
  if (status != BT_OK)
    return status;
  status = bt_ledger_open(path, BT_LEDGER_READ, &copy, error);
  if (status == BT_OK)
    status = bt_ledger_verify(copy, found, error);
  bt_ledger_close(copy);
  if (status != BT_OK)
    unname(path, error);
  if (status == BT_DAMAGED)
    bt_error_prefix(error,
                    "the copy of %s is not whole and was dropped; see whether the ledger "
                    "is (`beamtally verify`)",
                    ledger->path);
  return status;
}
