/* What a terminal would obey is never sent to one: a file's name, a laser's and the cells of a log
 * may hold escape sequences. In words that were put together line ends and tabs are ours, and in
 * the daily screen colours: whoever puts those in made the data plain before. */
#include "cli.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* Bytes of the character at `text`, 1 of what is none; whether a terminal must not see it. */
static size_t character(const char *text, bool *control) {
  size_t left = strnlen(text, 4), bytes = 1;
  while (bytes <= left && !bt_utf8_valid(text, bytes))
    bytes++;
  unsigned char lead = (unsigned char)text[0];
  bool c1 = lead == 0xC2 && (unsigned char)text[1] < 0xA0; /* U+0080 to U+009F */
  *control = bytes > left || lead < ' ' || lead == 0x7F || c1;
  return bytes > left ? 1 : bytes;
}

/* Bytes of the colour that begins at `text`; 0: there is none. */
static size_t colour(const char *text) {
  static const char *const colours[] = {"\033[0m", "\033[1m", "\033[1;31m", "\033[1;33m"};
  for (size_t i = 0; i < sizeof colours / sizeof *colours; i++)
    if (strncmp(text, colours[i], strlen(colours[i])) == 0)
      return strlen(colours[i]);
  return 0;
}

/* Bytes of what is ours at `text` although a terminal obeys it; 0: nothing. */
typedef size_t ours(const char *text);

static size_t nothing(const char *text) {
  (void)text;
  return 0;
}

static size_t layout(const char *text) {
  return *text == '\n' || *text == '\t' ? 1 : 0;
}

static size_t layout_and_colour(const char *text) {
  return layout(text) > 0 ? 1 : colour(text);
}

static bool put(const char *text, ours *is_ours, FILE *to) {
  bool written = true, control = false;
  const char *from = text;
  while (*text != '\0' && written) {
    size_t bytes = is_ours(text);
    if (bytes == 0 && (bytes = character(text, &control)) > 0 && control) {
      written = fwrite(from, 1, (size_t)(text - from), to) == (size_t)(text - from) &&
                fputc('?', to) != EOF;
      from = text + bytes;
    }
    text += bytes;
  }
  return written &&
         (text == from || fwrite(from, 1, (size_t)(text - from), to) == (size_t)(text - from));
}

bool cli_put_seen(const char *text, FILE *to) {
  return put(text, layout, to);
}

bool cli_put_screen(const char *text, FILE *to) {
  return put(text, layout_and_colour, to);
}

/* One line: only an end that the format has is ours, any other stands in a name. Without memory it
 * is cut. */
static bool put_line(FILE *to, const char *format, va_list arguments) {
  char few[1024];
  va_list again;
  va_copy(again, arguments);
  int length = vsnprintf(few, sizeof few, format, arguments);
  if (length < 0) /* it can't be formatted: what `few` holds is not said */
    few[0] = '\0';
  char *all = length < (int)sizeof few ? NULL : malloc((size_t)length + 1);
  if (all != NULL)
    (void)vsnprintf(all, (size_t)length + 1, format, again);
  va_end(again);
  char *line = all != NULL ? all : few;
  size_t shown = strlen(line), of_format = strlen(format);
  bool ends = of_format > 0 && format[of_format - 1] == '\n';
  if (ends && shown > 0 && line[shown - 1] == '\n')
    line[shown - 1] = '\0';
  bool written = length >= 0 && put(line, nothing, to) && (!ends || fputc('\n', to) != EOF);
  free(all);
  return written;
}

void cli_say(const char *format, ...) {
  va_list arguments;
  va_start(arguments, format);
  (void)fputs("beamtally: ", stderr);
  (void)put_line(stderr, format, arguments);
  (void)fputc('\n', stderr);
  va_end(arguments);
}

void cli_tell(const char *format, ...) {
  va_list arguments;
  va_start(arguments, format);
  (void)put_line(stdout, format, arguments); /* a failure stays with the stream */
  va_end(arguments);
}

size_t cli_plain(bt_text *line, const char *text, size_t width) {
  size_t taken = 0, total = 0;
  bool control;
  for (const char *at = text; *at != '\0'; at += character(at, &control))
    total++;
  size_t whole = total <= width ? total : width - 1;
  for (const char *at = text; taken < whole; taken++) {
    size_t bytes = character(at, &control);
    bt_text_add_bytes(line, control ? "?" : at, control ? 1 : bytes);
    at += bytes;
  }
  if (total > width)
    bt_text_add(line, "…");
  return total <= width ? total : width;
}
