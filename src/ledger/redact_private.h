/* The removal of a text for good, and which records lose it. */
#ifndef LEDGER_REDACT_PRIVATE_H
#define LEDGER_REDACT_PRIVATE_H

#include "beamtally/ledger.h"

#include "stored_private.h"

/* What a person asked to be removed. */
typedef struct ledger_removal {
  const char *field;
  ledger_place place; /* of the check, or unit and time of the event */
  int64_t event;      /* 0 for a check */
  char *body;         /* what the named record itself says; NULL: nothing */
  const char *why;
  int64_t entry;
} ledger_removal;

/* Fills temp.gone_text with the texts that go (redact_reach.c). *texts: how many they are;
 * *further: the records beyond the named one that say the same; where there are some, BT_REFUSED
 * unless `everywhere`. Both temporary tables are there until ledger_reach_end, or a rollback. */
bt_status ledger_reach(bt_ledger *ledger, const ledger_removal *removal, bool everywhere,
                       int64_t *texts, bt_text_holders *further, bt_error *error) BT_MUST_CHECK;
bt_status ledger_reach_end(bt_ledger *ledger, bt_error *error) BT_MUST_CHECK;

/* Whether a reason repeats a text that is to be removed, or a word of it that may be a name
 * (redact_reason.c). */
bool ledger_reason_repeats(const char *why, const char *body);

/* Records of unit ?1 that lost a text when one was removed from a record of another unit. Mostly
 * none was: then the first term has no row, and CROSS JOIN keeps the checks from being walked. */
#define LEDGER_LOST_TEXT(ID, key) ", c." #key
#define LEDGER_LOST_ELSEWHERE                                                                                       \
  "SELECT r.entry, c.time, c.has_clock, c.sequence, 0 AS event, r.field FROM "                                      \
  "(SELECT 1 WHERE EXISTS (SELECT 1 FROM main.redaction WHERE unit <> ?1)) "                                        \
  "CROSS JOIN main.checks AS c JOIN main.redaction AS r ON r.text IN (0" BT_TEXTS(                                  \
      LEDGER_LOST_TEXT) ") AND r.unit <> ?1 WHERE c.unit = ?1 "                                                     \
                        "UNION ALL SELECT r.entry, v.time, v.has_clock, 0, v.number, r.field FROM main.event AS v " \
                        "JOIN main.redaction AS r ON r.text = v.note AND r.unit <> ?1 WHERE v.unit = ?1"

#endif
