/* Numbers: what is one, and that it is rounded as strtod rounds it. */
#include "beamtally/intake.h"
#include "number.h"

#include <criterion/criterion.h>
#include <locale.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

Test(intake_numbers, what_a_person_types) {
  static const struct {
    const char *text;
    bt_decimal_mark mark;
    bool is;
    double value;
  } table[] = {
      {"1.61", BT_DECIMAL_POINT, true, 1.61},
      {"1,61", BT_DECIMAL_COMMA, true, 1.61},
      {"1,61", BT_DECIMAL_POINT, false, 0},
      {"1.61", BT_DECIMAL_COMMA, false, 0},
      {"1.61", BT_DECIMAL_AUTO, true, 1.61},
      {" 2 ", BT_DECIMAL_POINT, true, 2},
      {"-0.5", BT_DECIMAL_POINT, true, -0.5},
      {"+.5", BT_DECIMAL_POINT, true, 0.5},
      {"5.", BT_DECIMAL_POINT, true, 5},
      {"1e3", BT_DECIMAL_POINT, true, 1000},
      {"1.5E-3", BT_DECIMAL_POINT, true, 0.0015},
      {"000000000000000000000001.5", BT_DECIMAL_POINT, true, 1.5},
      {"123456789012345678901234567890", BT_DECIMAL_POINT, true, 123456789012345678901234567890.0},
      {"1e308", BT_DECIMAL_POINT, true, 1e308},
      {"1e309", BT_DECIMAL_POINT, false, 0},
      {"1e-400", BT_DECIMAL_POINT, true, 0},
      {"", BT_DECIMAL_POINT, false, 0},
      {".", BT_DECIMAL_POINT, false, 0},
      {"-", BT_DECIMAL_POINT, false, 0},
      {"1e", BT_DECIMAL_POINT, false, 0},
      {"1.2.3", BT_DECIMAL_POINT, false, 0},
      {"1,234.5", BT_DECIMAL_POINT, false, 0},
      {"1.234,5", BT_DECIMAL_COMMA, false, 0},
      {"1 234", BT_DECIMAL_POINT, false, 0},
      {"0x10", BT_DECIMAL_POINT, false, 0},
      {"inf", BT_DECIMAL_POINT, false, 0},
      {"nan", BT_DECIMAL_POINT, false, 0},
      {"1.61 mJ", BT_DECIMAL_POINT, false, 0},
      {"--1", BT_DECIMAL_POINT, false, 0},
  };
  for (size_t i = 0; i < sizeof table / sizeof table[0]; i++) {
    double value = 0.0;
    bool is = bt_number_parse(table[i].text, table[i].mark, &value);
    cr_expect_eq(is, table[i].is, "\"%s\"", table[i].text);
    if (is && table[i].is)
      cr_expect_eq(value, table[i].value, "\"%s\" gave %.17g", table[i].text, value);
  }
}

/* Oracle: strtod of the same text, bit for bit; digits from a plain linear congruence. */
Test(intake_numbers, rounded_as_strtod) {
  uint64_t seed = 193;
  cr_assert_not_null(setlocale(LC_ALL, "C"));
  for (int i = 0; i < 200000; i++) {
    char text[64];
    seed = seed * UINT64_C(6364136223846793005) + UINT64_C(1442695040888963407);
    uint64_t digits = seed >> 33 >> (seed >> 8 & 15);
    unsigned decimals = (unsigned)(seed >> 13 & 7), extra = (unsigned)(seed >> 17 & 31);
    (void)snprintf(text, sizeof text, "%s%llu.%0*u%se%d", (seed & 1) != 0 ? "-" : "",
                   (unsigned long long)digits, (int)decimals + 1, (unsigned)(seed >> 21 & 1023),
                   extra == 0 ? "12345678901" : "", (int)extra - 16);
    double value = 0.0;
    cr_assert(bt_number_parse(text, BT_DECIMAL_POINT, &value), "%s", text);
    cr_assert_eq(value, strtod(text, NULL), "%s: %.17g", text, value);
  }
}

Test(intake_numbers, what_they_say_of_the_mark) {
  static const struct {
    const char *text;
    intake_mark mark;
  } table[] = {{"1", INTAKE_MARK_NONE},
               {"1.61", INTAKE_MARK_POINT},
               {"1,61", INTAKE_MARK_COMMA},
               {"1.610", INTAKE_MARK_POINT_EITHER},
               {"1,610", INTAKE_MARK_COMMA_EITHER},
               {"0,610", INTAKE_MARK_COMMA},
               {"0.610", INTAKE_MARK_POINT},
               {"-12,345", INTAKE_MARK_COMMA_EITHER},
               {"1234,567", INTAKE_MARK_COMMA},
               {"1,6100", INTAKE_MARK_COMMA},
               {"1.610,5", INTAKE_MARK_NONE},
               {"1,610,000", INTAKE_MARK_NONE},
               {"1,610e3", INTAKE_MARK_COMMA},
               {".5", INTAKE_MARK_POINT},
               {",", INTAKE_MARK_NONE},
               {"pass", INTAKE_MARK_NONE},
               {"1.6 mJ", INTAKE_MARK_POINT},
               {"46,5%", INTAKE_MARK_COMMA},
               {"1,610 mJ", INTAKE_MARK_COMMA_EITHER},
               {"22,5 \xC2\xB0\x43", INTAKE_MARK_COMMA},
               {"1.6 / 2", INTAKE_MARK_NONE},
               {"17.08.2026", INTAKE_MARK_NONE}};
  for (size_t i = 0; i < sizeof table / sizeof table[0]; i++)
    cr_expect_eq(intake_mark_of(table[i].text), table[i].mark, "\"%s\" gave %d", table[i].text,
                 (int)intake_mark_of(table[i].text));
}
