/* Reads a decimal number.
 *
 * What      digits with at most one decimal mark, a sign, an exponent; nothing else: no thousands
 *           separators, no hexadecimal, no infinity. A unit behind it is told apart, not read.
 * Accuracy  correctly rounded. Up to 15 digits and a power of ten up to 22 both are exact doubles,
 *           so that one multiplication or division rounds once (W. D. Clinger, How to read floating
 *           point numbers accurately, PLDI 1990); all else goes to strtod in the C locale.
 * Checked   against strtod over random digits in tests/unit/intake. */
#include "number.h"
#include "beamtally/intake.h"

#include <locale.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { EXACT_DIGITS = 15, EXACT_POWER = 22, LONGEST = 120 };

static bool digit(char c) {
  return c >= '0' && c <= '9';
}

static bool blank(char c) {
  return c == ' ' || c == '\t';
}

/* strtod, whatever the locale of the program. */
static bool slow(const char *text, size_t length, char mark, double *number) {
  char copy[LONGEST + 1];
  locale_t plain, before;
  if (length > LONGEST)
    return false;
  for (size_t i = 0; i < length; i++)
    copy[i] = text[i] == mark ? '.' : text[i];
  copy[length] = '\0';
  plain = newlocale(LC_NUMERIC_MASK, "C", (locale_t)0);
  if (plain == (locale_t)0)
    return false;
  before = uselocale(plain);
  *number = strtod(copy, NULL);
  (void)uselocale(before);
  freelocale(plain);
  return isfinite(*number) != 0;
}

bool bt_number_parse(const char *text, bt_decimal_mark decimal, double *number) {
  static const double power[EXACT_POWER + 1] = {1e0,  1e1,  1e2,  1e3,  1e4,  1e5,  1e6,  1e7,
                                                1e8,  1e9,  1e10, 1e11, 1e12, 1e13, 1e14, 1e15,
                                                1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22};
  char mark = decimal == BT_DECIMAL_COMMA ? ',' : '.';
  while (blank(*text))
    text++;
  const char *at = text;
  bool negative = *at == '-';
  if (*at == '-' || *at == '+')
    at++;

  uint64_t digits = 0;
  int significant = 0, seen = 0, exponent = 0;
  bool fraction = false;
  for (; digit(*at) || (*at == mark && !fraction); at++) {
    if (*at == mark) {
      fraction = true;
      continue;
    }
    seen++;
    if (significant > 0 || *at != '0')
      significant++;
    if (significant <= EXACT_DIGITS)
      digits = digits * 10 + (uint64_t)(*at - '0');
    exponent -= fraction;
  }
  if (seen == 0)
    return false;
  if (*at == 'e' || *at == 'E') {
    at++;
    bool down = *at == '-';
    if (*at == '-' || *at == '+')
      at++;
    if (!digit(*at))
      return false;
    int written = 0;
    for (; digit(*at); at++)
      written = written < 9999 ? written * 10 + (*at - '0') : written;
    exponent += down ? -written : written;
  }
  const char *end = at;
  while (blank(*at))
    at++;
  if (*at != '\0')
    return false;
  if (significant > EXACT_DIGITS || exponent > EXACT_POWER || exponent < -EXACT_POWER)
    return slow(text, (size_t)(end - text), mark, number);
  double value = (double)digits;
  value = exponent < 0 ? value / power[-exponent] : value * power[exponent];
  *number = negative ? -value : value;
  return true;
}

/* Past the digits, mark and exponent that begin the text. */
static const char *behind_number(const char *at, char mark) {
  if (*at == '-' || *at == '+')
    at++;
  while (digit(*at))
    at++;
  if (*at == mark)
    for (at++; digit(*at);)
      at++;
  const char *power = at;
  if (*power == 'e' || *power == 'E') {
    power++;
    power += *power == '-' || *power == '+';
    if (digit(*power))
      for (at = power; digit(*at);)
        at++;
  }
  return at;
}

bool intake_number_before(const char *text, bt_decimal_mark decimal, double *number,
                          const char **rest) {
  char copy[LONGEST + 1];
  while (blank(*text))
    text++;
  const char *end = behind_number(text, decimal == BT_DECIMAL_COMMA ? ',' : '.');
  size_t length = (size_t)(end - text);
  if (length > LONGEST)
    return false;
  memcpy(copy, text, length);
  copy[length] = '\0';
  while (blank(*end))
    end++;
  *rest = end;
  return *end != '\0' && bt_number_parse(copy, decimal, number);
}

/* Nothing more, or a unit: "%", "mJ", "°C". */
static bool ends_number(const char *at) {
  while (blank(*at))
    at++;
  bool letter = (*at | 0x20) >= 'a' && (*at | 0x20) <= 'z';
  return *at == '\0' || letter || *at == '%' || (unsigned char)*at >= 0x80;
}

intake_mark intake_mark_of(const char *text) {
  const char *at = text;
  if (*at == '-' || *at == '+')
    at++;
  const char *whole = at;
  while (digit(*at))
    at++;
  size_t before = (size_t)(at - whole);
  char mark = *at;
  if (mark != '.' && mark != ',')
    return INTAKE_MARK_NONE;
  const char *fraction = ++at;
  while (digit(*at))
    at++;
  size_t after = (size_t)(at - fraction);
  if (before + after == 0 || !ends_number(at))
    return INTAKE_MARK_NONE;
  bool power = *at == 'e' || *at == 'E';
  bool either = !power && after == 3 && before >= 1 && before <= 3 && *whole != '0';
  if (mark == '.')
    return either ? INTAKE_MARK_POINT_EITHER : INTAKE_MARK_POINT;
  return either ? INTAKE_MARK_COMMA_EITHER : INTAKE_MARK_COMMA;
}

bt_status bt_number_typed(const char *text, double *number, bt_error *error) {
  intake_mark mark = intake_mark_of(text);
  const char *comma = strchr(text, ',');
  bool decimal_comma = mark == INTAKE_MARK_COMMA && comma != NULL && digit(comma[1]);
  if (mark == INTAKE_MARK_COMMA_EITHER && bt_number_parse(text, BT_DECIMAL_COMMA, number)) {
    int before = (int)strcspn(text, ",");
    const char *after = text + before + 1;
    return bt_fail(
        error, BT_INPUT,
        "%s can be %.*s.%s or, with thousands, %.*s%s; write the one that is meant, with a "
        "decimal point or without a mark",
        text, before, text, after, before, text, after);
  }
  return bt_number_parse(text, decimal_comma ? BT_DECIMAL_COMMA : BT_DECIMAL_POINT, number)
             ? BT_OK
             : bt_fail(error, BT_INPUT,
                       "\"%s\" is no number such as 1.61 (or 1,61), which stands without its unit",
                       text);
}
