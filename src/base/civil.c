/* Civil time: days of the proleptic Gregorian calendar counted from 1970-01-01.
 *
 * Formula: days from the era of 400 years (146,097 days), years counted from March so that the
 * leap day comes last. Source: the Gregorian rule itself (ISO 8601-1:2019, 4.2.1); checked over
 * every day of the years 1 to 9999 against a plain count (tests/unit/base). */
#include "beamtally/base.h"

#include <stdio.h>
#include <string.h>

static const char *const month_names[] = {"January",   "February", "March",    "April",
                                          "May",       "June",     "July",     "August",
                                          "September", "October",  "November", "December"};

enum { DAYS_PER_ERA = 146097, DAYS_TO_1970 = 719468 };

static int month_length(int year, int month) {
  static const int length[] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
  bool leap = (year % 4 == 0 && year % 100 != 0) || year % 400 == 0;
  return month == 2 && leap ? 29 : length[month - 1];
}

bool bt_civil_valid(const bt_civil *c) {
  return c->year >= 1 && c->year <= 9999 && c->month >= 1 && c->month <= 12 && c->day >= 1 &&
         c->day <= month_length(c->year, c->month) && c->hour >= 0 && c->hour <= 23 &&
         c->minute >= 0 && c->minute <= 59 && c->second >= 0 && c->second <= 59;
}

static int64_t floor_divide(int64_t a, int64_t b) {
  int64_t quotient = a / b;
  return quotient - (a % b < 0);
}

static int64_t days_of(int year, int month, int day) {
  int64_t y = month <= 2 ? (int64_t)year - 1 : year;
  int64_t era = floor_divide(y, 400);
  int64_t year_of_era = y - era * 400;
  int64_t from_march = month > 2 ? month - 3 : month + 9;
  int64_t day_of_year = (153 * from_march + 2) / 5 + day - 1;
  int64_t day_of_era = year_of_era * 365 + year_of_era / 4 - year_of_era / 100 + day_of_year;
  return era * DAYS_PER_ERA + day_of_era - DAYS_TO_1970;
}

bt_time bt_time_of(const bt_civil *c) {
  return days_of(c->year, c->month, c->day) * BT_DAY + c->hour * BT_HOUR + c->minute * BT_MINUTE +
         c->second;
}

bt_civil bt_civil_of(bt_time time) {
  int64_t days = bt_day_of(time);
  int64_t in_day = time - days * BT_DAY;
  int64_t shifted = days + DAYS_TO_1970;
  int64_t era = floor_divide(shifted, DAYS_PER_ERA);
  int64_t day_of_era = shifted - era * DAYS_PER_ERA;
  int64_t year_of_era =
      (day_of_era - day_of_era / 1460 + day_of_era / 36524 - day_of_era / 146096) / 365;
  int64_t day_of_year = day_of_era - (365 * year_of_era + year_of_era / 4 - year_of_era / 100);
  int64_t from_march = (5 * day_of_year + 2) / 153;
  int64_t month = from_march < 10 ? from_march + 3 : from_march - 9;
  bt_civil civil = {.year = (int)(year_of_era + era * 400 + (month <= 2)),
                    .month = (int)month,
                    .day = (int)(day_of_year - (153 * from_march + 2) / 5 + 1),
                    .hour = (int)(in_day / BT_HOUR),
                    .minute = (int)(in_day % BT_HOUR / BT_MINUTE),
                    .second = (int)(in_day % BT_MINUTE)};
  return civil;
}

int64_t bt_day_of(bt_time time) {
  return floor_divide(time, BT_DAY);
}

int bt_weekday_of(bt_time time) {
  int64_t days = bt_day_of(time) + 3; /* 1970-01-01 was a Thursday */
  return (int)(days - floor_divide(days, 7) * 7) + 1;
}

bt_time bt_month_start(bt_time time, int months) {
  bt_civil civil = bt_civil_of(time);
  int64_t index = (int64_t)civil.year * 12 + civil.month - 1 + months;
  int64_t year = floor_divide(index, 12);
  return days_of((int)year, (int)(index - year * 12) + 1, 1) * BT_DAY;
}

/* Exactly `count` digits, as a number. */
static bool digits(const char **at, int count, int *value) {
  *value = 0;
  for (int i = 0; i < count; i++, (*at)++) {
    if (**at < '0' || **at > '9')
      return false;
    *value = *value * 10 + (**at - '0');
  }
  return true;
}

static bool sign(const char **at, char wanted) {
  if (**at != wanted)
    return false;
  (*at)++;
  return true;
}

bool bt_time_parse(const char *text, bt_time *time, bool *has_clock) {
  bt_civil c = {0};
  const char *at = text;
  if (!digits(&at, 4, &c.year) || !sign(&at, '-') || !digits(&at, 2, &c.month) || !sign(&at, '-') ||
      !digits(&at, 2, &c.day))
    return false;
  bool clock = *at == 'T' || *at == ' ';
  if (clock) {
    at++;
    if (!digits(&at, 2, &c.hour) || !sign(&at, ':') || !digits(&at, 2, &c.minute))
      return false;
    if (*at == ':') {
      at++;
      if (!digits(&at, 2, &c.second))
        return false;
    }
  }
  if (*at != '\0' || !bt_civil_valid(&c))
    return false;
  *time = bt_time_of(&c);
  if (has_clock != NULL)
    *has_clock = clock;
  return true;
}

const char *bt_time_day_iso(bt_time time, char *buffer) {
  bt_civil c = bt_civil_of(time);
  (void)snprintf(buffer, BT_TIME_TEXT, "%04d-%02d-%02d", c.year, c.month, c.day);
  return buffer;
}

const char *bt_time_iso(bt_time time, bool has_clock, char *buffer) {
  bt_civil c = bt_civil_of(time);
  (void)bt_time_day_iso(time, buffer);
  size_t used = strlen(buffer);
  if (has_clock && c.second != 0)
    (void)snprintf(buffer + used, BT_TIME_TEXT - used, "T%02d:%02d:%02d", c.hour, c.minute,
                   c.second);
  else if (has_clock)
    (void)snprintf(buffer + used, BT_TIME_TEXT - used, "T%02d:%02d", c.hour, c.minute);
  return buffer;
}

const char *bt_time_day(bt_time time, char *buffer) {
  bt_civil c = bt_civil_of(time);
  (void)snprintf(buffer, BT_TIME_TEXT, "%d %s %d", c.day, month_names[c.month - 1], c.year);
  return buffer;
}

const char *bt_time_short_day(bt_time time, char *buffer) {
  bt_civil c = bt_civil_of(time);
  (void)snprintf(buffer, BT_TIME_TEXT, "%d %.3s", c.day, month_names[c.month - 1]);
  return buffer;
}

const char *bt_time_month(bt_time time, char *buffer) {
  bt_civil c = bt_civil_of(time);
  (void)snprintf(buffer, BT_TIME_TEXT, "%s %d", month_names[c.month - 1], c.year);
  return buffer;
}
