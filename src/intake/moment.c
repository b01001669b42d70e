/* Dates and clocks.
 *
 * M1  A date that begins with a year of four digits is year, month, day, whatever the order.
 * M2  The month may be an English name or its first three letters: "17 Aug 2026", "17-Aug-2026",
 *     "Aug 17, 2026". Else parts are joined by '-', '/' or '.', the same twice; or a date is eight
 *     digits, year first.
 * M3  Dots mean day, month, year, unless a person stated another order.
 * M4  A year of two digits needs a stated order; 69 to 99 are 19xx (POSIX, strptime %y).
 * M5  Clocks are H:MM or H:MM:SS (a fraction of a second is dropped) or 7h45, of 24 hours, or of 12
 *     with AM or PM; "Uhr", "h" and "hrs" behind them say nothing more. A time zone is refused:
 * times are the clinic's wall clock. M6  In a column of times and behind a date H.MM is a clock
 * too, and H.MM.SS, as Italian and Nordic logs write them; one digit behind the dot, or 60 and
 * more, is an hour in decimals and refused. */
#include "moment.h"

#include <string.h>
#include <strings.h>

typedef struct parts {
  int number[3];
  int digits[3];
  char joint;
  const char *rest; /* behind the date */
} parts;

static bool digit(char c) {
  return c >= '0' && c <= '9';
}

/* Up to `most` digits as a number; their count. */
static int take_digits(const char **at, int most, int *number) {
  int count = 0;
  *number = 0;
  for (; count < most && digit(**at); (*at)++, count++)
    *number = *number * 10 + (**at - '0');
  return count;
}

/* The month that the letters name, whole or by three of them; 0 for none. */
static int month_of(const char *letters, size_t length) {
  static const char *const names[] = {"january",   "february", "march",    "april",
                                      "may",       "june",     "july",     "august",
                                      "september", "october",  "november", "december"};
  char small[12] = "";
  for (size_t i = 0; i < length && length < sizeof small; i++)
    small[i] = (char)(letters[i] | 0x20);
  for (int m = 0; m < 12 && length >= 3; m++)
    if (strncmp(names[m], small, length) == 0 && (length == 3 || names[m][length] == '\0'))
      return m + 1;
  return length == 4 && strcmp(small, "sept") == 0 ? 9 : 0;
}

static size_t letters_at(const char *at) {
  size_t n = 0;
  while ((at[n] | 0x20) >= 'a' && (at[n] | 0x20) <= 'z')
    n++;
  return n;
}

/* M2: a date with the month's name, as year, month, day where the year has four digits, else as
 * day, month, year. */
static bool split_named(const char *text, parts *p) {
  const char *at = text;
  int day = 0, year = 0, digits = 0;
  bool day_first = digit(*at);
  if (day_first)
    digits = take_digits(&at, 4, &day);
  at += day_first ? strspn(at, " -./") : 0;
  size_t letters = letters_at(at);
  int month = month_of(at, letters);
  at += letters;
  if (month == 0 || digits > 2)
    return false;
  at += *at == '.';
  at += strspn(at, " -/,");
  if (!day_first) {
    digits = take_digits(&at, 2, &day);
    at += strspn(at, " -/,");
  }
  int year_digits = take_digits(&at, 4, &year);
  if (digits == 0 || (year_digits != 4 && (year_digits != 2 || !day_first)))
    return false;
  *p = year_digits == 4
           ? (parts){.number = {year, month, day}, .digits = {4, 2, 2}, .joint = '-', .rest = at}
           : (parts){.number = {day, month, year}, .digits = {2, 2, 2}, .joint = '-', .rest = at};
  return *at == '\0' || *at == ' ' || *at == 'T';
}

bool intake_is_serial(const char *text) {
  const char *at = text;
  int days = 0;
  if (take_digits(&at, 5, &days) != 5 || days < 20000 || days > 80000)
    return false;
  if (*at == '.' || *at == ',')
    for (at++; digit(*at);)
      at++;
  return *at == '\0';
}

static bool split_numbers(const char *text, parts *p) {
  const char *at = text;
  size_t run = strspn(text, "0123456789");
  if (run == 8) {
    p->joint = '-';
    p->digits[0] = take_digits(&at, 4, &p->number[0]);
    p->digits[1] = take_digits(&at, 2, &p->number[1]);
    p->digits[2] = take_digits(&at, 2, &p->number[2]);
  } else {
    for (int i = 0; i < 3; i++) {
      p->digits[i] = take_digits(&at, 4, &p->number[i]);
      if (p->digits[i] == 0 || p->digits[i] == 3)
        return false;
      if (i == 2)
        break;
      if (strchr("-/.", *at) == NULL || *at == '\0' || (i == 1 && *at != p->joint))
        return false;
      p->joint = *at++;
    }
  }
  p->rest = at;
  return *at == '\0' || *at == ' ' || *at == 'T';
}

static bool split(const char *text, parts *p) {
  return split_numbers(text, p) || split_named(text, p);
}

intake_date_says intake_date_of(const char *text) {
  parts p;
  if (!split(text, &p))
    return INTAKE_DATE_NOTHING;
  if (p.digits[0] == 4)
    return INTAKE_DATE_YMD;
  if (p.digits[2] != 4)
    return INTAKE_DATE_SHORT;
  if (p.joint == '.')
    return INTAKE_DATE_DMY;
  if (p.number[0] > 12)
    return p.number[1] > 12 ? INTAKE_DATE_NOTHING : INTAKE_DATE_DMY;
  if (p.number[1] > 12)
    return INTAKE_DATE_MDY;
  return p.number[0] == p.number[1] ? INTAKE_DATE_SAME : INTAKE_DATE_EITHER;
}

/* Puts the parts in their places; false when they don't fit the order. */
static bool place(const parts *p, bt_date_order order, bt_civil *civil) {
  static const int place_of[][3] = {[BT_DATES_AUTO] = {2, 1, 0},
                                    [BT_DATES_YMD] = {0, 1, 2},
                                    [BT_DATES_DMY] = {2, 1, 0},
                                    [BT_DATES_MDY] = {2, 0, 1}};
  const int *where = place_of[p->digits[0] == 4 ? BT_DATES_YMD : order];
  for (int i = 1; i < 3; i++)
    if (p->digits[where[i]] > 2)
      return false;
  if (p->digits[where[0]] == 1) /* a year has two digits or four */
    return false;
  civil->year = p->number[where[0]];
  civil->month = p->number[where[1]];
  civil->day = p->number[where[2]];
  if (p->digits[where[0]] < 4)
    civil->year += civil->year >= 69 ? 1900 : 2000;
  return true;
}

/* AM, a.m., PM, p.m.: -1 for none, 0 before noon, 1 after. */
static int half_of_day(const char **at) {
  const char *text = *at;
  while (*text == ' ')
    text++;
  char letter = (char)(*text | 0x20);
  if (letter != 'a' && letter != 'p')
    return -1;
  text++;
  if (*text == '.')
    text++;
  if ((*text | 0x20) != 'm')
    return -1;
  text++;
  if (*text == '.')
    text++;
  *at = text;
  return letter == 'p';
}

/* Past a word for hours that stands behind a clock. */
static const char *behind_word(const char *at) {
  static const char *const words[] = {"uhr", "hrs", "h"};
  while (*at == ' ')
    at++;
  for (size_t i = 0; i < sizeof words / sizeof *words; i++)
    if (strncasecmp(at, words[i], strlen(words[i])) == 0)
      return at + strlen(words[i]);
  return at;
}

/* M5; `sign` stands behind the hour, and before seconds. */
static bool read_clock(const char *text, char sign, bt_civil *civil, const char **reason) {
  const char *at = text;
  *reason = "expected a time of day such as 08:05, 08:05:30 or 8:05 AM; correct the cell";
  civil->second = 0;
  if (take_digits(&at, 2, &civil->hour) == 0)
    return false;
  char behind = *at == 'h' || *at == 'H' ? ':' : *at;
  if (behind != sign || *at++ == '\0' || take_digits(&at, 2, &civil->minute) != 2)
    return false;
  if (*at == sign) {
    at++;
    if (take_digits(&at, 2, &civil->second) != 2)
      return false;
    if (*at == '.' || *at == ',')
      for (at++; digit(*at);)
        at++;
  }
  int half = half_of_day(&at);
  if (half >= 0) {
    if (civil->hour < 1 || civil->hour > 12)
      return false;
    civil->hour = civil->hour % 12 + 12 * half;
  }
  if (*at == 'Z' || *at == '+' || *at == '-') {
    *reason = "the time has a time zone; Beamtally keeps the clinic's wall clock: export the log "
              "in local time";
    return false;
  }
  at = behind_word(at);
  while (*at == ' ')
    at++;
  return *at == '\0' && civil->hour <= 23 && civil->minute <= 59 && civil->second <= 59;
}

bool intake_is_dotted_clock(const char *text) {
  bt_civil civil = {0};
  const char *reason = NULL;
  return read_clock(text, '.', &civil, &reason);
}

/* "7.5": digits with one dot between them, and nothing else. */
static bool is_decimal_hour(const char *text) {
  size_t whole = strspn(text, "0123456789");
  const char *fraction = text + whole + 1;
  return whole > 0 && text[whole] == '.' && digit(*fraction) &&
         fraction[strspn(fraction, "0123456789")] == '\0';
}

/* A clock in a place that can hold nothing else: M5, M6. */
static bool read_any_clock(const char *text, bt_civil *civil, const char **reason) {
  bool dotted = text[strspn(text, "0123456789")] == '.';
  if (read_clock(text, dotted ? '.' : ':', civil, reason))
    return true;
  if (is_decimal_hour(text))
    *reason = INTAKE_DECIMAL_HOUR;
  return false;
}

bool intake_has_words_behind(const char *date) {
  parts p;
  bt_civil civil = {0};
  const char *reason = NULL;
  if (!split(date, &p) || p.rest[strspn(p.rest, " ")] == '\0')
    return false;
  p.rest += *p.rest == 'T';
  p.rest += strspn(p.rest, " ");
  return !read_any_clock(p.rest, &civil, &reason);
}

bool intake_names_month(const char *date) {
  parts p;
  return !split_numbers(date, &p) && split_named(date, &p);
}

bool intake_is_clock(const char *text) {
  bt_civil civil = {0};
  const char *reason = NULL;
  return read_clock(text, ':', &civil, &reason);
}

bool intake_has_clock_behind(const char *date) {
  parts p;
  bt_civil civil = {0};
  const char *reason = NULL;
  if (!split(date, &p) || *p.rest == '\0')
    return false;
  p.rest += *p.rest == 'T';
  p.rest += strspn(p.rest, " ");
  return read_any_clock(p.rest, &civil, &reason) &&
         (civil.hour != 0 || civil.minute != 0 || civil.second != 0);
}

/* The reason for a date that can't be read in its order, or that no calendar has. */
static const char *date_reason(bt_date_order order, bool no_such_day) {
  switch (order) {
  case BT_DATES_YMD:
    return no_such_day
               ? "read as year, month, day this is no day of the calendar; correct the cell, "
                 "or state the order with --dates"
               : "expected a date as year, month, day (2026-08-17); correct the cell, or "
                 "state the order with --dates";
  case BT_DATES_MDY:
    return no_such_day
               ? "read as month, day, year this is no day of the calendar; correct the cell, "
                 "or state the order with --dates"
               : "expected a date as month, day, year (08/17/2026); correct the cell, or "
                 "state the order with --dates";
  default:
    return no_such_day
               ? "read as day, month, year this is no day of the calendar; correct the cell, "
                 "or state the order with --dates"
               : "expected a date as day, month, year (17/08/2026); correct the cell, or "
                 "state the order with --dates";
  }
}

/* The day of the date; *rest is what stands behind it. */
static bool read_day(const char *date, bt_date_order order, bool stated, bt_civil *civil,
                     const char **rest, const char **reason) {
  parts p;
  *reason = date_reason(order, false);
  if (intake_is_serial(date))
    *reason = INTAKE_SERIAL;
  if (!split(date, &p))
    return false;
  *rest = p.rest;
  if (p.digits[0] != 4 && p.digits[2] != 4 && !stated) {
    *reason = "the year has two digits; state the order of the date with --dates dmy, mdy or ymd";
    return false;
  }
  if (p.joint == '.' && !stated)
    order = BT_DATES_DMY; /* M3 */
  if (p.digits[0] != 4 && p.digits[2] == 4 && order == BT_DATES_YMD)
    return false;
  if (!place(&p, order, civil))
    return false;
  *reason = date_reason(p.digits[0] == 4 ? BT_DATES_YMD : order, true);
  return bt_civil_valid(civil);
}

bool intake_moment_read(const char *date, const char *clock, bt_date_order order, bool stated,
                        intake_moment *moment) {
  bt_civil civil = {0};
  const char *rest = "";
  *moment = (intake_moment){0};
  if (!read_day(date, order, stated, &civil, &rest, &moment->reason))
    return false;

  bt_civil behind = civil, own = civil;
  bool joined = *rest == 'T';
  rest += joined;
  while (*rest == ' ')
    rest++;
  bool has_behind = *rest != '\0';
  if ((joined || has_behind) && !read_any_clock(rest, &behind, &moment->reason))
    return false;
  if (clock != NULL && !read_any_clock(clock, &own, &moment->reason)) {
    moment->clock_is_wrong = true;
    return false;
  }
  moment->time = bt_time_of(clock != NULL ? &own : &behind);
  moment->has_clock = has_behind || clock != NULL;
  /* A spreadsheet writes midnight behind a plain date. */
  bool midnight = behind.hour == 0 && behind.minute == 0 && behind.second == 0;
  if (has_behind && clock != NULL && !midnight && bt_time_of(&behind) != moment->time) {
    moment->reason = "the date and the time column hold two different times of day; correct one";
    return false;
  }
  return true;
}
