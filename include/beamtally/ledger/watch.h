/* Who is told that a ledger is still at work. */
#ifndef BEAMTALLY_LEDGER_WATCH_H
#define BEAMTALLY_LEDGER_WATCH_H

#include "beamtally/base.h"
#include "beamtally/ledger/open.h"

/* Called many times a second while the ledger is read or written; must not use the ledger. */
typedef struct bt_watcher {
  void (*tick)(void *context);
  void *context;
} bt_watcher;

/* From now on; NULL: no longer. The watcher, borrowed, must live until then, or till the ledger is
 * closed. */
void bt_ledger_watch(bt_ledger *ledger, bt_watcher *watcher);

#endif
