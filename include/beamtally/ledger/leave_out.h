/* Refused lines, and omissions: those that nobody can mend are left out by decision. */
#ifndef BEAMTALLY_LEDGER_LEAVE_OUT_H
#define BEAMTALLY_LEDGER_LEAVE_OUT_H

#include "beamtally/base.h"
#include "beamtally/ledger/open.h"

/* A refused line, by the columns `source` and `number` of the table of refused lines. */
typedef struct bt_refused_place {
  int64_t source, number;
} bt_refused_place;

/* A line of a log that was refused, once however often the log came again with it. Texts are
 * owned. */
typedef struct bt_refused_line {
  bt_refused_place place; /* of its last refusal */
  char *file;             /* name of the log */
  int64_t line;
  char *column, *reason; /* column NULL: the line as a whole */
  unsigned lost;         /* bt_lost bits */
  bt_time first;         /* import that refused it first */
  bool stands;           /* it may be missing still ... */
  bt_time gone;          /* ... or else the import of its log since which it is refused no more */
  bool is_last;          /* no later state of its log has that line refused */
  bool left_out;         /* by decision: at, by and why are of that */
  bt_time at;
  char *by, *why;
} bt_refused_line;

/* All of them, in order of their last refusal; *lines is owned, NULL after a failure. */
bt_status bt_ledger_refused_lines(bt_ledger *ledger, bt_refused_line **lines, size_t *n,
                                  bt_error *error) BT_MUST_CHECK;
void bt_refused_lines_free(bt_refused_line *lines, size_t n);

/* Leaves out n refused lines that nobody can mend, in one entry: they stay on record, and neither
 * they nor the same lines of later states of their log wait for anybody. BT_NOTFOUND; BT_REFUSED
 * where one is refused no more, was left out before or is named twice. */
bt_status bt_ledger_leave_out(bt_ledger *ledger, const bt_refused_place *lines, size_t n,
                              const char *by, const char *why, bt_time now,
                              bt_error *error) BT_MUST_CHECK;

#endif
