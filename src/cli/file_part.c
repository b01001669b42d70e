/* A file name's part made of a unit's name: lower-case ASCII letters and digits, joined by hyphens.
 * Latin letters with marks are written as their plain letters, German umlauts as ae, oe, ue: "Fünf"
 * is fuenf. Letters of other alphabets part words, as blanks do. */
#include "pages.h"

#include <string.h>

enum { LONGEST_PART = 120 }; /* of the 255 bytes that a file system gives a name */

/* U+00C0 to U+017F: what each letter is written as; '-' no letter, a capital for two letters. */
static const char plain[] = "aaaaAaAceeeeiiiidnooooO-ouuuUytS"
                            "aaaaAaAceeeeiiiidnooooO-ouuuUyty"
                            "aaaaaaccccccccddddeeeeeeeeeegggggggghhhhiiiiiiiiiiJJjjkkkllllllllll"
                            "nnnnnnnnnooooooEErrrrrrssssssssttttttuuuuuuuuuuuuwwyyyzzzzzzs";

/* One character of UTF-8, and how many bytes it takes; 0xFFFD where it is none. */
static uint32_t character(const char *at, size_t *bytes) {
  const unsigned char *c = (const unsigned char *)at;
  *bytes = 1;
  if (c[0] < 0x80)
    return c[0];
  size_t more = c[0] >= 0xF0 ? 3 : c[0] >= 0xE0 ? 2 : c[0] >= 0xC0 ? 1 : 0;
  uint32_t value = c[0] & (0x3FU >> more);
  for (size_t i = 1; i <= more; i++) {
    if ((c[i] & 0xC0) != 0x80)
      return 0xFFFD;
    value = value << 6 | (c[i] & 0x3FU);
  }
  *bytes = more + 1;
  return more == 0 ? 0xFFFD : value;
}

/* What a character is written as: up to two letters, none where it parts words. */
static void letters_of(uint32_t of, char letters[3]) {
  static const char *const two[] = {
      ['A'] = "ae", ['E'] = "oe", ['J'] = "ij", ['O'] = "oe", ['S'] = "ss", ['U'] = "ue"};
  char letter = '-';
  if (of >= 'A' && of <= 'Z')
    letter = (char)(of + ('a' - 'A'));
  else if ((of >= 'a' && of <= 'z') || (of >= '0' && of <= '9'))
    letter = (char)of;
  else if (of >= 0xC0 && of < 0xC0 + sizeof plain - 1)
    letter = plain[of - 0xC0];
  memset(letters, 0, 3);
  if (letter >= 'A' && letter <= 'Z')
    memcpy(letters, two[(unsigned char)letter], 2);
  else if (letter != '-')
    letters[0] = letter;
}

void pages_file_part(const char *name, bt_text *out) {
  bool gap = false;
  size_t begun = out->length, bytes = 0;
  for (const char *c = name; *c != '\0' && out->length - begun < LONGEST_PART; c += bytes) {
    char letters[3];
    uint32_t of = character(c, &bytes);
    if (of >= 0x300 && of <= 0x36F) /* a mark over the letter before it */
      continue;
    letters_of(of, letters);
    if (*letters != '\0' && gap && out->length > begun)
      bt_text_add(out, "-");
    gap = *letters == '\0';
    bt_text_add(out, letters);
  }
  if (out->length == begun)
    bt_text_add(out, "unit");
}

const char pages_overview_part[] = "all-units";

bool pages_is_among(char *const *parts, size_t n, const char *part) {
  for (size_t k = 0; k < n; k++)
    if (strcmp(parts[k], part) == 0)
      return true;
  return false;
}

char **pages_file_parts(char *const *units, size_t n) {
  char **parts = bt_new(n, sizeof *parts);
  bt_text part = {0};
  bool whole = parts != NULL;
  for (size_t i = 0; i < n && whole; i++) {
    size_t number = 1;
    pages_file_part(units[i], &part);
    while (bt_text_ok(&part) && (pages_is_among(parts, i, bt_text_get(&part)) ||
                                 strcmp(bt_text_get(&part), pages_overview_part) == 0)) {
      bt_text_clear(&part);
      pages_file_part(units[i], &part);
      bt_text_format(&part, "-%zu", ++number);
    }
    parts[i] = bt_text_take(&part);
    whole = parts[i] != NULL;
  }
  if (!whole && parts != NULL) {
    bt_names_free(parts, n);
    parts = NULL;
  }
  return parts;
}
