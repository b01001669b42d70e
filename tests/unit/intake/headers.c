/* Headers of several lines: one line everywhere but in the log. */
#include "gather.h"
#include "header.h"

#include <criterion/criterion.h>
#include <string.h>

Test(intake_headers, on_one_line) {
  static const struct {
    const char *written, *line;
  } table[] = {{"Energy\n(mJ)", "Energy (mJ)"},
               {"Energy \r\n  (mJ)", "Energy (mJ)"},
               {"E\n\nIst", "E Ist"},
               {"E  Ist", "E  Ist"},
               {"E\tIst", "E\tIst"},
               {"", ""}};
  for (size_t i = 0; i < sizeof table / sizeof *table; i++) {
    char line[INTAKE_HEADER_LINE_BYTES];
    cr_assert(intake_line_of(table[i].written, line));
    cr_expect_str_eq(line, table[i].line);
    cr_expect(intake_is_header(table[i].written, table[i].line));
    cr_expect_not(intake_is_header(table[i].written, "Ist"));
  }
  char longest[INTAKE_HEADER_LINE_BYTES + 1], line[INTAKE_HEADER_LINE_BYTES];
  memset(longest, 'a', sizeof longest);
  longest[1] = '\n';
  longest[sizeof longest - 1] = '\0';
  cr_expect_not(intake_line_of(longest, line));
  cr_expect_not(intake_is_header(longest, longest));
  longest[sizeof longest - 2] = '\0';
  cr_expect(intake_line_of(longest, line) && line[1] == ' ');
}

/* A map names such a header as it would be said; one that comes again, where logs were joined, is
 * told as such, and how the log was read is told a line each thing. */
Test(intake_headers, of_a_log) {
  static const char map[] =
      "[format]\nunit = A\n[columns]\ndate = Day of check\nenergy_mj = E Ist\n",
                    log[] = "title\n\"Day\nof check\",\"E\r\nIst\"\n2026-08-17,1.6\n"
                            "\"Day\nof check\",\"E\r\nIst\"\n2026-08-18,1.7\n";
  kept k;
  bt_reading_choices choices;
  gather_by_map(map, log, &k, &choices);
  cr_assert_eq(k.status, BT_OK, "%s", k.error.text);
  cr_assert_eq(k.checks_n, 2);
  cr_assert_eq(k.refusals_n, 1);
  cr_expect_not_null(strstr(k.reasons[0], "the header stands here once more"), "%s", k.reasons[0]);
  cr_expect_str_eq(k.survey->columns[1].header, "E Ist");
  cr_expect_not_null(strstr(k.survey->source.reading,
                            "\ncolumn 1 date \"Day of check\"\ncolumn 2 energy_mj \"E Ist\"\n"),
                     "%s", k.survey->source.reading);
  gather_free(&k);
  bt_reading_choices_free(&choices);
}
