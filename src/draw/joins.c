/* Where a line must not end: inside a short word with a slash in it (a unit such as mJ/cm², a
 * formula such as 1/(9n)), between a number and the sign or unit behind it, and inside an option of
 * a command (--by NAME), which a line's end behind its hyphens makes another, or inside "1 in 20".
 * Attributes of the layout, so that the text keeps its letters. */
#include <string.h>

#include "draw_room.h"

/* A longer word may have to be parted: it must fit the narrowest column. */
enum { LONGEST_JOINED = 12, LONGEST_OPTION = 15 };

#define NO_BREAK "\xC2\xA0" /* U+00A0 */

static bool is_digit(char letter) {
  return letter >= '0' && letter <= '9';
}

/* SI symbols and a few that are used like them, whole words; a sign may also begin the word. */
static bool is_unit(const char *word, size_t length) {
  static const char *const units[] = {"s",  "ms", "ns",  "h",   "d",    "m",  "cm", "mm",
                                      "µm", "nm", "J",   "mJ",  "V",    "kV", "Hz", "kHz",
                                      "K",  "Pa", "hPa", "bar", "mbar", "W",  "mW", "D"};
  static const char *const signs[] = {"%", "°", "σ"};
  for (size_t i = 0; i < sizeof signs / sizeof *signs; i++)
    if (length >= strlen(signs[i]) && memcmp(word, signs[i], strlen(signs[i])) == 0)
      return true;
  for (size_t end = 0; end < length; end++)
    if (word[end] == '/' || word[end] == '.' || word[end] == ',' || word[end] == ';' ||
        word[end] == ':' || word[end] == ')')
      length = end;
  for (size_t i = 0; i < sizeof units / sizeof *units; i++)
    if (strlen(units[i]) == length && memcmp(word, units[i], length) == 0)
      return true;
  return false;
}

static void join(PangoAttrList *attributes, size_t from, size_t to) {
  PangoAttribute *joined = pango_attr_allow_breaks_new(FALSE);
  joined->start_index = (guint)from;
  joined->end_index = (guint)to;
  pango_attr_list_insert(attributes, joined);
}

/* Bytes up to the next blank of any kind, or the end. */
static size_t word_length(const char *text) {
  const char *end = text;
  while (*end != '\0' && *end != ' ' && *end != '\n' &&
         strncmp(end, NO_BREAK, strlen(NO_BREAK)) != 0)
    end++;
  return (size_t)(end - text);
}

/* "--to" and "--by NAME”." of a command's words; of a longer option its hyphens and a letter. */
static void join_option(PangoAttrList *attributes, const char *text, size_t from, size_t length) {
  const char *at = text + from;
  if (length < 3 || strncmp(at, "--", 2) != 0)
    return;
  size_t both = length;
  if (at[length] == ' ' && at[length + 1] != '-')
    both += 1 + word_length(at + length + 1);
  join(attributes, from,
       from + (g_utf8_strlen(at, (gssize)both) <= LONGEST_OPTION     ? both
               : g_utf8_strlen(at, (gssize)length) <= LONGEST_OPTION ? length
                                                                     : strlen("--c")));
}

/* "1 in 20" is one number. */
static void join_chance(PangoAttrList *attributes, const char *text, size_t from) {
  static const char begin[] = "1 in ";
  const char *at = text + from;
  if (strncmp(at, begin, strlen(begin)) == 0 && is_digit(at[strlen(begin)]))
    join(attributes, from, from + strlen(begin) + word_length(at + strlen(begin)));
}

void draw_join(PangoAttrList *attributes, const char *text) {
  for (const char *at = text; *at != '\0';) {
    size_t length = word_length(at), from = (size_t)(at - text);
    const char *end = at + length;
    if (memchr(at, '/', length) != NULL && g_utf8_strlen(at, (gssize)length) <= LONGEST_JOINED)
      join(attributes, from, from + length);
    join_option(attributes, text, from, length);
    join_chance(attributes, text, from);
    if (length > 0 && is_digit(end[-1]) && *end == ' ') {
      size_t unit = word_length(end + 1);
      if (is_unit(end + 1, unit))
        join(attributes, from + length - 1, from + length + 1 + unit);
    }
    at = *end == '\0' ? end : end + 1;
  }
}
