/* Dates.
 *
 * M1  A date that begins with a year of four digits is year, month, day, whatever the order.
 * M2  The month may be an English name or its first three letters: "17 Aug 2026", "17-Aug-2026",
 *     "Aug 17, 2026". Else parts are joined by '-', '/' or '.', the same twice; or a date is eight
 *     digits, year first.
 * M3  Dots mean day, month, year, unless a person stated another order.
 * M4  A year of two digits needs a stated order; 69 to 99 are 19xx (POSIX, strptime %y). */
#include "date.h"
#include "digits.h"

#include <string.h>

typedef struct parts {
  int number[3];
  int digits[3];
  char joint;
  const char *rest; /* behind the date */
} parts;

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
  bool day_first = intake_is_digit(*at);
  if (day_first)
    digits = intake_take_digits(&at, 4, &day);
  at += day_first ? strspn(at, " -./") : 0;
  size_t letters = letters_at(at);
  int month = month_of(at, letters);
  at += letters;
  if (month == 0 || digits > 2)
    return false;
  at += *at == '.';
  at += strspn(at, " -/,");
  if (!day_first) {
    digits = intake_take_digits(&at, 2, &day);
    at += strspn(at, " -/,");
  }
  int year_digits = intake_take_digits(&at, 4, &year);
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
  if (intake_take_digits(&at, 5, &days) != 5 || days < 20000 || days > 80000)
    return false;
  if (*at == '.' || *at == ',')
    for (at++; intake_is_digit(*at);)
      at++;
  return *at == '\0';
}

static bool split_numbers(const char *text, parts *p) {
  const char *at = text;
  size_t run = strspn(text, "0123456789");
  if (run == 8) {
    p->joint = '-';
    p->digits[0] = intake_take_digits(&at, 4, &p->number[0]);
    p->digits[1] = intake_take_digits(&at, 2, &p->number[1]);
    p->digits[2] = intake_take_digits(&at, 2, &p->number[2]);
  } else {
    for (int i = 0; i < 3; i++) {
      p->digits[i] = intake_take_digits(&at, 4, &p->number[i]);
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

bool intake_is_date(const char *text, const char **behind) {
  parts p;
  if (!split(text, &p))
    return false;
  *behind = p.rest;
  return true;
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

bool intake_names_month(const char *date) {
  parts p;
  return !split_numbers(date, &p) && split_named(date, &p);
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

bool intake_day_read(const char *date, bt_date_order order, bool stated, bt_civil *civil,
                     const char **behind, const char **reason) {
  parts p;
  *reason = date_reason(order, false);
  if (intake_is_serial(date))
    *reason = INTAKE_SERIAL;
  if (!split(date, &p))
    return false;
  *behind = p.rest;
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
