/* Letters with marks: one code point or several. Held to GLib's normalization, which is that of the
 * Unicode standard, annex 15. */
#include "beamtally/base.h"

#include <criterion/criterion.h>
#include <glib.h>
#include <stdio.h>
#include <string.h>

/* Each letter is the same as its pieces, and as no more than these. */
Test(composed, letters_and_their_pieces) {
  size_t parted = 0;
  for (gunichar point = 0xC0; point < 0x1F00; point++) {
    char text[8] = "";
    if (point == 0x037E) /* a semicolon: with ASCII alone nothing is taken to pieces */
      continue;
    text[g_unichar_to_utf8(point, text)] = '\0';
    char *pieces = g_utf8_normalize(text, -1, G_NORMALIZE_NFD);
    cr_assert_not_null(pieces, "U+%04X", point);
    parted += strcmp(pieces, text) != 0;
    cr_expect(bt_same_name(pieces, text), "U+%04X", point);
    cr_expect(bt_same_name(text, pieces), "U+%04X", point);
    cr_expect(!bt_same_name(text, "\u00A7"), "U+%04X", point);
    pieces[strlen(pieces) - 1] = '\0'; /* a mark, or a letter, that is cut */
    cr_expect(!bt_same_name(text, pieces), "U+%04X", point);
    g_free(pieces);
  }
  cr_expect_eq(parted, 659, "%zu", parted);
}

/* Three marks behind a letter, of each order: the same where GLib makes one text of them. */
Test(composed, orders_of_marks) {
  static const char *const marks[] = {"\u0301", "\u0323", "\u031B", "\u0302", "\u0338"};
  enum { MARKS = sizeof marks / sizeof *marks, TEXTS = MARKS * MARKS * MARKS };
  static char text[TEXTS][16];
  static char *normal[TEXTS];
  size_t n = 0, alike = 0;
  for (size_t i = 0; i < MARKS; i++)
    for (size_t j = 0; j < MARKS; j++)
      for (size_t k = 0; k < MARKS; k++) {
        (void)snprintf(text[n], sizeof *text, "o%s%s%s", marks[i], marks[j], marks[k]);
        normal[n] = g_utf8_normalize(text[n], -1, G_NORMALIZE_NFC);
        n++;
      }
  for (size_t a = 0; a < n; a++)
    for (size_t b = 0; b < n; b++) {
      bool expected = strcmp(normal[a], normal[b]) == 0;
      alike += expected && a != b;
      cr_expect_eq(bt_same_name(text[a], text[b]), expected, "%zu, %zu", a, b);
      cr_expect_eq(bt_same_name(normal[a], text[b]), expected, "%zu, %zu", a, b);
    }
  cr_expect_gt(alike, 100);
  for (size_t a = 0; a < n; a++)
    g_free(normal[a]);
}

Test(composed, names) {
  static const struct {
    const char *a, *b;
    bool same;
  } table[] = {{"Salle d'\u00E9t\u00E9", "salle d'e\u0301te\u0301 ", true},
               {"B\u00D6HM", "bo\u0308hm", true},
               {"B\u00F6hm", "bohm", false},
               {"bo\u0308hm", "bo\u0301hm", false},
               {"e\u0301", "e", false},
               {"\u1EA0", "a\u0323", true},
               {"\u1EA0", "\u1EA1", true},
               {"\u0301", "", false},
               {"e\xCC", "\u00E9", false},
               {"e\xCC", "e\xCC", true}};
  for (size_t i = 0; i < sizeof table / sizeof *table; i++) {
    cr_expect_eq(bt_same_name(table[i].a, table[i].b), table[i].same, "%zu", i);
    cr_expect_eq(bt_same_name(table[i].b, table[i].a), table[i].same, "%zu", i);
  }
}

/* More marks than a letter has: no end is run over, and what is the same stays so. */
Test(composed, marks_without_end) {
  bt_text one = {0}, other = {0};
  bt_text_add(&one, "\u00E9");
  bt_text_add(&other, "e\u0301");
  for (int i = 0; i < 200; i++) {
    bt_text_add(&one, "\u0302");
    bt_text_add(&other, "\u0302");
  }
  cr_expect(bt_same_name(bt_text_get(&one), bt_text_get(&one)));
  cr_expect(bt_same_name(bt_text_get(&one), bt_text_get(&other)));
  bt_text_add(&other, "\u0302");
  cr_expect(!bt_same_name(bt_text_get(&one), bt_text_get(&other)));
  bt_text_free(&one);
  bt_text_free(&other);
}
