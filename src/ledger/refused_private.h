/* Refused lines: which were refused before, are still missing, or were left out by a person. */
#ifndef LEDGER_REFUSED_PRIVATE_H
#define LEDGER_REFUSED_PRIVATE_H

#include "beamtally/ledger.h"

#include <sqlite3.h>

/* Refused lines of before, in the order of lines. */
typedef struct ledger_refused_before {
  sqlite3_stmt *earlier; /* owned */
  bool there;            /* it stands on a line that was refused before */
  int64_t line;          /* of the last one that was looked at, 0 at first */
  bt_time first;         /* when that line was refused first, for whatever reason */
} ledger_refused_before;

/* Of logs of that name (refused_before.c); closed by the caller, after a failure too. */
bt_status ledger_refused_open(bt_ledger *ledger, const char *name, ledger_refused_before *before,
                              bt_error *error) BT_MUST_CHECK;
void ledger_refused_close(ledger_refused_before *before);

/* *first, set where it is found: when such a line was refused for the first time. Asked in the
 * order of lines. */
bt_status ledger_refused_find(bt_ledger *ledger, ledger_refused_before *before,
                              const bt_refusal *refusal, bt_refused_before *found, bt_time *first,
                              bt_error *error) BT_MUST_CHECK;

/* How many rows of the laser u that source had, which were known. */
#define LEDGER_KNOWN(source)                                                                       \
  "coalesce((SELECT v.known FROM main.source_unit AS v WHERE v.source = " source ".number "        \
  "AND v.unit = u.unit), 0)"

/* Whether something went in from `older`, and that holds of what each laser u had in it. One that
 * brought nothing is an earlier state of no log, or whatever came after it would hold that again.
 * Lasers first, as the table's key begins with them. */
#define LEDGER_HOLDS(older, condition)                                                             \
  "(SELECT max(u.fresh + u.known) > 0 AND min(" condition ") FROM main.unit AS y "                 \
  "CROSS JOIN main.source_unit AS u ON u.unit = y.number AND u.source = " older ".number) IS TRUE"

/* Whether the source `later` held again all rows that went in from `older`. */
#define LEDGER_HOLDS_AGAIN(later, older)                                                           \
  LEDGER_HOLDS(older, "u.fresh + u.known <= " LEDGER_KNOWN(later))

/* Whether the source l says which refused lines of the source n are refused still: that very file,
 * read in another way, a mended one that took its place, or a later log of its name that held again
 * all rows that went in from it. Each tells its own refused lines: a mended line is none of them.
 */
#define LEDGER_REFUSAL_ENDS(and_later)                                                             \
  "l.number > n.number" and_later " "                                                              \
  "AND l.kind IN ('checks', 'events') AND (l.sha256 = n.sha256 "                                   \
  "OR EXISTS (SELECT 1 FROM main.superseded AS r JOIN main.checks AS c ON c.unit = r.unit "        \
  "AND c.time = r.time AND c.sequence = r.sequence WHERE r.entry = l.entry "                       \
  "AND r.kind = 'read again' AND c.source = n.number) OR (l.name = n.name "                        \
  "AND " LEDGER_HOLDS_AGAIN("l", "n") "))"

/* Whether the source `later` held again three quarters of the rows of each unit that went in from
 * `older`: another state of that log then, in which more was changed than mended, and not another
 * log of that name. Of a log that keeps its last weeks alone, a state that has a refused line no
 * longer, and a new row on the line of that number, holds less than half of the older one. */
#define LEDGER_HOLDS_MOST(later, older)                                                            \
  LEDGER_HOLDS(older, "3 * (u.fresh + u.known) <= 4 * " LEDGER_KNOWN(later))

/* Whether the source `later` is another state of the log `older`: that very file, read in another
 * way, or one of its name that held again most of it. */
#define LEDGER_IS_STATE(later, older)                                                              \
  "(" later ".sha256 = " older ".sha256 OR (" later ".name = " older ".name "                      \
  "AND " LEDGER_HOLDS_MOST(later, older) "))"

/* Whether the source `later` brought from that line what could be read: a check, one that it holds
 * back, or an event. Of rows that were known the ledger keeps no line. */
#define LEDGER_READ_LINE(later, line_number)                                                       \
  "EXISTS (SELECT 1 FROM main.source_unit AS u JOIN main.checks AS c ON c.unit = u.unit "          \
  "WHERE u.source = " later ".number AND c.source = " later ".number "                             \
  "AND " line_number " BETWEEN c.line AND c.last_line) "                                           \
  "OR EXISTS (SELECT 1 FROM main.source_unit AS u JOIN main.held AS h ON h.unit = u.unit "         \
  "WHERE u.source = " later ".number AND h.source = " later ".number "                             \
  "AND " line_number " BETWEEN h.line AND h.last_line) "                                           \
  "OR EXISTS (SELECT 1 FROM main.source_unit AS u JOIN main.event AS v ON v.unit = u.unit "        \
  "WHERE u.source = " later ".number AND v.source = " later ".number "                             \
  "AND " line_number " BETWEEN v.line AND v.last_line)"

/* Whether the source l says what became of that one refusal r of the source n, though it lacks some
 * row of n: it is another state of that log, and either refuses the line of that number itself,
 * which is counted there, or brought from it what n had not. A mended line that has moved isn't
 * known so, since neither its unit nor its time was kept, and goes on counting. */
#define LEDGER_LINE_ENDS(and_later)                                                                \
  "l.number > n.number" and_later " AND l.kind = n.kind AND l.name = n.name "                      \
  "AND " LEDGER_HOLDS_MOST(                                                                        \
      "l", "n") " AND (EXISTS (SELECT 1 FROM main.refusal AS q "                                   \
                "WHERE q.source = l.number AND q.line = r.line) OR " LEDGER_READ_LINE(             \
                    "l", "r.line") ")"

/* Whether no later log says of all refused lines of the source n at once what became of them. */
#define LEDGER_LOG_STANDS(and_later)                                                               \
  "NOT EXISTS (SELECT 1 FROM main.source AS l WHERE " LEDGER_REFUSAL_ENDS(and_later) ")"

/* The same of the refused line r alone. */
#define LEDGER_LINE_STANDS(and_later)                                                              \
  "NOT EXISTS (SELECT 1 FROM main.source AS l WHERE " LEDGER_LINE_ENDS(and_later) ")"

/* Whether the refused line r of the source n may still be missing. What is asked of whole logs
 * comes first: it settles nearly all of them, at less cost. */
#define LEDGER_REFUSAL_STANDS(and_later)                                                           \
  "(" LEDGER_LOG_STANDS(and_later) " AND " LEDGER_LINE_STANDS(and_later) ")"

/* bt_lost bits of all rows of a group. */
#define LEDGER_LOST_OF(lost)                                                                       \
  "coalesce(max((" lost ") & 1) | max((" lost ") & 2) | max((" lost ") & 4) | max((" lost          \
  ") & 8), 0)"

/* The entry by which a person left out the refusal r of the source n: that very one, or the same
 * line of an earlier state of that log, which has only grown since (leave_out.c). The raw line is
 * never kept: it is the same where its number, column and reason are, as for refused_before.c. A
 * log of the same name that doesn't hold again what went in from the earlier one, or of which
 * nothing went in, is another log, whatever its lines are. NULL: nobody did. */
#define LEDGER_LEFT_OUT(and_decision)                                                              \
  "(SELECT min(d.entry) FROM main.left_out AS d CROSS JOIN main.refusal AS q "                     \
  "ON q.source = d.source AND q.number = d.number JOIN main.source AS m ON m.number = d.source "   \
  "WHERE q.line = r.line AND q.header IS r.header AND q.reason = r.reason "                        \
  "AND (q.serious <> 0) = (r.serious <> 0) AND (m.number = n.number OR (m.number < n.number "      \
  "AND m.kind = n.kind AND (m.sha256 = n.sha256 OR (m.name = n.name "                              \
  "AND " LEDGER_HOLDS_AGAIN("n", "m") "))))" and_decision ")"

#endif
