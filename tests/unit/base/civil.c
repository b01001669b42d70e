/* Civil time against a plain count of days, known weekdays, and tables of texts. */
#include "beamtally/base.h"

#include <criterion/criterion.h>
#include <string.h>

static int plain_month_length(int year, int month) {
  if (month == 2)
    return year % 4 == 0 && (year % 100 != 0 || year % 400 == 0) ? 29 : 28;
  return month == 4 || month == 6 || month == 9 || month == 11 ? 30 : 31;
}

/* Every day of the years 1 to 9999, counted one by one. 0001-01-01 is 719,162 days before
 * 1970-01-01 and a Monday: the Gregorian calendar repeats after 146,097 days, which are 20,871
 * whole weeks, and 2001-01-01, five such spans later, was a Monday. */
Test(civil, every_day) {
  int64_t day = -719162;
  int weekday = 1;
  for (int year = 1; year <= 9999; year++)
    for (int month = 1; month <= 12; month++)
      for (int in_month = 1; in_month <= plain_month_length(year, month); in_month++) {
        bt_civil civil = {.year = year, .month = month, .day = in_month};
        bt_time time = bt_time_of(&civil);
        bool right = bt_civil_valid(&civil) && time == day * BT_DAY && bt_day_of(time) == day &&
                     bt_day_of(time + BT_DAY - 1) == day && bt_weekday_of(time) == weekday &&
                     bt_weekday_of(time + BT_DAY - 1) == weekday;
        bt_civil back = bt_civil_of(time + BT_DAY - 1);
        right = right && back.year == year && back.month == month && back.day == in_month &&
                back.hour == 23 && back.minute == 59 && back.second == 59;
        cr_assert(right, "%04d-%02d-%02d", year, month, in_month);
        day++;
        weekday = weekday % 7 + 1;
      }
  cr_assert_eq(day, 2932897); /* 10000-01-01 */
}

Test(civil, every_second_of_a_day) {
  static const int years[] = {1, 1969, 1970, 2026, 9999};
  for (size_t y = 0; y < 5; y++) {
    bt_civil start = {.year = years[y], .month = 12, .day = 31};
    bt_time first = bt_time_of(&start);
    for (int second = 0; second < 86400; second++) {
      bt_civil c = bt_civil_of(first + second);
      cr_assert(c.year == years[y] && c.month == 12 && c.day == 31 && c.hour == second / 3600 &&
                c.minute == second / 60 % 60 && c.second == second % 60);
      cr_assert_eq(bt_time_of(&c), first + second);
    }
  }
}

static bt_time at(const char *text) {
  bt_time time = 0;
  cr_assert(bt_time_parse(text, &time, NULL), "%s", text);
  return time;
}

/* Weekdays from history books. */
Test(civil, weekdays) {
  cr_assert_eq(bt_weekday_of(at("1582-10-15")), 5); /* first day of the Gregorian calendar */
  cr_assert_eq(bt_weekday_of(at("1969-07-20")), 7); /* first landing on the Moon, a Sunday */
  cr_assert_eq(bt_weekday_of(at("1970-01-01")), 4);
  cr_assert_eq(bt_weekday_of(at("1989-11-09")), 4); /* fall of the Berlin Wall, a Thursday */
  cr_assert_eq(bt_weekday_of(at("2000-01-01")), 6);
  cr_assert_eq(bt_weekday_of(at("2000-02-29")), 2);
}

Test(civil, valid) {
  static const struct {
    bt_civil civil;
    bool valid;
  } table[] = {
      {{2024, 2, 29, 0, 0, 0}, true},     {{2023, 2, 29, 0, 0, 0}, false},
      {{1900, 2, 29, 0, 0, 0}, false},    {{2000, 2, 29, 0, 0, 0}, true},
      {{2026, 4, 30, 0, 0, 0}, true},     {{2026, 4, 31, 0, 0, 0}, false},
      {{2026, 1, 0, 0, 0, 0}, false},     {{2026, 0, 1, 0, 0, 0}, false},
      {{2026, 13, 1, 0, 0, 0}, false},    {{2026, -1, 1, 0, 0, 0}, false},
      {{0, 12, 31, 0, 0, 0}, false},      {{1, 1, 1, 0, 0, 0}, true},
      {{9999, 12, 31, 23, 59, 59}, true}, {{10000, 1, 1, 0, 0, 0}, false},
      {{2026, 1, 1, 24, 0, 0}, false},    {{2026, 1, 1, -1, 0, 0}, false},
      {{2026, 1, 1, 0, 60, 0}, false},    {{2026, 1, 1, 0, -1, 0}, false},
      {{2026, 1, 1, 23, 59, 60}, false},  {{2026, 1, 1, 0, 0, -1}, false},
      {{2026, 1, 32, 0, 0, 0}, false},    {{2026, 1, 1, 23, 59, 59}, true},
  };
  for (size_t i = 0; i < sizeof table / sizeof table[0]; i++)
    cr_assert_eq(bt_civil_valid(&table[i].civil), table[i].valid, "case %zu", i);
}

/* Of a common and a leap year, each month's last day and the one after it. */
Test(civil, lengths_of_the_months) {
  static const int last[][12] = {{31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31},
                                 {31, 29, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31}};
  for (int leap = 0; leap < 2; leap++)
    for (int month = 1; month <= 12; month++) {
      bt_civil civil = {.year = 2023 + leap, .month = month, .day = last[leap][month - 1]};
      cr_expect(bt_civil_valid(&civil), "%d-%d-%d", civil.year, civil.month, civil.day);
      civil.day++;
      cr_expect_not(bt_civil_valid(&civil), "%d-%d-%d", civil.year, civil.month, civil.day);
    }
}

Test(civil, parse) {
  static const struct {
    const char *text;
    bool read, has_clock;
    int64_t time;
  } table[] = {
      {"1970-01-01", true, false, 0},
      {"1970-01-02T00:00", true, true, 86400},
      {"1970-01-01 00:01", true, true, 60},
      {"1970-01-01T23:59:59", true, true, 86399},
      {"1969-12-31T23:59:59", true, true, -1},
      {"2000-03-01", true, false, 951868800}, /* 11,017 days */
      {"2026-02-29", false, false, 0},
      {"2024-02-29", true, false, 1709164800},
      {"0001-01-01", true, false, -62135596800},
      {"9999-12-31", true, false, 253402214400},
      {"0000-01-01", false, false, 0},
      {"", false, false, 0},
      {"2026", false, false, 0},
      {"2026-1-01", false, false, 0},
      {"2026-01-1", false, false, 0},
      {"2026-01-01 ", false, false, 0},
      {" 2026-01-01", false, false, 0},
      {"2026-01-01T", false, false, 0},
      {"2026-01-01T08", false, false, 0},
      {"2026-01-01T8:00", false, false, 0},
      {"2026-01-01T08:00:", false, false, 0},
      {"2026-01-01T08:00:0", false, false, 0},
      {"2026-01-01T08:00Z", false, false, 0},
      {"2026-01-01T08:00+01:00", false, false, 0},
      {"2026-01-01T24:00", false, false, 0},
      {"2026-01-01T23:59:60", false, false, 0},
      {"2026-01-01t08:00", false, false, 0},
      {"2026-01-01  08:00", false, false, 0},
      {"2026/01/01", false, false, 0},
      {"2026-0:-01", false, false, 0}, /* what follows 9 in ASCII is no ten */
      {"2026-1/-01", false, false, 0}, /* nor is what stands before 0 one less */
      {"-2026-01-01", false, false, 0},
      {"12026-01-01", false, false, 0},
      {"2026-01-011", false, false, 0},
      {"２０２６-01-01", false, false, 0}, /* full-width digits */
  };
  for (size_t i = 0; i < sizeof table / sizeof table[0]; i++) {
    bt_time time = 42;
    bool has_clock = !table[i].has_clock;
    bool read = bt_time_parse(table[i].text, &time, &has_clock);
    cr_assert_eq(read, table[i].read, "\"%s\"", table[i].text);
    if (read) {
      cr_assert_eq(time, table[i].time, "\"%s\"", table[i].text);
      cr_assert_eq(has_clock, table[i].has_clock, "\"%s\"", table[i].text);
    } else {
      cr_assert_eq(time, 42, "\"%s\" was refused, yet set the time", table[i].text);
    }
  }
}

Test(civil, texts) {
  char buffer[BT_TIME_TEXT];
  bt_time time = at("2026-08-17T08:05");
  cr_assert_str_eq(bt_time_iso(time, true, buffer), "2026-08-17T08:05");
  cr_assert_str_eq(bt_time_iso(time + 9, true, buffer), "2026-08-17T08:05:09");
  cr_assert_str_eq(bt_time_iso(time + 9, false, buffer), "2026-08-17");
  cr_assert_str_eq(bt_time_day_iso(time, buffer), "2026-08-17");
  cr_assert_str_eq(bt_time_day(time, buffer), "17 August 2026");
  cr_assert_str_eq(bt_time_short_day(time, buffer), "17 Aug");
  cr_assert_str_eq(bt_time_month(time, buffer), "August 2026");
  cr_assert_str_eq(bt_time_day(at("2026-09-01"), buffer), "1 September 2026");
  cr_assert_str_eq(bt_time_iso(at("0001-01-01"), true, buffer), "0001-01-01T00:00");
}

/* The longest text there can be ends inside its buffer. */
Test(civil, texts_keep_their_bound) {
  char buffer[BT_TIME_TEXT + 1];
  static const bt_time far[] = {INT64_C(-67767976233532800), INT64_C(67768036191676799)};
  for (size_t i = 0; i < 2; i++) { /* years of ten digits */
    buffer[BT_TIME_TEXT] = '#';
    cr_assert(strlen(bt_time_iso(far[i], true, buffer)) < BT_TIME_TEXT);
    cr_assert(strlen(bt_time_day(far[i], buffer)) < BT_TIME_TEXT);
    cr_assert_eq(buffer[BT_TIME_TEXT], '#');
  }
}

/* What is written is read back as it was, over times that are far apart and odd. */
Test(civil, texts_are_read_back) {
  for (bt_time time = at("0001-01-01"); time < at("9999-12-31"); time += 7654321) {
    char buffer[BT_TIME_TEXT];
    bt_time back;
    bool has_clock;
    cr_assert(bt_time_parse(bt_time_iso(time, true, buffer), &back, &has_clock));
    cr_assert(back == time && has_clock);
    cr_assert(bt_time_parse(bt_time_iso(time, false, buffer), &back, &has_clock));
    cr_assert(back == bt_day_of(time) * BT_DAY && !has_clock);
  }
}

Test(civil, month_start) {
  static const struct {
    const char *time;
    int months;
    const char *start;
  } table[] = {
      {"2026-08-17T08:05", 0, "2026-08-01"},    {"2026-08-01", 0, "2026-08-01"},
      {"2026-08-31T23:59:59", 1, "2026-09-01"}, {"2026-12-31", 1, "2027-01-01"},
      {"2026-01-15", -1, "2025-12-01"},         {"2026-01-31", 1, "2026-02-01"},
      {"2026-03-31", -1, "2026-02-01"},         {"2026-06-15", -12, "2025-06-01"},
      {"2026-06-15", -6, "2025-12-01"},         {"2026-06-15", -5, "2026-01-01"},
      {"2026-06-15", 30, "2028-12-01"},         {"2026-06-15", -120, "2016-06-01"},
      {"1969-12-31T23:59:59", 0, "1969-12-01"}, {"0001-02-03", -1, "0001-01-01"},
  };
  for (size_t i = 0; i < sizeof table / sizeof table[0]; i++) {
    char buffer[BT_TIME_TEXT];
    bt_time start = bt_month_start(at(table[i].time), table[i].months);
    cr_assert_eq(start, at(table[i].start), "%s moved by %d: %s", table[i].time, table[i].months,
                 bt_time_iso(start, true, buffer));
  }
}
