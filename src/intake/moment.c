/* Moments: a date, and a clock that stands behind it or in a column of its own. */
#include "moment.h"
#include "clock.h"
#include "date.h"

#include <string.h>

bool intake_has_words_behind(const char *date) {
  bt_civil civil = {0};
  const char *rest = NULL, *reason = NULL;
  if (!intake_is_date(date, &rest) || rest[strspn(rest, " ")] == '\0')
    return false;
  rest += *rest == 'T';
  rest += strspn(rest, " ");
  return !intake_clock_read(rest, &civil, &reason);
}

bool intake_has_clock_behind(const char *date) {
  bt_civil civil = {0};
  const char *rest = NULL, *reason = NULL;
  if (!intake_is_date(date, &rest) || *rest == '\0')
    return false;
  rest += *rest == 'T';
  rest += strspn(rest, " ");
  return intake_clock_read(rest, &civil, &reason) &&
         (civil.hour != 0 || civil.minute != 0 || civil.second != 0);
}

bool intake_moment_read(const char *date, const char *clock, bt_date_order order, bool stated,
                        intake_moment *moment) {
  bt_civil civil = {0};
  const char *rest = "";
  *moment = (intake_moment){0};
  if (!intake_day_read(date, order, stated, &civil, &rest, &moment->reason))
    return false;

  bt_civil behind = civil, own = civil;
  bool joined = *rest == 'T';
  rest += joined;
  while (*rest == ' ')
    rest++;
  bool has_behind = *rest != '\0';
  if ((joined || has_behind) && !intake_clock_read(rest, &behind, &moment->reason))
    return false;
  if (clock != NULL && !intake_clock_read(clock, &own, &moment->reason)) {
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
