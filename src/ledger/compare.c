/* Comparing what comes in with what is stored, as multisets of contents. */
#include "compare_private.h"
#include "digest_private.h"

#include <stdlib.h>
#include <string.h>

static int by_bytes(const void *a, const void *b) {
  return memcmp(a, b, LEDGER_DIGEST_BYTES);
}

/* First stored content that is not before `digest`; n when all are. */
static size_t lower_bound(const ledger_contents *stored, const unsigned char *digest) {
  size_t low = 0;
  size_t high = stored->n;
  while (low < high) {
    size_t middle = low + (high - low) / 2;
    if (by_bytes(stored->digest[middle], digest) < 0)
      low = middle + 1;
    else
      high = middle;
  }
  return low;
}

void ledger_contents_sort(ledger_contents *contents) {
  if (contents->n > 1)
    qsort(contents->digest, contents->n, sizeof contents->digest[0], by_bytes);
}

bool ledger_contents_have(const ledger_contents *sorted, const unsigned char *digest) {
  size_t at = lower_bound(sorted, digest);
  return at < sorted->n && by_bytes(sorted->digest[at], digest) == 0;
}

bt_status ledger_compare(const ledger_contents *incoming, ledger_contents *stored,
                         unsigned char *fate, size_t *left, bt_error *error) {
  /* taken[i]: how many of the equal contents that begin at i have met an incoming one. */
  size_t *taken = bt_new(stored->n, sizeof *taken);
  if (taken == NULL)
    return bt_fail_memory(error);
  ledger_contents_sort(stored);
  *left = stored->n;
  for (size_t i = 0; i < incoming->n; i++) {
    size_t first = lower_bound(stored, incoming->digest[i]);
    size_t next = first < stored->n ? first + taken[first] : stored->n;
    bool met = next < stored->n && by_bytes(stored->digest[next], incoming->digest[i]) == 0;
    fate[i] = met ? LEDGER_KNOWN : LEDGER_ADD;
    if (met) {
      taken[first]++;
      (*left)--;
    }
  }
  free(taken);
  return BT_OK;
}
