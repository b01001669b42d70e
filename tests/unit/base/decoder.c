/* Decoders: fed in pieces of every size, the result is the same; what is wrong is said. */
#include "beamtally/base.h"

#include <criterion/criterion.h>
#include <string.h>

/* Feeds bytes in pieces of `step`, the last piece with `last`. */
static bt_status decode(const char *encoding, const char *bytes, size_t length, size_t step,
                        bt_text *out, bt_error *error) {
  bt_decoder *decoder = NULL;
  bt_status status = bt_decoder_open(encoding, &decoder, error);
  cr_assert_eq(status, BT_OK, "%s", error->text);
  for (size_t at = 0; status == BT_OK && at < length; at += step) {
    size_t piece = length - at < step ? length - at : step;
    status = bt_decoder_feed(decoder, bytes + at, piece, at + piece == length, out, error);
  }
  bt_decoder_close(decoder);
  return status;
}

static void decodes(const char *encoding, const char *bytes, size_t length, const char *expected) {
  for (size_t step = 1; step <= length; step++) {
    bt_text out = {0};
    bt_error error = {0};
    bt_status status = decode(encoding, bytes, length, step, &out, &error);
    cr_assert_eq(status, BT_OK, "%s, pieces of %zu: %s", encoding, step, error.text);
    cr_assert_str_eq(bt_text_get(&out), expected, "%s, pieces of %zu", encoding, step);
    bt_text_free(&out);
  }
}

static void refuses(const char *encoding, const char *bytes, size_t length, const char *words) {
  for (size_t step = 1; step <= length; step++) {
    bt_text out = {0};
    bt_error error = {0};
    bt_status status = decode(encoding, bytes, length, step, &out, &error);
    cr_assert_eq(status, BT_INPUT, "%s, pieces of %zu", encoding, step);
    cr_assert_not_null(strstr(error.text, words), "%s, pieces of %zu: %s", encoding, step,
                       error.text);
    bt_text_free(&out);
  }
}

/* U+0041, U+00B5, U+2264, U+1F526, U+000A: letters of one to four bytes in UTF-8, and in UTF-16 one
 * that takes a surrogate pair. */
static const char mixed[] = "Aµ≤🔦\n";

Test(decoder, utf16) {
  static const char little[] = "\x41\x00\xB5\x00\x64\x22\x3D\xD8\x26\xDD\x0A\x00";
  static const char big[] = "\x00\x41\x00\xB5\x22\x64\xD8\x3D\xDD\x26\x00\x0A";
  decodes("UTF-16LE", little, sizeof little - 1, mixed);
  decodes("UTF-16BE", big, sizeof big - 1, mixed);
}

Test(decoder, utf8_to_itself) {
  decodes("UTF-8", mixed, sizeof mixed - 1, mixed);
}

Test(decoder, windows_1252) {
  static const char text[] = "Prüfung: 0,98 µm \x80 \x93OK\x94 \x96";
  char bytes[64];
  size_t length = 0;
  for (const char *at = text; *at != '\0'; at++) /* ü and µ are 0xC3 0xBC and 0xC2 0xB5 in UTF-8 */
    if (*at == '\xC3')
      bytes[length++] = (char)(*++at + 0x40);
    else if (*at != '\xC2')
      bytes[length++] = *at;
  decodes("WINDOWS-1252", bytes, length, "Prüfung: 0,98 µm € “OK” –");
}

Test(decoder, other_encodings) {
  decodes("ISO-8859-7", "\xC1\xDF\xE8", 3, "Αίθ");
  decodes("KOI8-R", "\xFA\xC1\xCC", 3, "Зал");
  decodes("SHIFT_JIS", "\x8C\xF5\x41", 3, "光A");
  decodes("EUC-JP", "\xB8\xF7\x41", 3, "光A");
}

/* This decoder holds a letter back until it knows that no accent follows: the last one too must
 * come out. */
Test(decoder, a_letter_held_back_comes_out_at_the_end) {
  decodes("WINDOWS-1258", "a", 1, "a");
  decodes("WINDOWS-1258", "xa", 2, "xa");
  decodes("WINDOWS-1258", "a\xEC", 2, "á");
}

Test(decoder, cut_short) {
  refuses("UTF-16LE", "\x41\x00\xB5", 3, "cut short");
  refuses("UTF-16BE", "\x00\x41\xD8\x3D", 4, "cut short");
  refuses("UTF-16BE", "\x00\x41\xD8\x3D\xDD", 5, "cut short");
  refuses("UTF-8", "a\xE2\x89", 3, "cut short");
  refuses("SHIFT_JIS", "a\x8C", 2, "cut short");
}

Test(decoder, bad_bytes) {
  refuses("WINDOWS-1252", "ab\x81", 3, "0x81");
  refuses("UTF-8", "a\xFFz", 3, "0xff");
  refuses("UTF-8", "a\xE2zzz", 5, "0xe2");
  refuses("UTF-16LE", "\x26\xDD\x41\x00", 4, "0x26"); /* the second half of a pair alone */
  refuses("UTF-16LE", "\x3D\xD8\x41\x00", 4, "0x3d"); /* the first half alone */
  refuses("ASCII", "a\xB5", 2, "0xb5");
}

/* A piece larger than the decoder's own buffer, of letters that grow. */
Test(decoder, long_pieces) {
  enum { LETTERS = 20000 };
  static char bytes[LETTERS];
  static char expected[2 * LETTERS + 1];
  memset(bytes, '\xB5', LETTERS);
  for (size_t i = 0; i < LETTERS; i++)
    memcpy(expected + 2 * i, "µ", 2);
  static const size_t steps[] = {1, 7, 4095, 4096, 4097, LETTERS};
  for (size_t i = 0; i < sizeof steps / sizeof steps[0]; i++) {
    bt_text out = {0};
    bt_error error = {0};
    cr_assert_eq(decode("WINDOWS-1252", bytes, LETTERS, steps[i], &out, &error), BT_OK);
    cr_assert_str_eq(bt_text_get(&out), expected);
    bt_text_free(&out);
  }
}

Test(decoder, nothing_to_feed) {
  bt_decoder *decoder = NULL;
  bt_text out = {0};
  bt_error error = {0};
  cr_assert_eq(bt_decoder_open("UTF-16LE", &decoder, &error), BT_OK);
  cr_assert_eq(bt_decoder_feed(decoder, NULL, 0, false, &out, &error), BT_OK);
  cr_assert_eq(bt_decoder_feed(decoder, "A", 1, false, &out, &error), BT_OK);
  cr_assert_eq(bt_decoder_feed(decoder, "", 0, false, &out, &error), BT_OK);
  cr_assert_eq(bt_decoder_feed(decoder, "\0", 1, false, &out, &error), BT_OK);
  cr_assert_eq(bt_decoder_feed(decoder, NULL, 0, true, &out, &error), BT_OK);
  cr_assert_str_eq(bt_text_get(&out), "A");
  bt_text_free(&out);
  bt_decoder_close(decoder);
  bt_decoder_close(NULL);
}

/* Names that iconv would take for something else: the locale's encoding, its own options. */
Test(decoder, unknown_encodings) {
  static const char *const names[] = {"", "no-such-thing", "UTF-8//IGNORE", "ASCII//TRANSLIT", "/"};
  for (size_t i = 0; i < sizeof names / sizeof names[0]; i++) {
    bt_decoder *decoder = NULL;
    bt_error error = {0};
    cr_assert_eq(bt_decoder_open(names[i], &decoder, &error), BT_USAGE, "\"%s\"", names[i]);
    cr_assert_null(decoder);
    cr_assert_not_null(strstr(error.text, "not known"));
  }
}
