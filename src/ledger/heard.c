/* Which of several rows of equal content are the known ones: those that the ledger has word for
 * word, so that a remark that it doesn't have isn't passed over for one that it has. */
#include "compare_private.h"
#include "digest_private.h"

#include <stdlib.h>
#include <string.h>

/* A row by its content. */
typedef struct ranked {
  const unsigned char *content;
  size_t row;
} ranked;

static int by_rank(const void *a, const void *b) {
  const ranked *x = a, *y = b;
  int order = memcmp(x->content, y->content, LEDGER_DIGEST_BYTES);
  return order != 0 ? order : (x->row > y->row) - (x->row < y->row);
}

/* Rows [from, to) are of one content: as long as there is one that is known but not heard and one
 * that is new but heard, they change their fates. */
static void exchange(const ranked *order, size_t from, size_t to, const unsigned char *heard,
                     const int32_t *replaces, unsigned char *fate) {
  size_t known = from, fresh = from;
  while (true) {
    for (; known < to; known++)
      if (fate[order[known].row] == LEDGER_KNOWN && heard[order[known].row] != LEDGER_KNOWN)
        break;
    for (; fresh < to; fresh++)
      if (fate[order[fresh].row] == LEDGER_ADD && heard[order[fresh].row] == LEDGER_KNOWN &&
          replaces[order[fresh].row] < 0)
        break;
    if (known == to || fresh == to)
      return;
    fate[order[known].row] = LEDGER_ADD;
    fate[order[fresh].row] = LEDGER_KNOWN;
  }
}

bt_status ledger_prefer_heard(const ledger_contents *incoming, const unsigned char *heard,
                              const int32_t *replaces, unsigned char *fate, bt_error *error) {
  size_t n = incoming->n;
  ranked *order = bt_new(n, sizeof *order);
  if (order == NULL)
    return bt_fail_memory(error);
  for (size_t i = 0; i < n; i++)
    order[i] = (ranked){incoming->digest[i], i};
  qsort(order, n, sizeof *order, by_rank);
  for (size_t from = 0, to = 0; from < n; from = to) {
    while (to < n && memcmp(order[from].content, order[to].content, LEDGER_DIGEST_BYTES) == 0)
      to++;
    exchange(order, from, to, heard, replaces, fate);
  }
  free(order);
  return BT_OK;
}
