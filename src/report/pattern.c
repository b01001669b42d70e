/* What the log writes of the test pattern: its texts with how often and when last, judged by
 * nothing. */
#include "report_sentences.h"

#include <string.h>

enum { MOST_TEXTS = 5, LONGEST = 40 };

typedef struct seen {
  const char *text;
  size_t n;
  bt_time last;
} seen;

/* At most so many bytes of it, whole characters. */
static void add_text(const char *text, bt_text *out) {
  size_t bytes = strlen(text), keep = bytes < LONGEST ? bytes : LONGEST;
  while (keep > 0 && keep < bytes && ((unsigned char)text[keep] & 0xC0) == 0x80)
    keep--;
  bt_text_add(out, "“");
  bt_text_add_bytes(out, text, keep);
  bt_text_add(out, keep < bytes ? "…”" : "”");
}

static void count(seen *texts, size_t *n, size_t *others, const char *text, bt_time at) {
  size_t k = 0;
  while (k < *n && !bt_same_name(texts[k].text, text))
    k++;
  if (k == MOST_TEXTS) {
    ++*others;
    return;
  }
  if (k == *n) /* the newest come first */
    texts[(*n)++] = (seen){.text = text, .last = at};
  texts[k].n++;
}

void report_pattern_words(const bt_unit_study *unit, bt_time from, bt_time to, bt_text *out) {
  const bt_history *history = &unit->history;
  char *const *text = history->text[BT_FIELD_PATTERN];
  seen texts[MOST_TEXTS] = {0};
  size_t n = 0, others = 0;
  char date[REPORT_DATE_TEXT];
  for (size_t i = history->n; i > 0 && text != NULL; i--)
    if (text[i - 1] != NULL && history->at[i - 1] >= from && history->at[i - 1] < to)
      count(texts, &n, &others, text[i - 1], history->at[i - 1]);
  for (size_t k = 0; k < n; k++) {
    bt_text_add(out, k == 0 ? "" : "; ");
    add_text(texts[k].text, out);
    bt_text_add(out, " at ");
    report_count(out, texts[k].n, "check", "checks");
    bt_text_format(out, ", %s%s", texts[k].n == 1 ? "on " : "the last on ",
                   report_short_date(texts[k].last, date));
  }
  if (others > 0) {
    bt_text_add(out, "; other words at ");
    report_count(out, others, "check", "checks");
  }
}

bool report_pattern_varies(const bt_unit_study *unit) {
  const bt_history *history = &unit->history;
  char *const *text = history->text[BT_FIELD_PATTERN];
  const char *first = NULL;
  for (size_t i = 0; i < history->n && text != NULL; i++) {
    if (text[i] == NULL)
      continue;
    if (first != NULL && !bt_same_name(first, text[i]))
      return true;
    first = text[i];
  }
  return false;
}
