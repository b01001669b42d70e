/* What is said of records by fixed words, and memory of those that own what they hold. */
#include "beamtally/record.h"

#include <stdlib.h>
#include <string.h>

bool bt_check_says_nothing(const bt_check *check) {
  return check->present == 0 && check->own_n == 0 && check->refill == BT_REFILL_NONE &&
         check->text[BT_FIELD_PATTERN] == NULL && check->text[BT_FIELD_SELFTEST_FAILED] == NULL &&
         check->text[BT_FIELD_REMARK] == NULL;
}

const char *bt_keep_word(bt_keep keep) {
  static const char *const words[] = {
      [BT_KEEP_OLD] = "old", [BT_KEEP_NEW] = "new", [BT_KEEP_BOTH] = "both"};
  return words[keep];
}

void bt_lost_words(unsigned lost, const char *joint, bt_text *out) {
  static const struct {
    unsigned what;
    const char *words;
  } table[] = {{BT_LOST_SELFTEST, "a failed self-test"},
               {BT_LOST_REMARK, "a remark"},
               {BT_LOST_REFILL, "a refill"}};
  enum { N = sizeof table / sizeof *table };
  bool untold = (lost & BT_LOST_UNTOLD) != 0;
  const char *told[N];
  size_t n = 0;
  for (size_t i = 0; i < N; i++)
    if (untold || (lost & table[i].what) != 0)
      told[n++] = table[i].words;
  for (size_t i = 0; i < n; i++) {
    bool last = i > 0 && i + 1 == n;
    if (last)
      bt_text_format(out, " %s ", untold ? "or" : joint);
    else if (i > 0)
      bt_text_add(out, ", ");
    bt_text_add(out, told[i]);
  }
}

unsigned bt_lost_untold(unsigned lost, const char *reason) {
  bool told = strstr(reason, BT_REFUSED_REFILL) != NULL;
  return told ? lost & ~(unsigned)BT_LOST_REFILL : lost;
}

const char *bt_correction_words(bt_correction_kind kind) {
  static const char *const words[] = {[BT_CORRECTED] = "corrected",
                                      [BT_WITHDRAWN] = "withdrawn",
                                      [BT_READ_AGAIN] = "read again",
                                      [BT_SETTLED] = "conflict settled",
                                      [BT_REDACTED] = "text removed"};
  return words[kind];
}

bool bt_book_has_news(const bt_book *book) {
  for (size_t i = 0; i < book->later_n; i++)
    if (!bt_is_issue(&book->later[i]) && strcmp(book->later[i].kind, "migrated") != 0)
      return true;
  return false;
}

bool bt_is_issue(const bt_book_entry *entry) {
  return strcmp(entry->kind, "issued") == 0;
}

/* Owned texts of a value whose fields are const, since most of its kind only borrow. */
static void free_owned(const void *text) {
  free((void *)(uintptr_t)text);
}

void bt_check_free(bt_check *check) {
  if (check == NULL)
    return;
  free_owned(check->unit);
  for (size_t f = 0; f < BT_FIELD_COUNT; f++)
    free_owned(check->text[f]);
  for (size_t i = 0; i < check->own_n; i++)
    free_owned(check->own[i].key);
  free_owned(check->own);
  *check = (bt_check){0};
}

void bt_event_free(bt_event *event) {
  if (event == NULL)
    return;
  free_owned(event->unit);
  free_owned(event->note);
  *event = (bt_event){0};
}

void bt_conflicts_free(bt_conflict *conflicts, size_t n) {
  for (size_t i = 0; i < n; i++) {
    free(conflicts[i].by);
    free(conflicts[i].why);
    free(conflicts[i].unit);
    free(conflicts[i].source);
    free(conflicts[i].stored);
    free(conflicts[i].held);
  }
  free(conflicts);
}

void bt_corrections_free(bt_correction *corrections, size_t n) {
  for (size_t i = 0; i < n; i++) {
    free(corrections[i].unit);
    free(corrections[i].changes);
    for (size_t k = 0; k < corrections[i].touched.own_n; k++)
      free(corrections[i].touched.own[k]);
    free(corrections[i].touched.own);
    free(corrections[i].by);
    free(corrections[i].why);
  }
  free(corrections);
}

void bt_dispositions_free(bt_disposition *dispositions, size_t n) {
  for (size_t i = 0; i < n; i++) {
    free(dispositions[i].characteristic);
    free(dispositions[i].cause);
    free(dispositions[i].action);
    free(dispositions[i].by);
  }
  free(dispositions);
}

void bt_issued_free(bt_issued *issued, size_t n) {
  for (size_t i = 0; i < n; i++) {
    free(issued[i].unit);
    free(issued[i].by);
  }
  free(issued);
}

static void free_decisions(bt_book_decision *decisions, size_t n) {
  for (size_t i = 0; i < n; i++) {
    free(decisions[i].characteristic);
    free(decisions[i].by);
    free(decisions[i].why);
  }
  free(decisions);
}

void bt_book_free(bt_book *book) {
  if (book == NULL)
    return;
  for (size_t i = 0; i < book->sources_n; i++)
    free(book->sources[i].name);
  for (size_t i = 0; i < book->refusals_n; i++) {
    free(book->refusals[i].source);
    free(book->refusals[i].column);
    free(book->refusals[i].reason);
  }
  for (size_t i = 0; i < book->left_out_n; i++) {
    free(book->left_out[i].source);
    free(book->left_out[i].by);
    free(book->left_out[i].why);
  }
  for (size_t i = 0; i < book->later_n; i++) {
    free(book->later[i].kind);
    free(book->later[i].by);
    free(book->later[i].why);
    free(book->later[i].about);
  }
  free(book->sources);
  free(book->refusals);
  free(book->left_out);
  free_decisions(book->settings, book->settings_n);
  free_decisions(book->baselines, book->baselines_n);
  free(book->later);
  *book = (bt_book){0};
}

const char *bt_sha256_text(const unsigned char *sha256, char *buffer) {
  static const char digits[] = "0123456789abcdef";
  for (size_t i = 0; i < BT_SHA256_BYTES; i++) {
    buffer[2 * i] = digits[sha256[i] >> 4];
    buffer[2 * i + 1] = digits[sha256[i] & 15];
  }
  buffer[BT_SHA256_TEXT - 1] = '\0';
  return buffer;
}
