/* Errors as values: a status and a bounded sentence. */
#include "beamtally/base.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>

/* Ends text at `length`, or before the UTF-8 character that this would cut in two. */
static void cut_whole(char *text, size_t length) {
  size_t start = length; /* of the last character: before it, its lead byte */
  while (start > 0 && ((unsigned char)text[start - 1] & 0xC0) == 0x80)
    start--;
  if (start > 0) {
    unsigned char lead = (unsigned char)text[start - 1];
    size_t bytes = lead < 0xC0 ? 1 : lead < 0xE0 ? 2 : lead < 0xF0 ? 3 : 4;
    if (length - start + 1 < bytes)
      length = start - 1;
  }
  text[length] = '\0';
}

/* Bytes of the well-formed character at `text`; 0: what stands there is none. */
static size_t character(const char *text) {
  size_t left = strnlen(text, 4);
  for (size_t bytes = 1; bytes <= left; bytes++)
    if (bt_utf8_valid(text, bytes))
      return bytes;
  return 0;
}

/* A damaged file or a name on a command line may hold anything: what is no UTF-8, and what a
 * terminal would obey, becomes a question mark. Line ends are ours. */
static void make_readable(char *text) {
  for (char *at = text; *at != '\0';) {
    size_t bytes = character(at);
    unsigned char lead = (unsigned char)at[0];
    bool c1 = bytes == 2 && lead == 0xC2 && (unsigned char)at[1] < 0xA0; /* U+0080 to U+009F */
    if (bytes == 0 || c1 || lead == 0x7F || (lead < ' ' && lead != '\n'))
      memset(at, '?', bytes == 0 ? 1 : bytes);
    at += bytes == 0 ? 1 : bytes;
  }
}

static void write_bounded(char *text, size_t size, const char *format, va_list arguments) {
  int written = vsnprintf(text, size, format, arguments);
  if (written < 0)
    text[0] = '\0';
  else if ((size_t)written >= size)
    cut_whole(text, size - 1);
  make_readable(text);
}

bt_status bt_fail(bt_error *error, bt_status status, const char *format, ...) {
  if (error != NULL) {
    va_list arguments;
    va_start(arguments, format);
    error->status = status;
    write_bounded(error->text, sizeof error->text, format, arguments);
    va_end(arguments);
  }
  return status;
}

void bt_error_prefix(bt_error *error, const char *format, ...) {
  if (error == NULL)
    return;
  char before[sizeof error->text];
  va_list arguments;
  va_start(arguments, format);
  write_bounded(before, sizeof before, format, arguments);
  va_end(arguments);

  size_t used = strlen(before);
  size_t kept = strlen(error->text);
  char joined[2 * sizeof error->text + 2];
  memcpy(joined, before, used);
  memcpy(joined + used, ": ", 2);
  memcpy(joined + used + 2, error->text, kept + 1);
  size_t total = used + 2 + kept;
  if (total >= sizeof error->text) {
    total = sizeof error->text - 1;
    cut_whole(joined, total);
  }
  memcpy(error->text, joined, strlen(joined) + 1);
}

bt_status bt_fail_memory(bt_error *error) {
  return bt_fail(error, BT_MEMORY,
                 "there is not enough memory; close other programs and try again");
}
