/* Whether the reason for a removal repeats what is removed: the reason stays in the ledger for
 * good.
 *
 * It does where it holds the whole text, or a word of it that may be a name: with a capital, of
 * four letters or more. Small and capital letters (of ASCII) are the same; any character beyond
 * ASCII is a letter. A name in small letters, or of three letters, is not recognised. */
#include "redact_private.h"

#include <ctype.h>
#include <string.h>

enum { NAME_LETTERS = 4 };

static bool is_letter(char c) {
  return isalpha((unsigned char)c) || (unsigned char)c >= 0x80;
}

static bool is_capital(const char *at) {
  bool accented = (unsigned char)at[0] == 0xC3 && (unsigned char)at[1] >= 0x80 &&
                  (unsigned char)at[1] <= 0x9E; /* of Latin-1, in UTF-8 */
  return isupper((unsigned char)at[0]) || accented;
}

static bool same_letters(const char *one, const char *other, size_t n) {
  for (size_t i = 0; i < n; i++)
    if (tolower((unsigned char)one[i]) != tolower((unsigned char)other[i]))
      return false;
  return true;
}

/* Whether the words stand in `text`, not as a part of longer ones. */
static bool holds(const char *text, const char *words, size_t n) {
  size_t length = strlen(text);
  for (size_t at = 0; n > 0 && at + n <= length; at++) {
    bool begins = at == 0 || !is_letter(text[at - 1]) || !is_letter(words[0]);
    bool ends = !is_letter(text[at + n]) || !is_letter(words[n - 1]);
    if (begins && ends && same_letters(text + at, words, n))
      return true;
  }
  return false;
}

static size_t letters_in(const char *word, size_t bytes) {
  size_t n = 0;
  for (size_t i = 0; i < bytes; i++)
    n += ((unsigned char)word[i] & 0xC0) != 0x80;
  return n;
}

bool ledger_reason_repeats(const char *why, const char *body) {
  if (holds(why, body, strlen(body)))
    return true;
  while (*body != '\0') {
    size_t n = 0;
    while (is_letter(body[n]))
      n++;
    if (n > 0 && is_capital(body) && letters_in(body, n) >= NAME_LETTERS && holds(why, body, n))
      return true;
    body += n > 0 ? n : 1;
  }
  return false;
}
