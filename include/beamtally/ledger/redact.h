/* Redactions: the text of a check or event is removed for good. */
#ifndef BEAMTALLY_LEDGER_REDACT_H
#define BEAMTALLY_LEDGER_REDACT_H

#include "beamtally/base.h"
#include "beamtally/ledger/open.h"
#include "beamtally/record.h"

/* Records that say the same text as one that is to be removed, beyond that one and its history. */
typedef struct bt_text_holders {
  int64_t checks, events; /* that stand */
  int64_t past;           /* that no longer stand, or are held back */
  int64_t logs;           /* files that they came from */
  bool typed;             /* some were typed in */
} bt_text_holders;

/* "2 further checks and 1 further event (of 1 log)" */
void bt_say_text_holders(const bt_text_holders *holders, bt_text *out);

/* How a text is removed: `only_count` removes nothing, but finds out, and refuses, all the same;
 * `everywhere`: from further records too. */
typedef struct bt_removal {
  bool only_count, everywhere;
} bt_removal;

/* Removes the body and salt of one text for good: of a check's field, or of an event's note. The
 * digests stay true, since the text's own digest is kept. A text is known by its bytes: what is
 * removed is nowhere in the ledger any more. *further: the records beyond the named one and its
 * history that say it too; where there are some, BT_REFUSED unless `everywhere`. BT_NOTFOUND when
 * there is no text; BT_REFUSED as well when `why` repeats the text, or a word of it that may be a
 * name (a capital, four letters or more). */
bt_status bt_ledger_redact_check(bt_ledger *ledger, const char *unit, bt_time time,
                                 int32_t sequence, bt_text_field field, const char *by,
                                 const char *why, bt_time now, bt_removal how,
                                 bt_text_holders *further, bt_error *error) BT_MUST_CHECK;
bt_status bt_ledger_redact_event(bt_ledger *ledger, int64_t number, const char *by, const char *why,
                                 bt_time now, bt_removal how, bt_text_holders *further,
                                 bt_error *error) BT_MUST_CHECK;

#endif
