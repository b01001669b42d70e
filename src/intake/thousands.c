/* Numbers whose digits stand in groups of three.
 *
 * T1  Nothing is guessed: "1,610" in a log with decimal points may be 1610, or a slip for 1.610. A
 *     mark is passed over only where a person said it.
 * T2  One to three digits, of which the first is no 0, then the mark and exactly three digits, once
 *     or more; behind them no other digit.
 * T3  A blank may be U+00A0, U+2009 or U+202F, an apostrophe U+2019. */
#include "thousands.h"
#include "beamtally/intake.h"
#include "convert.h"
#include "number.h"

#include <string.h>
#include <strings.h>

enum { GROUP = 3 };

static const char *const words[] = {[BT_THOUSANDS_NONE] = "none",
                                    [BT_THOUSANDS_POINT] = "point",
                                    [BT_THOUSANDS_COMMA] = "comma",
                                    [BT_THOUSANDS_SPACE] = "space",
                                    [BT_THOUSANDS_APOSTROPHE] = "apostrophe"};

const char *intake_thousands_word(bt_thousands mark) {
  return words[mark];
}

bool intake_thousands_of_word(const char *word, bt_thousands *mark) {
  for (int m = BT_THOUSANDS_POINT; m <= BT_THOUSANDS_APOSTROPHE; m++)
    if (strcasecmp(word, words[m]) == 0) {
      *mark = (bt_thousands)m;
      return true;
    }
  return false;
}

/* Bytes of the mark that the text begins with; 0: none. */
static size_t mark_at(const char *text, bt_thousands mark) {
  static const char *const signs[][4] = {
      [BT_THOUSANDS_NONE] = {NULL},
      [BT_THOUSANDS_POINT] = {"."},
      [BT_THOUSANDS_COMMA] = {","},
      [BT_THOUSANDS_SPACE] = {" ", "\xC2\xA0", "\xE2\x80\x89", "\xE2\x80\xAF"},
      [BT_THOUSANDS_APOSTROPHE] = {"'", "\xE2\x80\x99"}};
  for (size_t i = 0; i < 4 && signs[mark][i] != NULL; i++)
    if (strncmp(text, signs[mark][i], strlen(signs[mark][i])) == 0)
      return strlen(signs[mark][i]);
  return 0;
}

static size_t digits_at(const char *text) {
  return strspn(text, "0123456789");
}

const char *intake_join_thousands(const char *text, bt_thousands mark,
                                  char joined[INTAKE_JOINED_BYTES]) {
  const char *at = text + strspn(text, " \t");
  size_t used = 0, step = 0;
  if (strlen(at) >= INTAKE_JOINED_BYTES)
    return NULL;
  if (*at == '-' || *at == '+')
    joined[used++] = *at++;
  size_t digits = digits_at(at);
  if (digits < 1 || digits > GROUP || *at == '0' || mark_at(at + digits, mark) == 0)
    return NULL;
  memcpy(joined + used, at, digits);
  used += digits;
  at += digits;
  while ((step = mark_at(at, mark)) > 0 && digits_at(at + step) > 0) { /* "1 397 uJ" ends here */
    if (digits_at(at + step) != GROUP)
      return NULL;
    memcpy(joined + used, at + step, GROUP);
    used += GROUP;
    at += step + GROUP;
    digits += GROUP;
  }
  if (digits <= GROUP)
    return NULL;
  memcpy(joined + used, at, strlen(at) + 1);
  return joined;
}

static bool is_number(const char *text, bt_decimal_mark decimal) {
  double number = 0.0;
  const char *unit = NULL;
  return bt_number_parse(text, decimal, &number) ||
         (intake_number_before(text, decimal, &number, &unit) && intake_is_unit(unit));
}

static bool is_same_sign(bt_thousands mark, bt_decimal_mark decimal) {
  return mark == (decimal == BT_DECIMAL_COMMA ? BT_THOUSANDS_COMMA : BT_THOUSANDS_POINT);
}

bt_thousands intake_thousands_in(const char *text, bt_decimal_mark decimal) {
  char joined[INTAKE_JOINED_BYTES];
  for (int m = BT_THOUSANDS_POINT; m <= BT_THOUSANDS_APOSTROPHE; m++) {
    bt_thousands mark = (bt_thousands)m;
    if (!is_same_sign(mark, decimal) && intake_join_thousands(text, mark, joined) != NULL &&
        is_number(joined, decimal))
      return mark;
  }
  return BT_THOUSANDS_NONE;
}

bt_status intake_thousands_check(bt_thousands mark, bt_decimal_mark *decimal, bt_error *error) {
  if (*decimal != BT_DECIMAL_AUTO && is_same_sign(mark, *decimal))
    return bt_fail(error, BT_INPUT,
                   "thousands = %s and decimal = %s contradict each other: one sign can't be both; "
                   "take one of them out",
                   words[mark], words[mark]);
  if (*decimal == BT_DECIMAL_AUTO && mark == BT_THOUSANDS_COMMA)
    *decimal = BT_DECIMAL_POINT;
  else if (*decimal == BT_DECIMAL_AUTO && mark == BT_THOUSANDS_POINT)
    *decimal = BT_DECIMAL_COMMA;
  return BT_OK;
}
