/* Page 1 has one date of a change in its finding, and each other one once, by what it is. */
#include "made_drift.h"
#include "report_drift.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static bt_report_request request;

/* The texts of page 1, a line each. Owned. */
static char *page_1(const bt_unit_study *unit) {
  bt_document document;
  bt_error error;
  bt_text text = {0};
  cr_assert_eq(bt_report_month(unit, &request, &fixture_measure, &document, &error), BT_OK);
  for (size_t i = 0; i < document.pages[0].texts_n; i++)
    bt_text_format(&text, "%s\n", document.pages[0].texts[i].text);
  bt_document_free(&document);
  return bt_text_take(&text);
}

/* As fine as the band of its dates has it. */
Test(summary_dates, about_when) {
  static const struct {
    double from, day, to; /* after 27 May 2026 */
    const char *about;
  } cases[] = {{40, 40, 40.4, "6 Jul 2026"},          {38, 40, 45, "about 6 Jul 2026"},
               {38, 40, 46, "about early July 2026"}, {30, 45, 60, "about mid July 2026"},
               {30, 55, 60, "about late July 2026"},  {0, 5, 60, "about early June 2026"}};
  bt_unit_study *unit = made_drift(true, &request);
  bt_change *change = &unit->drift->drift->change;
  for (size_t k = 0; k < sizeof cases / sizeof *cases; k++) {
    char about[REPORT_DATE_TEXT];
    change->from = MADE_DRIFT_FROM + cases[k].from;
    change->day = MADE_DRIFT_FROM + cases[k].day;
    change->to = MADE_DRIFT_FROM + cases[k].to;
    cr_expect_str_eq(report_drift_about(change, about), cases[k].about, "%zu: %s", k, about);
  }
  bt_unit_study_free(unit);
}

Test(summary_dates, each_stands_once_on_page_1) {
  bt_unit_study *unit = made_drift(true, &request);
  bt_study *of = unit->studies[0];
  bt_drift *drift = unit->drift->drift;
  size_t last = of->points.n - 1;
  of->episodes_n = 1;
  of->episodes[0] = (bt_episode){.disposition = BT_NONE,
                                 .strength = BT_ALARM,
                                 .side = BT_LOW,
                                 .first = last - 2,
                                 .last = last,
                                 .signals = 3,
                                 .rules = BT_WE1 | BT_ALARM_LIMIT};
  for (size_t i = 0; i <= last; i++) {
    of->rules[BT_LOW][i] = i < last - 2 ? 0 : i == last ? BT_WE1 | BT_ALARM_LIMIT : BT_WE1;
    of->rules[BT_HIGH][i] = 0;
    of->strength[i] = i < last - 2 ? BT_QUIET : i == last ? BT_ALARM : BT_NOTICE;
  }
  of->verdict = unit->verdict = BT_VERDICT_ALARM;
  drift->has_notice = drift->has_alarm = true;
  drift->notice_at = of->points.at[last - 2];
  drift->alarm_at = of->points.at[last];
  char *page = page_1(unit), first[REPORT_DATE_TEXT], alarm[REPORT_DATE_TEXT], dates[500];
  (void)bt_time_short_day(drift->notice_at, first);
  (void)report_short_date(drift->alarm_at, alarm);
  must_say(page,
           "Pulse-energy ratio: falling since about early July 2026, by −1.0" REPORT_JOIN "%. ");
  (void)snprintf(dates, sizeof dates,
                 "\nDates\nPulse-energy ratio began 26 Jun – 16 Jul 2026 "
                 "(likeliest 6 Jul 2026), first signal %s, first alarm %s\n",
                 first, alarm);
  must_say(page, dates);
  must_say(page, "\n▼ 3 low signals\n");
  cr_expect_eq(count_of(page, "likeliest"), 1, "%s", page);
  cr_expect_eq(count_of(page, "first alarm"), 1, "%s", page);
  cr_expect_eq(count_of(page, "first signal"), 1, "%s", page);
  free(page);
  bt_text terse = {0};
  report_drift_dates(unit, true, &terse);
  (void)snprintf(dates, sizeof dates,
                 "Pulse-energy ratio began 26 Jun – 16 Jul 2026, signal %s, alarm %s", first,
                 alarm);
  cr_expect_str_eq(bt_text_get(&terse), dates);
  bt_text_free(&terse);
  drift->moved.changed = false; /* then nothing else tells them */
  page = page_1(unit);
  cr_expect_null(strstr(page, "\nDates\n"), "%s", page);
  must_say(page, "▼ 3 low signals, first ");
  free(page);
  bt_unit_study_free(unit);
}
