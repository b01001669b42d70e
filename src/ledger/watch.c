/* A sign of life from what takes long and cannot say how much of it is left. */
#include "ledger_private.h"

/* Of SQLite's virtual machine: some microseconds, which the tick costs little of. */
enum { STEPS = 1000 };

static int tick(void *watcher) {
  const bt_watcher *of = watcher;
  of->tick(of->context);
  return 0; /* go on */
}

void bt_ledger_watch(bt_ledger *ledger, bt_watcher *watcher) {
  if (watcher == NULL)
    sqlite3_progress_handler(ledger->db, 0, NULL, NULL);
  else
    sqlite3_progress_handler(ledger->db, STEPS, tick, watcher);
}
