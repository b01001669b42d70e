/* What the files share that remove a text for good. Not for other rooms. */
#ifndef LEDGER_REDACT_PRIVATE_H
#define LEDGER_REDACT_PRIVATE_H

#include "decisions_private.h"

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

#endif
