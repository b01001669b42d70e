/* Omissions: refused lines that nobody can mend are left out by decision. */
#ifndef BEAMTALLY_LEDGER_LEAVE_OUT_H
#define BEAMTALLY_LEDGER_LEAVE_OUT_H

#include "beamtally/base.h"
#include "beamtally/ledger/open.h"

/* A refused line, by the columns `source` and `number` of the table of refused lines. */
typedef struct bt_refused_place {
  int64_t source, number;
} bt_refused_place;

/* Leaves out n refused lines that nobody can mend, in one entry: they stay on record, and neither
 * they nor the same lines of later states of their log wait for anybody. BT_NOTFOUND; BT_REFUSED
 * where one is refused no more, was left out before or is named twice. */
bt_status bt_ledger_leave_out(bt_ledger *ledger, const bt_refused_place *lines, size_t n,
                              const char *by, const char *why, bt_time now,
                              bt_error *error) BT_MUST_CHECK;

#endif
