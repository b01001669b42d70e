/* Numbers, dates and counts as words. */
#include "report_words.h"

#include <criterion/criterion.h>
#include <string.h>

static bt_time day(const char *text) {
  bt_time time = 0;
  cr_assert(bt_time_parse(text, &time, NULL));
  return time;
}

Test(words, numbers) {
  char number[REPORT_NUMBER_TEXT];
  cr_expect_str_eq(report_number(0.98736, 4, number), "0.9874");
  cr_expect_str_eq(report_number(-0.0051, 4, number), "\xE2\x88\x92"
                                                      "0.0051");
  cr_expect_str_eq(report_number(-0.00001, 4, number), "0.0000", "no sign before a zero");
  cr_expect_str_eq(report_number(-12, 0, number), "\xE2\x88\x92"
                                                  "12");
  cr_expect_str_eq(report_number(1e300, 4, number), "1e+300");
  cr_expect_str_eq(report_signed(0.48, 1, number), "+0.5");
  cr_expect_str_eq(report_signed(0.0, 1, number), "0.0");
  cr_expect_str_eq(report_plain(0.97, number), "0.97");
  cr_expect_str_eq(report_plain(-5, number), "\xE2\x88\x92"
                                             "5");
}

Test(words, dates) {
  char text[REPORT_DATE_TEXT];
  bt_time first = day("2026-05-01"), last = day("2026-09-27"), before = day("2025-12-31");
  cr_expect_str_eq(report_short_date(day("2026-07-24"), text), "24 Jul 2026");
  cr_expect_str_eq(report_short_period(last, last + 60, text), "27 Sep 2026");
  cr_expect_str_eq(report_short_period(first, last, text), "1 May \xE2\x80\x93 27 Sep 2026");
  cr_expect_str_eq(report_short_period(before, last, text), "31 Dec 2025 \xE2\x80\x93 27 Sep 2026");
  cr_expect_str_eq(report_from_to(first, last, text), "from 1 May to 27 Sep 2026");
  cr_expect_str_eq(report_from_to(before, last, text), "from 31 Dec 2025 to 27 Sep 2026");
  cr_expect_str_eq(report_from_to(last, last, text), "on 27 Sep 2026");
}

Test(words, counts) {
  bt_text text = {0};
  report_count(&text, 0, "check", "checks");
  bt_text_add(&text, ", ");
  report_count(&text, 1, "check", "checks");
  bt_text_add(&text, ", ");
  report_count(&text, 2, "check", "checks");
  cr_expect_str_eq(bt_text_get(&text), "0 checks, 1 check, 2 checks");
  bt_text_free(&text);
}

Test(words, plain_text_wraps_whole_words) {
  bt_text text = {0};
  report_wrap_plain(&text, "  - ",
                    "one two three four five six seven eight nine ten eleven twelve thirteen "
                    "fourteen fifteen");
  cr_expect_str_eq(bt_text_get(&text),
                   "  - one two three four five six seven eight nine ten eleven twelve thirteen\n"
                   "    fourteen fifteen\n");
  bt_text_clear(&text);
  char word[201];
  memset(word, 'x', 200);
  word[200] = '\0';
  report_wrap_plain(&text, "", word);
  cr_expect_eq(strcspn(bt_text_get(&text), "\n"), 80, "a word longer than a line is broken");
  cr_expect_eq(text.length, 203);
  bt_text_free(&text);
}

/* What is printed to be typed can be copied: no line break inside it but one that a shell reads
 * on over. */
Test(words, commands_are_not_broken) {
  static const struct {
    const char *head, *text, *set;
  } cases[] = {
      {"  - ", "Ask for it, now or as soon as it can be done: “beamtally signals --open”.",
       "  - Ask for it, now or as soon as it can be done: “beamtally signals --open”.\n"},
      {"  - ",
       "Ask for it, now or as soon as it can be done at all: “beamtally signals --open”, please.",
       "  - Ask for it, now or as soon as it can be done at all:\n"
       "    “beamtally signals --open”, please.\n"},
      {"             ",
       "falling: “beamtally drift --unit 'Suite North' --characteristic energy_ratio”",
       "             falling:\n"
       "            “beamtally drift --unit 'Suite North' --characteristic energy_ratio”\n"},
      {"",
       "What was named: “beamtally drift --unit 'Suite -- North' --characteristic energy_ratio --until 2026-08-23”. More.",
       "What was named:\n"
       "“beamtally drift --unit 'Suite -- North' --characteristic energy_ratio \\\n"
       "  --until 2026-08-23”. More.\n"},
      {"",
       "That is all that there is to be said of it today; as for each day (“--format json”) too",
       "That is all that there is to be said of it today; as for each day\n"
       "(“--format json”) too\n"},
      {"",
       "A name: “beamtally drift --unit 'A room of a name that goes on until it is longer than "
       "eighty columns wide' --until 2026-08-23”",
       "A name: “beamtally drift --unit 'A room of a name that goes on until it is\n"
       "longer than eighty columns wide' --until 2026-08-23”\n"},
      {"", "a “ and “--x without an end", "a “ and “--x without an end\n"},
  };
  for (size_t k = 0; k < sizeof cases / sizeof *cases; k++) {
    bt_text text = {0};
    report_wrap_plain(&text, cases[k].head, cases[k].text);
    cr_expect_str_eq(bt_text_get(&text), cases[k].set, "%zu:\n%s", k, bt_text_get(&text));
    bt_text_free(&text);
  }
}
