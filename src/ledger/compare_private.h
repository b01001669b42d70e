/* Contents of what comes in, compared with those of what is stored (compare.c). */
#ifndef LEDGER_COMPARE_PRIVATE_H
#define LEDGER_COMPARE_PRIVATE_H

#include "beamtally/base.h"

#include "digest_private.h"

/* Contents of the checks of one unit and time. */
typedef struct ledger_contents {
  unsigned char (*digest)[LEDGER_DIGEST_BYTES];
  size_t n, capacity;
} ledger_contents;

/* What becomes of a row that comes in. */
typedef enum ledger_fate { LEDGER_ADD, LEDGER_KNOWN } ledger_fate;

/* Takes each incoming content, in order, out of the multiset of stored ones: KNOWN where it was
 * there, ADD where not. Sorts `stored`. *left is how many stored ones met no incoming. */
bt_status ledger_compare(const ledger_contents *incoming, ledger_contents *stored,
                         unsigned char *fate, size_t *left, bt_error *error) BT_MUST_CHECK;

/* Of incoming rows of equal content, makes those the known ones that are heard: the ledger has a
 * row like them, words and all (LEDGER_KNOWN). Rows that take another's place (replaces from 0 on)
 * stay as they are; how many are known stays (heard.c). */
bt_status ledger_prefer_heard(const ledger_contents *incoming, const unsigned char *heard,
                              const int32_t *replaces, unsigned char *fate,
                              bt_error *error) BT_MUST_CHECK;

/* Sorts them, for ledger_contents_have. */
void ledger_contents_sort(ledger_contents *contents);
bool ledger_contents_have(const ledger_contents *sorted, const unsigned char *digest);

#endif
