/* Days of the Gregorian calendar, and the days on which the demo clinic is open. */
#include <stdlib.h>

#include "demo.h"

/* Days since 1970-01-01 of a day of the Gregorian calendar. */
static int64_t day_number(int64_t year, int64_t month, int64_t day) {
  int64_t shifted = month > 2 ? year : year - 1; /* a year that begins in March */
  int64_t century = shifted / 100;
  int64_t month_days = (153 * (month > 2 ? month - 3 : month + 9) + 2) / 5;
  return 365 * shifted + shifted / 4 - century + century / 4 + month_days + day - 719469;
}

int64_t day_of(const char *date) {
  int year = 0, month = 0, day = 0;
  if (sscanf(date, "%4d-%2d-%2d", &year, &month, &day) != 3) {
    fprintf(stderr, "make_demo_logs: \"%s\" in a table is no date\n", date);
    exit(EXIT_FAILURE);
  }
  return day_number(year, month, day);
}

calendar_day calendar_of(int64_t number) {
  int64_t year = 1970 + number / 366;
  while (day_number(year + 1, 1, 1) <= number)
    year++;
  int64_t month = 1;
  while (month < 12 && day_number(year, month + 1, 1) <= number)
    month++;
  return (calendar_day){(int)year, (int)month, (int)(number - day_number(year, month, 1)) + 1};
}

bool is_open(int64_t day) {
  if ((day + 3) % 7 > 4) /* a weekend: day 0 was a Thursday */
    return false;
  for (size_t i = 0; i < closed_n; i++)
    if (day >= day_of(closed[i].from) && day <= day_of(closed[i].to))
      return false;
  return true;
}
