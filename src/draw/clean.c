/* Texts come from logs and people: what can't be set as a letter is replaced before layout. */
#include <glib.h>
#include <stdlib.h>
#include <string.h>

#include "draw_room.h"

#define REPLACEMENT "\xEF\xBF\xBD" /* U+FFFD */

/* Marks that reorder the letters after them: a reader must see that they are there. */
static bool reorders(gunichar letter) {
  return letter == 0x061C || letter == 0x200E || letter == 0x200F ||
         (letter >= 0x202A && letter <= 0x202E) || (letter >= 0x2066 && letter <= 0x2069);
}

/* What stands for the letter; NULL: itself. */
static const char *substitute(gunichar letter, bool keep_lines) {
  if (letter == '\n' && keep_lines)
    return NULL;
  if (letter < 0x20 || letter == 0x7F || letter == 0x2028 || letter == 0x2029)
    return " ";
  if ((letter >= 0x80 && letter < 0xA0) || reorders(letter))
    return REPLACEMENT;
  return NULL;
}

/* An offset goes to the first letter that begins at it or after it. */
static void move_offsets(const bt_strong *asked, bt_strong *ranges, size_t n, size_t from,
                         size_t past, size_t to) {
  for (size_t i = 0; i < n; i++) {
    if (asked[i].from >= from && asked[i].from < past)
      ranges[i].from = to;
    if (asked[i].to >= from && asked[i].to < past)
      ranges[i].to = to;
  }
}

char *draw_clean(const char *text, bool keep_lines, bt_strong *ranges, size_t n) {
  bt_text clean = {0};
  bt_strong *asked = bt_new(n, sizeof *asked);
  if (asked == NULL)
    return NULL;
  if (n > 0)
    memcpy(asked, ranges, n * sizeof *asked);

  size_t length = strlen(text);
  size_t after = 0; /* the first byte that no letter so far has claimed */
  for (size_t at = 0; at < length;) {
    move_offsets(asked, ranges, n, after, at + 1, clean.length);
    after = at + 1;
    gunichar letter = g_utf8_get_char_validated(text + at, (gssize)(length - at));
    if (letter == (gunichar)-1 || letter == (gunichar)-2) {
      bt_text_add(&clean, REPLACEMENT);
      at++;
      continue;
    }
    size_t bytes = (size_t)(g_utf8_next_char(text + at) - (text + at));
    const char *instead = substitute(letter, keep_lines);
    if (instead != NULL)
      bt_text_add(&clean, instead);
    else
      bt_text_add_bytes(&clean, text + at, bytes);
    at += bytes;
  }
  move_offsets(asked, ranges, n, after, SIZE_MAX, clean.length);
  free(asked);
  return bt_text_take(&clean);
}
