/* Names as people type them: UTF-8 that may differ in case, in blanks at the ends, and in how a
 * letter with marks is written: some systems write é as one code point, some as e and an accent. */
#include "beamtally/base.h"

#include <stdlib.h>
#include <string.h>
#include <uninorm.h>

bool bt_utf8_valid(const char *text, size_t length) {
  const unsigned char *byte = (const unsigned char *)text;
  size_t i = 0;
  while (i < length) {
    unsigned char lead = byte[i];
    size_t more = lead < 0x80 ? 0 : lead < 0xC2 ? 4 : lead < 0xE0 ? 1 : lead < 0xF0 ? 2 : 3;
    if (lead == 0 || lead > 0xF4 || more == 4 || more > length - i - 1)
      return false;
    for (size_t k = 1; k <= more; k++)
      if ((byte[i + k] & 0xC0) != 0x80)
        return false;
    /* Overlong forms, surrogates, and code points past U+10FFFF. */
    if ((lead == 0xE0 && byte[i + 1] < 0xA0) || (lead == 0xED && byte[i + 1] > 0x9F) ||
        (lead == 0xF0 && byte[i + 1] < 0x90) || (lead == 0xF4 && byte[i + 1] > 0x8F))
      return false;
    i += more + 1;
  }
  return true;
}

/* Upper-case letters below U+0800 and the distance to their lower case: every `step`-th from first
 * to last. Source: the simple case mappings of Unicode, as the C library's towlower has them (the
 * test compares); the final sigma is a sigma. A letter whose lower case has another number of
 * bytes stays as it is. */
static const struct {
  unsigned first, last, step;
  int distance;
} folds[] = {
    {0x00C0, 0x00D6, 1, 32},   {0x00D8, 0x00DE, 1, 32}, {0x0100, 0x012E, 2, 1},
    {0x0132, 0x0136, 2, 1},    {0x0139, 0x0147, 2, 1},  {0x014A, 0x0176, 2, 1},
    {0x0178, 0x0178, 1, -121}, {0x0179, 0x017D, 2, 1},  {0x0386, 0x0386, 1, 38},
    {0x0388, 0x038A, 1, 37},   {0x038C, 0x038C, 1, 64}, {0x038E, 0x038F, 1, 63},
    {0x0391, 0x03A1, 1, 32},   {0x03A3, 0x03AB, 1, 32}, {0x03C2, 0x03C2, 1, 1},
    {0x0400, 0x040F, 1, 80},   {0x0410, 0x042F, 1, 32}, {0x0460, 0x0480, 2, 1},
    {0x048A, 0x04BE, 2, 1},    {0x04C0, 0x04C0, 1, 15}, {0x04C1, 0x04CD, 2, 1},
    {0x04D0, 0x052E, 2, 1},
};

static unsigned fold(unsigned point) {
  if (point >= 'A' && point <= 'Z')
    return point + 32;
  if (point < 0x80)
    return point;
  for (size_t i = 0; i < sizeof folds / sizeof folds[0] && folds[i].first <= point; i++)
    if (point <= folds[i].last && (point - folds[i].first) % folds[i].step == 0)
      return (unsigned)((int)point + folds[i].distance);
  return point;
}

static bool blank(char c) {
  return c == ' ' || c == '\t' || c == '\r' || c == '\n';
}

/* The name without the blanks at its ends, borrowed, and its bytes. */
static const char *trimmed(const char *name, size_t *length) {
  while (blank(*name))
    name++;
  *length = strlen(name);
  while (*length > 0 && blank(name[*length - 1]))
    (*length)--;
  return name;
}

/* Folds the first character of a name that has so many bytes left; returns how many it has, folded
 * as well as not. */
static size_t fold_first(const char *name, size_t left, char folded[2]) {
  unsigned lead = (unsigned char)name[0];
  folded[0] = (char)(lead < 0x80 ? fold(lead) : lead);
  if (lead < 0xC2 || lead >= 0xE0 || left < 2)
    return 1;
  unsigned point = fold(((lead & 0x1FU) << 6) | ((unsigned char)name[1] & 0x3FU));
  folded[0] = (char)(0xC0U | (point >> 6));
  folded[1] = (char)(0x80U | (point & 0x3FU));
  return 2;
}

/* Folds at most `most` bytes of a name; returns how many. */
static size_t fold_into(char *folded, const char *name, size_t most) {
  size_t used = 0;
  while (used < most) {
    char one[2];
    size_t bytes = fold_first(name + used, most - used, one);
    memcpy(folded + used, one, bytes);
    used += bytes;
  }
  return used;
}

char *bt_fold_name(const char *name) {
  size_t length;
  name = trimmed(name, &length);
  char *folded = bt_new(length + 1, 1);
  if (folded != NULL)
    (void)fold_into(folded, name, length);
  return folded;
}

static bool same_folded(const char *a, const char *b, size_t length) {
  for (size_t i = 0; i < length;) {
    char one[2], two[2];
    size_t bytes = fold_first(a + i, length - i, one);
    if (fold_first(b + i, length - i, two) != bytes || memcmp(one, two, bytes) != 0)
      return false;
    i += bytes;
  }
  return true;
}

static bool is_ascii(const char *text, size_t length) {
  for (size_t i = 0; i < length; i++)
    if ((unsigned char)text[i] >= 0x80)
      return false;
  return true;
}

/* Canonical equivalence: annex 15 of the Unicode standard, with all letters taken to pieces, so
 * that case is told by the letter alone. Names of so many bytes need no memory of their own:
 * whoever asks must not take a lack of it for another name. */
static bool same_in_pieces(const char *a, size_t a_n, const char *b, size_t b_n) {
  uint8_t one[1024], other[1024];
  size_t one_n = sizeof one, other_n = sizeof other;
  uint8_t *x = u8_normalize(UNINORM_NFD, (const uint8_t *)a, a_n, one, &one_n);
  uint8_t *y = u8_normalize(UNINORM_NFD, (const uint8_t *)b, b_n, other, &other_n);
  bool same = x != NULL && y != NULL && one_n == other_n &&
              same_folded((const char *)x, (const char *)y, one_n);
  if (x != one)
    free(x);
  if (y != other)
    free(y);
  return same;
}

bool bt_same_name(const char *a, const char *b) {
  size_t length, other;
  a = trimmed(a, &length);
  b = trimmed(b, &other);
  if (length == other && same_folded(a, b, length))
    return true;
  return !is_ascii(a, length) && !is_ascii(b, other) && bt_utf8_valid(a, length) &&
         bt_utf8_valid(b, other) && same_in_pieces(a, length, b, other);
}

static bool begins_with(const char *name, size_t left, const char *part, size_t part_n) {
  for (size_t i = 0; i < part_n;) {
    char one[2];
    size_t bytes = i < left ? fold_first(name + i, left - i, one) : 0;
    if (bytes == 0 || bytes > part_n - i || memcmp(one, part + i, bytes) != 0)
      return false;
    i += bytes;
  }
  return true;
}

bool bt_name_has(const char *name, const char *part) {
  size_t length = strlen(name), part_n = strlen(part);
  for (size_t i = 0; i + part_n <= length; i++)
    if (begins_with(name + i, length - i, part, part_n))
      return true;
  return false;
}

static size_t least(size_t a, size_t b, size_t c) {
  size_t m = a < b ? a : b;
  return m < c ? m : c;
}

/* Optimal string alignment: Damerau-Levenshtein distance in which no part is edited twice. */
size_t bt_name_distance(const char *a, const char *b) {
  enum { MOST = 64 };
  size_t row[3][MOST + 1], na, nb;
  char fa[MOST], fb[MOST];
  a = trimmed(a, &na);
  b = trimmed(b, &nb);
  na = fold_into(fa, a, na < MOST ? na : MOST);
  nb = fold_into(fb, b, nb < MOST ? nb : MOST);
  for (size_t j = 0; j <= nb; j++)
    row[0][j] = j;
  for (size_t i = 1; i <= na; i++) {
    size_t *now = row[i % 3], *last = row[(i - 1) % 3], *before = row[(i + 1) % 3];
    now[0] = i;
    for (size_t j = 1; j <= nb; j++) {
      now[j] = least(last[j] + 1, now[j - 1] + 1, last[j - 1] + (fa[i - 1] != fb[j - 1]));
      bool swapped = i > 1 && j > 1 && fa[i - 1] == fb[j - 2] && fa[i - 2] == fb[j - 1];
      if (swapped && before[j - 2] + 1 < now[j])
        now[j] = before[j - 2] + 1;
    }
  }
  return row[na % 3][nb];
}
