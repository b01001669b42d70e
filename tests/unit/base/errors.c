/* Errors: a status with a bounded sentence that is never cut inside a character. */
#include "beamtally/base.h"

#include <criterion/criterion.h>
#include <string.h>

enum { MOST = sizeof((bt_error *)NULL)->text - 1 };

Test(errors, sets_status_and_sentence) {
  bt_error error = {0};
  cr_assert_eq(bt_fail(&error, BT_REFUSED, "line %d: %s", 7, "no date"), BT_REFUSED);
  cr_assert_eq(error.status, BT_REFUSED);
  cr_assert_str_eq(error.text, "line 7: no date");
  cr_assert_eq(bt_fail(NULL, BT_INPUT, "nobody listens"), BT_INPUT);
  cr_assert_eq(bt_fail_memory(&error), BT_MEMORY);
  cr_assert_eq(error.status, BT_MEMORY);
  cr_assert(strlen(error.text) > 0);
}

/* `before` ASCII letters, then copies of one character until the sentence is too long. */
static void fill(char *text, size_t size, size_t before, const char *character) {
  size_t used = before;
  memset(text, 'a', before);
  while (used + strlen(character) < size) {
    memcpy(text + used, character, strlen(character));
    used += strlen(character);
  }
  text[used] = '\0';
}

/* Whatever falls on the bound, as much is kept as fits whole. */
Test(errors, cut_at_a_whole_character) {
  static const char *const characters[] = {"x", "µ", "≤", "\xF0\x9F\x94\xA6"};
  for (size_t c = 0; c < 4; c++)
    for (size_t before = 0; before < 5; before++) {
      size_t bytes = strlen(characters[c]);
      char text[2 * MOST];
      bt_error error = {0};
      fill(text, sizeof text, before, characters[c]);
      (void)!bt_fail(&error, BT_INPUT, "%s", text);
      size_t expected = before + (MOST - before) / bytes * bytes;
      cr_assert_eq(strlen(error.text), expected, "%zu bytes a character, %zu before: %zu kept",
                   bytes, before, strlen(error.text));
      cr_assert(bt_utf8_valid(error.text, strlen(error.text)));
      cr_assert(strncmp(error.text, text, expected) == 0);
    }
}

Test(errors, a_sentence_of_just_the_bound_is_whole) {
  char text[MOST + 1];
  memset(text, 'a', MOST - 2);
  memcpy(text + MOST - 2, "µ", 3);
  bt_error error = {0};
  (void)!bt_fail(&error, BT_INPUT, "%s", text);
  cr_assert_str_eq(error.text, text);
}

Test(errors, nothing_in_a_sentence_is_obeyed_by_a_terminal) {
  static const struct {
    const char *given, *said;
  } texts[] = {{"Suite \xFFNorth\xC3", "Suite ?North?"},
               {"a\x1B[31mred\x07\x7F", "a?[31mred??"},
               {"\xC2\x9B"
                "31m\tb",
                "??31m?b"},
               {"two\nlines, µ≤\xF0\x9F\x94\xA6", "two\nlines, µ≤\xF0\x9F\x94\xA6"},
               {"\xED\xA0\x80", "???"}};
  bt_error error = {0};
  for (size_t i = 0; i < sizeof texts / sizeof *texts; i++) {
    (void)!bt_fail(&error, BT_INPUT, "%s", texts[i].given);
    cr_expect_str_eq(error.text, texts[i].said);
    bt_error_prefix(&error, "%s", texts[i].given);
    cr_expect(bt_utf8_valid(error.text, strlen(error.text)));
  }
}

Test(errors, prefix_goes_before) {
  bt_error error = {0};
  (void)!bt_fail(&error, BT_INPUT, "no date");
  bt_error_prefix(&error, "%s:%d", "log.csv", 12);
  cr_assert_str_eq(error.text, "log.csv:12: no date");
  cr_assert_eq(error.status, BT_INPUT);
  bt_error_prefix(NULL, "nobody");
}

Test(errors, prefix_keeps_the_bound) {
  char text[2 * MOST];
  for (size_t before = 0; before < 4; before++) {
    bt_error error = {0};
    fill(text, sizeof text, before, "≤");
    (void)!bt_fail(&error, BT_INPUT, "%s", text);
    bt_error_prefix(&error, "µ");
    cr_assert(strlen(error.text) <= MOST && strlen(error.text) > MOST - 3);
    cr_assert(strncmp(error.text, "µ: ", 4) == 0);
    cr_assert(bt_utf8_valid(error.text, strlen(error.text)));

    bt_error_prefix(&error, "%s", text);
    cr_assert(strlen(error.text) <= MOST);
    cr_assert(bt_utf8_valid(error.text, strlen(error.text)));
  }
}

/* What a shell would make of a word is what was meant by it. */
Test(texts, a_word_as_a_shell_takes_it) {
  static const struct {
    const char *word, *said;
  } table[] = {{"log.csv", "log.csv"},
               {"2026-01", "2026-01"},
               {"Room 4", "'Room 4'"},
               {"it's", "'it'\\''s'"},
               {"", "''"},
               {"-x", "'-x'"},
               {"a$b", "'a$b'"},
               {"Größe", "'Größe'"},
               {"a/b=c", "a/b=c"}};
  for (size_t i = 0; i < sizeof table / sizeof *table; i++) {
    bt_text text = {0};
    bt_text_add_shell_word(&text, table[i].word);
    cr_expect_str_eq(bt_text_get(&text), table[i].said);
    bt_text_free(&text);
  }
}
