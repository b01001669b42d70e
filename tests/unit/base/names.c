/* Names: UTF-8, folding, distance. */
#include "beamtally/base.h"

#include <criterion/criterion.h>
#include <locale.h>
#include <stdlib.h>
#include <string.h>
#include <wctype.h>

/* ---- UTF-8 ----------------------------------------------------------------------------------- */

/* Every code point up to U+10FFFF, written by the rule of RFC 3629, is well-formed; the surrogates
 * aren't. */
Test(names, every_code_point) {
  for (unsigned point = 1; point <= 0x10FFFF; point++) {
    char text[4];
    size_t length = 0;
    if (point < 0x80) {
      text[length++] = (char)point;
    } else {
      size_t more = point < 0x800 ? 1 : point < 0x10000 ? 2 : 3;
      unsigned lead = more == 1 ? 0xC0 : more == 2 ? 0xE0 : 0xF0;
      text[length++] = (char)(lead | point >> (6 * more));
      while (more-- > 0)
        text[length++] = (char)(0x80 | (point >> (6 * more) & 0x3F));
    }
    bool surrogate = point >= 0xD800 && point <= 0xDFFF;
    cr_assert(bt_utf8_valid(text, length) != surrogate, "U+%04X", point);
    if (length > 1)
      cr_assert_not(bt_utf8_valid(text, length - 1), "U+%04X cut short", point);
  }
}

Test(names, ill_formed) {
  static const char *const bad[] = {
      "\x80",
      "\xBF",
      "\xC0\x80",
      "\xC1\xBF", /* overlong two bytes */
      "\xE0\x80\x80",
      "\xE0\x9F\xBF",
      "\xF0\x80\x80\x80",
      "\xF0\x8F\xBF\xBF",
      "\xED\xA0\x80",
      "\xED\xBF\xBF",
      "\xF4\x90\x80\x80",
      "\xF5\x80\x80\x80",
      "\xFE",
      "\xFF",
      "a\xC3",
      "\xC3(",
      "\xE2\x89",
      "\xE2\x89(",
      "\xF0\x9F\x94",
      "M\xFCller",
  };
  for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++)
    cr_assert_not(bt_utf8_valid(bad[i], strlen(bad[i])), "case %zu", i);
  cr_assert_not(bt_utf8_valid("a\0b", 3));
  cr_assert(bt_utf8_valid("", 0));
  cr_assert(bt_utf8_valid("≤ 2 µm", strlen("≤ 2 µm")));
}

/* ---- Folding --------------------------------------------------------------------------------- */

static void encode_two(unsigned point, char *text) {
  text[0] = (char)(0xC0 | point >> 6);
  text[1] = (char)(0x80 | (point & 0x3F));
  text[2] = '\0';
}

/* The letters of Europe against the C library's own table. */
Test(names, folds_as_the_c_library_does) {
  static const unsigned blocks[][2] = {{0x80, 0x17F}, {0x386, 0x3CE}, {0x400, 0x52F}};
  cr_assert_not_null(setlocale(LC_CTYPE, "C.UTF-8"));
  size_t moved = 0;
  for (size_t b = 0; b < 3; b++)
    for (unsigned point = blocks[b][0]; point <= blocks[b][1]; point++) {
      unsigned expected = (unsigned)towlower((wint_t)point);
      if (expected < 0x80) /* U+0130, a dotted I, would become one byte: it stays */
        expected = point;
      if (point == 0x3C2) /* final sigma */
        expected = 0x3C3;
      char name[3], wanted[3];
      encode_two(point, name);
      encode_two(expected, wanted);
      char *folded = bt_fold_name(name);
      cr_assert_str_eq(folded, wanted, "U+%04X", point);
      free(folded);
      moved += point != expected;
    }
  cr_assert(moved > 250);
}

Test(names, folds_ascii_as_the_c_library_does) {
  for (int c = 1; c < 0x80; c++) {
    char name[] = {'_', (char)c, '_', '\0'};
    char wanted[] = {'_', (char)(c >= 'A' && c <= 'Z' ? c + 32 : c), '_', '\0'};
    char *folded = bt_fold_name(name);
    cr_assert_str_eq(folded, wanted);
    free(folded);
  }
}

/* Characters of three and four bytes have no other case here: they stay, whatever stands beside. */
Test(names, longer_characters_are_not_folded) {
  static const char *const names[] = {"\u20AC", "\uFF21\u3042", "\U0001F600",
                                      "a\u20ACb\U0001D400c"};
  for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
    char *folded = bt_fold_name(names[i]);
    cr_expect_str_eq(folded, names[i]);
    free(folded);
  }
}

Test(names, same) {
  static const struct {
    const char *a, *b;
    bool same;
  } table[] = {
      {"Suite North", "suite north", true},
      {"  Suite North\t", "SUITE NORTH\r\n", true},
      {"Suite North", "Suite  North", false},
      {"Suite North", "SuiteNorth", false},
      {"Suite North", "Suite South", false},
      {"", "   ", true},
      {"", "a", false},
      {"ÄÖÜ", "äöü", true},
      {"STRASSE", "straße", false},
      {"ΑΊΘΟΥΣΑ ΕΝΌΣ", "αίθουσα ενός", true},
      {"ЗАЛ № 1", "зал № 1", true},
      {"ŁÓDŹ", "łódź", true},
      {"×", "÷", false},
      {"\xC3", "\xC3", true}, /* not UTF-8, yet the same bytes */
      {"\xC3", "\xC4", false},
  };
  for (size_t i = 0; i < sizeof table / sizeof table[0]; i++) {
    cr_assert_eq(bt_same_name(table[i].a, table[i].b), table[i].same, "case %zu", i);
    cr_assert_eq(bt_same_name(table[i].b, table[i].a), table[i].same, "case %zu turned", i);
  }
}

/* ---- Distance -------------------------------------------------------------------------------- */

Test(names, distance) {
  static const struct {
    const char *a, *b;
    size_t distance;
  } table[] = {
      {"", "", 0},
      {"", "abc", 3},
      {"north", "North ", 0},
      {"north", "nort", 1},
      {"north", "noorth", 1},
      {"north", "nosth", 1},
      {"north", "nroth", 1}, /* neighbours swapped */
      {"suite north", "suite south", 2},
      {"kitten", "sitting", 3}, /* the classical example of V. I. Levenshtein's distance */
      {"ca", "abc", 3},         /* optimal string alignment: 3, where full Damerau gives 2 */
      {"abcdef", "fedcba", 5},
  };
  for (size_t i = 0; i < sizeof table / sizeof table[0]; i++) {
    cr_assert_eq(bt_name_distance(table[i].a, table[i].b), table[i].distance, "case %zu: %zu", i,
                 bt_name_distance(table[i].a, table[i].b));
    cr_assert_eq(bt_name_distance(table[i].b, table[i].a), table[i].distance, "case %zu turned", i);
  }
}

Test(names, distance_compares_64_bytes) {
  char a[201], b[201];
  memset(a, 'a', 200);
  memset(b, 'a', 200);
  a[200] = b[200] = '\0';
  b[150] = 'b';
  cr_assert_eq(bt_name_distance(a, b), 0);
  b[63] = 'b';
  cr_assert_eq(bt_name_distance(a, b), 1);
  cr_assert_eq(bt_name_distance(a, ""), 64);
}

/* Plain recursion over the definition, for all words of up to 4 letters over three letters. */
static size_t plain_distance(const char *a, size_t na, const char *b, size_t nb) {
  if (na == 0 || nb == 0)
    return na + nb;
  size_t best = plain_distance(a, na - 1, b, nb) + 1;
  size_t other = plain_distance(a, na, b, nb - 1) + 1;
  best = other < best ? other : best;
  other = plain_distance(a, na - 1, b, nb - 1) + (a[na - 1] != b[nb - 1]);
  best = other < best ? other : best;
  if (na > 1 && nb > 1 && a[na - 1] == b[nb - 2] && a[na - 2] == b[nb - 1]) {
    other = plain_distance(a, na - 2, b, nb - 2) + 1;
    best = other < best ? other : best;
  }
  return best;
}

static size_t word(size_t number, char *text) {
  size_t length = 0;
  for (; number > 0; number = (number - 1) / 3)
    text[length++] = (char)('a' + (number - 1) % 3);
  text[length] = '\0';
  return length;
}

Test(names, distance_equals_its_definition) {
  enum { WORDS = 121 }; /* 1 + 3 + 9 + 27 + 81 */
  for (size_t i = 0; i < WORDS; i++)
    for (size_t j = 0; j < WORDS; j++) {
      char a[8], b[8];
      size_t na = word(i, a), nb = word(j, b);
      cr_assert_eq(bt_name_distance(a, b), plain_distance(a, na, b, nb), "%s %s", a, b);
    }
}

Test(names, a_part_is_found_wherever_it_stands_and_however_it_is_written) {
  static const struct {
    const char *name, *part;
    bool has;
  } table[] = {{"Gasflasche gewechselt", "flasche", true},
               {"NEUE FÜLLUNG", "füllung", true},
               {"Messgerät", "messgerät", true},
               {"MESSGERÄT", "messgerät", true},
               {"flasch", "flasche", false},
               {"Gasflaschen", "flaschex", false},
               {"recalibration", "flasche", false},
               {"FÄLLUNG", "füllung", false},
               {"xflasche", "flasche", true},
               {"", "gas", false},
               {"\xC3", "ü", false},
               {"gas", "", true}};
  for (size_t i = 0; i < sizeof table / sizeof *table; i++)
    cr_expect_eq(bt_name_has(table[i].name, table[i].part), table[i].has, "\"%s\", \"%s\"",
                 table[i].name, table[i].part);
}

/* Two names are the same where their folded forms are: every pair of a few that differ in case,
 * blanks, length or a cut letter. */
Test(names, the_same_are_those_whose_folded_forms_are) {
  static const char *const names[] = {
      "Suite North", " suite NORTH\t", "Suite  North", "Suite Nort", "", "  ", "ÄRA",
      "ära",         "Ära\xC3",        "ära\xC3",      "Σ",          "ς"};
  enum { NAMES = sizeof names / sizeof *names };
  for (size_t i = 0; i < NAMES; i++)
    for (size_t k = 0; k < NAMES; k++) {
      char *one = bt_fold_name(names[i]), *other = bt_fold_name(names[k]);
      cr_expect_eq(bt_same_name(names[i], names[k]), strcmp(one, other) == 0, "\"%s\", \"%s\"",
                   names[i], names[k]);
      free(one);
      free(other);
    }
}

/* ---- Digits ---------------------------------------------------------------------------------- */

Test(names, digits_in_fours) {
  char grouped[BT_IN_FOURS_TEXT];
  cr_expect_str_eq(bt_in_fours("", grouped), "");
  cr_expect_str_eq(bt_in_fours("1a2", grouped), "1a2");
  cr_expect_str_eq(bt_in_fours("1a2b", grouped), "1a2b");
  cr_expect_str_eq(bt_in_fours("1a2b3c4d5e6f70819203", grouped), "1a2b 3c4d 5e6f 7081 9203");

  char digits[100];
  memset(digits, '7', sizeof digits);
  digits[sizeof digits - 1] = '\0';
  cr_expect_eq(strlen(bt_in_fours(digits, grouped)), BT_IN_FOURS_TEXT - 1, "64 digits, no more");
}
