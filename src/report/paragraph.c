/* Sentences with bold parts. */
#include "report_words.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { LONGEST_PIECE = 512 };

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
