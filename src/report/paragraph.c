/* Sentences with bold parts, and plain text in 80 columns. */
#include "report_words.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { COLUMNS = 80, LONGEST_PIECE = 512 };

static void add(report_words *words, bool strong, const char *format, va_list arguments) {
  char piece[LONGEST_PIECE];
  va_list again;
  va_copy(again, arguments);
  int length = vsnprintf(piece, sizeof piece, format, arguments);
  size_t from = words->text.length;
  if (length < 0)
    words->text.failed = true;
  else if ((size_t)length < sizeof piece)
    bt_text_add(&words->text, piece);
  else {
    char *longer = bt_new((size_t)length + 1, 1);
    if (longer != NULL)
      (void)vsnprintf(longer, (size_t)length + 1, format, again);
    if (longer != NULL)
      bt_text_add(&words->text, longer);
    else
      words->text.failed = true;
    free(longer);
  }
  va_end(again);
  size_t most = sizeof words->strong / sizeof *words->strong;
  if (strong && words->strong_n < most && words->text.length > from)
    words->strong[words->strong_n++] = (bt_strong){from, words->text.length};
}

void report_words_add(report_words *words, const char *format, ...) {
  va_list arguments;
  va_start(arguments, format);
  add(words, false, format, arguments);
  va_end(arguments);
}

void report_words_bold(report_words *words, const char *format, ...) {
  va_list arguments;
  va_start(arguments, format);
  add(words, true, format, arguments);
  va_end(arguments);
}

void report_words_next(report_words *words) {
  size_t n = words->text.length;
  if (n > 0 && bt_text_get(&words->text)[n - 1] != ' ')
    bt_text_add(&words->text, " ");
}

void report_words_free(report_words *words) {
  if (words == NULL)
    return;
  bt_text_free(&words->text);
  words->strong_n = 0;
}

void report_text_pass(bt_text *text, bt_text *out) {
  out->failed |= text->failed;
  bt_text_free(text);
}

size_t report_columns(const char *text) {
  size_t columns = 0;
  for (; *text != '\0'; text++)
    columns += ((unsigned char)*text & 0xC0) != 0x80;
  return columns;
}

/* Bytes of the first `columns` characters, or of all. */
static size_t bytes_of(const char *text, size_t length, size_t columns) {
  size_t at = 0;
  while (at < length) {
    size_t next = at + 1;
    while (next < length && ((unsigned char)text[next] & 0xC0) == 0x80)
      next++;
    if (columns-- == 0)
      break;
    at = next;
  }
  return at;
}

/* Unbreakable blanks have done their work once the line is set: on a terminal they are blanks. */
static void add_plain(bt_text *out, const char *text, size_t length) {
  for (size_t i = 0; i < length; i++)
    if (i + 1 < length && memcmp(text + i, REPORT_JOIN, 2) == 0) {
      bt_text_add(out, " ");
      i++;
    } else
      bt_text_add_bytes(out, text + i, 1);
}

void report_wrap_plain(bt_text *out, const char *head, const char *text) {
  size_t indent = report_columns(head), used = indent;
  bt_text_add(out, head);
  bool fresh = true; /* nothing on this line but the indent */
  while (*text != '\0') {
    size_t length = strcspn(text, " ");
    size_t columns = 0;
    for (size_t i = 0; i < length; i++)
      columns += ((unsigned char)text[i] & 0xC0) != 0x80;
    if (!fresh && used + 1 + columns > COLUMNS) {
      bt_text_format(out, "\n%*s", (int)indent, "");
      used = indent;
      fresh = true;
    }
    if (!fresh) {
      bt_text_add(out, " ");
      used++;
    }
    /* A word longer than a line is broken where the line ends. */
    size_t taken = bytes_of(text, length, COLUMNS - used);
    if (taken == 0)
      taken = length;
    add_plain(out, text, taken);
    used += columns;
    fresh = false;
    text += taken;
    if (taken == length)
      while (*text == ' ')
        text++;
    else
      used = COLUMNS;
  }
  bt_text_add(out, "\n");
}
