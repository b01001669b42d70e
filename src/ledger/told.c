/* What an import takes or leaves by its rules, and a person should hear of: rows that say the same
 * as another row of their file, and remarks and operators of rows that are known, which the
 * comparison passes over. */
#include "compare_private.h"
#include "digest_private.h"
#include "told_private.h"

#include <sodium.h>
#include <stdlib.h>
#include <string.h>

void ledger_tell(bt_told_rows *rows, const bt_check *check) {
  if (rows->n++ == 0 || check->line < rows->line) {
    rows->line = check->line;
    rows->time = check->time;
    rows->has_clock = check->has_clock;
    rows->sequence = check->sequence;
  }
}

/* Equal contents in the order in which they stand in their list. */
static int by_content(const void *a, const void *b) {
  const unsigned char *x = *(unsigned char *const *)a, *y = *(unsigned char *const *)b;
  int order = memcmp(x, y, LEDGER_DIGEST_BYTES);
  return order != 0 ? order : (x > y) - (x < y);
}

bt_status ledger_twins(const ledger_contents *contents, bool *twin, bt_error *error) {
  unsigned char **order = bt_new(contents->n, sizeof *order);
  if (order == NULL)
    return bt_fail_memory(error);
  for (size_t i = 0; i < contents->n; i++) {
    order[i] = contents->digest[i];
    twin[i] = false;
  }
  if (contents->n > 1)
    qsort(order, contents->n, sizeof *order, by_content);
  for (size_t i = 1; i < contents->n; i++)
    if (memcmp(order[i - 1], order[i], LEDGER_DIGEST_BYTES) == 0)
      twin[(size_t)(order[i] - contents->digest[0]) / LEDGER_DIGEST_BYTES] = true;
  free(order);
  return BT_OK;
}

static const bt_text_field passed_over[] = {BT_FIELD_OPERATOR, BT_FIELD_REMARK};
enum { PASSED_OVER = sizeof passed_over / sizeof *passed_over };

/* Of a content and one of its texts. Can't fail: only a wrong length of digest or key is refused.
 */
static void mark(const unsigned char *content, bt_text_field field, const char *text,
                 unsigned char *digest) {
  crypto_generichash_state state;
  unsigned char which = (unsigned char)field;
  (void)crypto_generichash_init(&state, NULL, 0, LEDGER_DIGEST_BYTES);
  (void)crypto_generichash_update(&state, content, LEDGER_DIGEST_BYTES);
  (void)crypto_generichash_update(&state, &which, 1);
  (void)crypto_generichash_update(&state, (const unsigned char *)text, strlen(text));
  (void)crypto_generichash_final(&state, digest, LEDGER_DIGEST_BYTES);
}

void ledger_check_words(const bt_check *check, unsigned char *content) {
  for (size_t i = 0; i < PASSED_OVER; i++)
    if (check->text[passed_over[i]] != NULL) {
      unsigned char before[LEDGER_DIGEST_BYTES];
      memcpy(before, content, sizeof before);
      mark(before, passed_over[i], check->text[passed_over[i]], content);
    }
}

bt_status ledger_texts_keep(ledger_contents *kept, const unsigned char *content,
                            const bt_check *check, bt_error *error) {
  if (!bt_grow(&kept->digest, &kept->capacity, kept->n + 1 + PASSED_OVER, sizeof kept->digest[0]))
    return bt_fail_memory(error);
  memcpy(kept->digest[kept->n++], content, LEDGER_DIGEST_BYTES);
  for (size_t i = 0; i < PASSED_OVER; i++)
    if (check->text[passed_over[i]] != NULL)
      mark(content, passed_over[i], check->text[passed_over[i]], kept->digest[kept->n++]);
  return BT_OK;
}

bool ledger_texts_differ(const ledger_contents *kept, const unsigned char *content,
                         const bt_check *check) {
  for (size_t i = 0; i < PASSED_OVER; i++) {
    unsigned char digest[LEDGER_DIGEST_BYTES];
    const char *text = check->text[passed_over[i]];
    if (text == NULL)
      continue;
    mark(content, passed_over[i], text, digest);
    if (!ledger_contents_have(kept, digest))
      return ledger_contents_have(kept, content);
  }
  return false;
}
