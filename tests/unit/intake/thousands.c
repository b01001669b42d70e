/* Marks between groups of three digits: read where a map says so, else asked about and refused. */
#include "thousands.h"
#include "gather.h"

#include <criterion/criterion.h>
#include <stdlib.h>
#include <string.h>

Test(intake_thousands, groups_of_exactly_three) {
  enum { N, P, C, S, A };
  static const struct {
    const char *text;
    int mark;
    const char *joined; /* NULL: not such a number */
  } table[] = {{"1,397", C, "1397"},
               {"-1,397", C, "-1397"},
               {" 10,206", C, "10206"},
               {"1,234,567", C, "1234567"},
               {"1,234.5", C, "1234.5"},
               {"1,397 uJ", C, "1397 uJ"},
               {"1.234,5", P, "1234,5"},
               {"1 234.5", S, "1234.5"},
               {"12\xC2\xA0"
                "345",
                S, "12345"},
               {"12\xE2\x80\xAF"
                "345 uJ",
                S, "12345 uJ"},
               {"1'234", A, "1234"},
               {"1\xE2\x80\x99"
                "234",
                A, "1234"},
               {"12,34", C, NULL},
               {"1,3975", C, NULL},
               {"1234,567", C, NULL},
               {"1,234,56", C, NULL},
               {"0,397", C, NULL},
               {",397", C, NULL},
               {"1,", C, NULL},
               {"1397", C, NULL},
               {"", C, NULL},
               {"1,397", N, NULL},
               {"1,397", P, NULL},
               {"1,000,000,000,000,000,000,000,000,000,000,000,000,000", C, NULL}};
  for (size_t i = 0; i < sizeof table / sizeof *table; i++) {
    char joined[INTAKE_JOINED_BYTES];
    const char *whole = intake_join_thousands(table[i].text, (bt_thousands)table[i].mark, joined);
    cr_expect_eq(whole == NULL, table[i].joined == NULL, "%zu", i);
    if (whole != NULL && table[i].joined != NULL)
      cr_expect_str_eq(whole, table[i].joined, "%zu", i);
  }
}

#define LOG                                                                                        \
  "date\tunit\tenergy_mj\tpulses\thv_kv\n"                                                         \
  "2026-08-17\tA\t1.5\t10,206\t27.1\n2026-08-18\tA\t1.6\t781\t27.2\n"                              \
  "2026-08-19\tA\t12,34\t1,234,567\t27.2\n2026-08-20\tA\t1.6\t30,453\t27.2\n"

Test(intake_thousands, read_where_a_map_says_so) {
  bt_reading_choices choices = {.own = NULL};
  bt_error error = {0};
  kept k;
  cr_assert_eq(read_map("[format]\nthousands = comma\n", NULL, 0, &choices, &error), BT_OK, "%s",
               error.text);
  gather(file_of_text(LOG), &choices, &k);
  cr_assert_eq(k.checks_n, 3, "%s", k.error.text);
  cr_expect_eq(reading(&k, 0, BT_READING_PULSES), 10206.0);
  cr_expect_eq(reading(&k, 1, BT_READING_PULSES), 781.0);
  cr_expect_eq(reading(&k, 2, BT_READING_PULSES), 30453.0);
  cr_assert_eq(k.refusals_n, 1);
  cr_expect_str_eq(k.values[0], "12,34");
  cr_expect_eq(strncmp(k.reasons[0], "expected a number with a decimal point", 38), 0);
  cr_expect_not_null(strstr(k.survey->source.reading, "decimal point\n"));
  cr_expect_not_null(strstr(k.survey->source.reading, "\nthousands comma\n"));
  gather_free(&k);
  bt_reading_choices_free(&choices);
}

Test(intake_thousands, refused_without_and_asked_about) {
  bt_survey *preview = NULL;
  bt_error error = {0};
  kept k;
  gather(file_of_text(LOG), NULL, &k);
  cr_assert_eq(k.status, BT_INPUT, "12,34 is a decimal comma for certain: %s", k.error.text);
  gather_free(&k);

  static const bt_reading_choices point = {.decimal = BT_DECIMAL_POINT};
  gather(file_of_text(LOG), &point, &k);
  cr_assert_eq(k.checks_n, 1, "%s", k.error.text);
  cr_assert_eq(k.refusals_n, 3);
  cr_expect_str_eq(k.reasons[0],
                   "a number such as 1,234 can be 1234 with a mark of thousands, or a slip for "
                   "1.234: where it is thousands, say thousands = comma under [format] in a column "
                   "map, or else correct the cell");
  cr_expect_str_eq(k.reasons[2], k.reasons[0]);
  cr_expect_null(strstr(k.survey->source.reading, "thousands"));
  gather_free(&k);

  cr_assert_eq(bt_preview_file(file_of_text(LOG), &point, &preview, &error), BT_OK);
  cr_assert_eq(preview->questions_n, 1);
  cr_expect_str_eq(
      preview->questions[0],
      "\"10,206\" (line 2, and 2 more of such cells) can be 10206, with a mark of "
      "thousands, or a slip for 10.206, and nothing is guessed: such cells are refused "
      "until a column map says under [format]: thousands = comma. Say that if it is "
      "so, or correct the log");
  bt_survey_free(preview);

  char *map = starter_of(&point, LOG), *taken = offers_taken(map);
  cr_expect_not_null(strstr(map, "\n# thousands = comma\n"), "%s", map);
  bt_reading_choices choices = {.own = NULL};
  cr_assert_eq(read_map(taken, NULL, 0, &choices, &error), BT_OK, "%s", error.text);
  cr_expect_eq(choices.thousands, BT_THOUSANDS_COMMA);
  char *again = starter_of(&choices, LOG);
  cr_expect_not_null(strstr(again, "\nthousands = comma\n"), "%s", again);
  free(map);
  free(taken);
  free(again);
  bt_reading_choices_free(&choices);
}

/* A comma for decimals, points for thousands; and a column that nothing reads yet is a hint. */
Test(intake_thousands, other_marks_and_other_columns) {
  static const char log[] = "date;unit;energy_mj;pulses;shots\n2026-08-17;A;1,5;10.206;1.000\n";
  static const char other[] = "date;unit;energy_mj;counter\n2026-08-17;A;1,5;10'206\n";
  bt_reading_choices choices = {.thousands = BT_THOUSANDS_POINT};
  bt_survey *preview = NULL;
  bt_error error = {0};
  kept k;
  gather(file_of_text(log), &choices, &k);
  cr_assert_eq(k.checks_n, 1, "%s", k.error.text);
  cr_expect_eq(k.survey->decimal, BT_DECIMAL_COMMA);
  cr_expect_eq(reading(&k, 0, BT_READING_PULSES), 10206.0);
  gather_free(&k);
  choices.decimal = BT_DECIMAL_POINT;
  gather(file_of_text(log), &choices, &k);
  cr_expect_eq(k.status, BT_INPUT);
  cr_expect_not_null(strstr(k.error.text, "contradict each other"), "%s", k.error.text);
  gather_free(&k);
  cr_assert_eq(bt_preview_file(file_of_text(other), NULL, &preview, &error), BT_OK, "%s",
               error.text);
  cr_expect_eq(preview->questions_n, 0);
  cr_assert_geq(preview->hints_n, 1);
  cr_expect_not_null(strstr(preview->hints[0], "thousands = apostrophe"), "%s", preview->hints[0]);
  bt_survey_free(preview);
}

Test(intake_thousands, refused_maps) {
  map_must_be_refused("[format]\ndecimal = comma\nthousands = comma\n", NULL, 0, 3,
                      "thousands = comma and decimal = comma contradict each other");
  map_must_be_refused("[format]\nthousands = point\ndecimal = point\n", NULL, 0, 3,
                      "thousands = point and decimal = point contradict each other");
  map_must_be_refused("[format]\nthousands = dot\n", NULL, 0, 2,
                      "expected comma, point, space or apostrophe, found \"dot\"");
}
