/* The self-test: its last result, and its failures as rare events.
 *
 * R1 A self-test failed when fewer items passed than there are, or failed items are named.
 * R2 A failure within the hour of a failed one is the same failure: a repeat in the same session
 *    says nothing of how often it comes.
 * R3 Named items are parted by commas and semicolons, and are one where their names are the same
 * but for case; worst first: the most failures, then the latest, then by name. */
#include "study_room.h"

#include <stdlib.h>
#include <string.h>

typedef struct failures {
  bt_time *at; /* one a failure, R2 */
  size_t n, room;
  bt_time last; /* of the last failed self-test */
  size_t items_room;
} failures;

static bool has(const bt_history *history, bt_reading reading, size_t i) {
  return (history->present[i] >> reading & 1U) != 0;
}

/* R3. */
static bool count_item(bt_rare *rare, failures *found, const char *name, bt_time at) {
  size_t k = 0;
  while (k < rare->items_n && !bt_same_name(rare->items[k].name, name))
    k++;
  if (k == rare->items_n) {
    if (!bt_grow(&rare->items, &found->items_room, k + 1, sizeof *rare->items))
      return false;
    rare->items[k].name = bt_copy(name);
    if (rare->items[k].name == NULL)
      return false;
    rare->items_n++;
  }
  if (rare->items[k].failures == 0 || rare->items[k].last_at != at)
    rare->items[k].failures++;
  rare->items[k].last_at = at;
  return true;
}

static bool count_items(bt_rare *rare, failures *found, const char *named, bt_time at) {
  bt_text item = {0};
  bool counted = true;
  for (const char *from = named; counted && *from != '\0';) {
    size_t blanks = strspn(from, " \t,;");
    size_t length = strcspn(from + blanks, ",;");
    const char *name = from + blanks;
    from = name + length;
    while (length > 0 && (name[length - 1] == ' ' || name[length - 1] == '\t'))
      length--;
    if (length == 0)
      continue;
    bt_text_clear(&item);
    bt_text_add_bytes(&item, name, length);
    counted = bt_text_ok(&item) && count_item(rare, found, bt_text_get(&item), at);
  }
  bt_text_free(&item);
  return counted;
}

static int worst_first(const void *a, const void *b) {
  const bt_failed_item *first = a, *second = b;
  if (first->failures != second->failures)
    return first->failures > second->failures ? -1 : 1;
  if (first->last_at != second->last_at)
    return first->last_at > second->last_at ? -1 : 1;
  return strcmp(first->name, second->name);
}

/* R2, and the items that it is about. */
static bool book(bt_selftest *selftest, failures *found, const char *named, bt_time at) {
  bool same = found->n > 0 && at - found->last <= STUDY_RETEST_WITHIN;
  found->last = at;
  if (!same) {
    if (!bt_grow(&found->at, &found->room, found->n + 1, sizeof *found->at))
      return false;
    found->at[found->n++] = at;
  }
  return named == NULL || count_items(&selftest->rare, found, named, found->at[found->n - 1]);
}

bt_status study_selftest(const bt_history *history, bt_time until, bt_selftest *selftest,
                         bt_error *error) {
  char *const *items = history->text[BT_FIELD_SELFTEST_FAILED];
  failures found = {0};
  bt_time first_at = 0;
  bt_status status = BT_OK;
  for (size_t i = 0; i < history->n && status == BT_OK; i++) {
    const char *named = items == NULL ? NULL : items[i];
    bool counted =
        has(history, BT_READING_SELFTEST_PASSED, i) && has(history, BT_READING_SELFTEST_TOTAL, i);
    if (!counted && named == NULL)
      continue;
    if (!selftest->logged)
      first_at = history->at[i];
    selftest->logged = true;
    selftest->n++;
    selftest->last_at = history->at[i];
    selftest->passed = counted ? history->reading[BT_READING_SELFTEST_PASSED][i] : 0;
    selftest->total = counted ? history->reading[BT_READING_SELFTEST_TOTAL][i] : 0;
    selftest->items = named;
    selftest->last_failed = named != NULL || selftest->passed < selftest->total; /* R1 */
    selftest->failed += selftest->last_failed;
    if (selftest->last_failed) {
      selftest->failed_items = named;
      selftest->passed_at = 0;
    } else if (selftest->failed > 0 && selftest->passed_at == 0)
      selftest->passed_at = history->at[i];
    if (selftest->last_failed && !book(selftest, &found, named, history->at[i]))
      status = bt_fail_memory(error);
  }
  bt_rare *rare = &selftest->rare;
  bt_rare kept = *rare; /* bt_rare_find writes the whole finding but for the items */
  if (status == BT_OK && selftest->logged)
    status = bt_rare_find(found.at, found.n, first_at, until, rare, error);
  rare->items = kept.items;
  rare->items_n = kept.items_n;
  rare->failed_at = found.at;
  if (rare->items_n > 1)
    qsort(rare->items, rare->items_n, sizeof *rare->items, worst_first);
  return status;
}
