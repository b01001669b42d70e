/* Times of day.
 *
 * M5  Clocks are H:MM or H:MM:SS (a fraction of a second is dropped) or 7h45, of 24 hours, or of 12
 *     with AM or PM; "Uhr", "h" and "hrs" behind them say nothing more. A time zone is refused:
 *     times are the clinic's wall clock.
 * M6  In a column of times and behind a date H.MM is a clock too, and H.MM.SS, as Italian and
 *     Nordic logs write them; one digit behind the dot, or 60 and more, is an hour in decimals and
 *     refused. */
#include "clock.h"
#include "digits.h"

#include <string.h>
#include <strings.h>

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
  if (intake_take_digits(&at, 2, &civil->hour) == 0)
    return false;
  char behind = *at == 'h' || *at == 'H' ? ':' : *at;
  if (behind != sign || *at++ == '\0' || intake_take_digits(&at, 2, &civil->minute) != 2)
    return false;
  if (*at == sign) {
    at++;
    if (intake_take_digits(&at, 2, &civil->second) != 2)
      return false;
    if (*at == '.' || *at == ',')
      for (at++; intake_is_digit(*at);)
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

bool intake_is_clock(const char *text) {
  bt_civil civil = {0};
  const char *reason = NULL;
  return read_clock(text, ':', &civil, &reason);
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
  return whole > 0 && text[whole] == '.' && intake_is_digit(*fraction) &&
         fraction[strspn(fraction, "0123456789")] == '\0';
}

bool intake_clock_read(const char *text, bt_civil *civil, const char **reason) {
  bool dotted = text[strspn(text, "0123456789")] == '.';
  if (read_clock(text, dotted ? '.' : ':', civil, reason))
    return true;
  if (is_decimal_hour(text))
    *reason = INTAKE_DECIMAL_HOUR;
  return false;
}
