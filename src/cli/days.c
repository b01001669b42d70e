/* Days, times and months that a person writes; of one in another form, what is wrong with it, or
 * what was meant where that is certain. */
#include "cli.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

enum { MOST_PARTS = 4, YEAR_DIGITS = 4 };

/* A number, or the name of a month. */
typedef struct part {
  int number; /* of a name the month's */
  size_t digits;
} part;

typedef struct parts {
  size_t n; /* MOST_PARTS: too many, or one that is neither */
  part all[MOST_PARTS];
  char sign; /* between the first two */
} parts;

/* "June": the name of month 1 to 12, in the words of reports. */
static void month_name(int month, char *name) {
  bt_civil civil = {.year = 2026, .month = month, .day = 1};
  *strchr(bt_time_month(bt_time_of(&civil), name), ' ') = '\0';
}

/* 1 to 12 for "June", "june" or "Jun"; else 0. */
static int named_month(const char *word, size_t length) {
  char name[BT_TIME_TEXT];
  for (int month = 1; month <= 12 && length >= 3; month++) {
    month_name(month, name);
    if (strncasecmp(word, name, length) == 0)
      return month;
  }
  return 0;
}

static parts split(const char *text) {
  parts found = {0};
  const char *at = text + strspn(text, " ");
  while (*at != '\0' && found.n < MOST_PARTS) {
    size_t digits = strspn(at, "0123456789");
    size_t length = digits > 0 ? digits : strcspn(at, " -/.,0123456789");
    int number = digits > YEAR_DIGITS ? 0
                 : digits > 0         ? (int)strtol(at, NULL, 10)
                                      : named_month(at, length);
    if (length == 0 || digits > YEAR_DIGITS || (digits == 0 && number == 0))
      return (parts){.n = MOST_PARTS};
    found.all[found.n++] = (part){.number = number, .digits = digits};
    at += length;
    if (found.n == 1)
      found.sign = *at;
    at += strspn(at, " -/.,");
  }
  return found;
}

static bool is_year(const part *one) {
  return one->digits == YEAR_DIGITS && one->number > 0;
}

static bool is_name(const part *one) {
  return one->digits == 0;
}

/* Which of two numbers before a year is the day? With points it stands first (common practice, no
 * source); with other signs both orders are in use. */
static bool day_and_month(const parts *of, int *day, int *month) {
  const part *a = &of->all[0], *b = &of->all[1];
  bool second = is_name(a) || (!is_name(b) && of->sign != '.' && b->number > 12);
  bool first = is_name(b) || of->sign == '.' || a->number > 12 || a->number == b->number;
  *day = second ? b->number : a->number;
  *month = second ? a->number : b->number;
  return (first || second) && !(is_name(a) && is_name(b));
}

/* "; there is no month 13": true where something was said. */
static bool add_no_month(bt_text *out, int month) {
  if (month >= 1 && month <= 12)
    return false;
  bt_text_format(out, "; there is no month %d", month);
  return true;
}

static bool add_no_day(bt_text *out, const bt_civil *civil) {
  char name[BT_TIME_TEXT];
  bt_civil first = {.year = civil->year, .month = civil->month, .day = 1};
  bt_time month = bt_time_of(&first);
  int days = (int)((bt_month_start(month, 1) - month) / BT_DAY);
  if (civil->day >= 1 && civil->day <= days)
    return false;
  month_name(civil->month, name);
  if (civil->month == 2)
    bt_text_format(out, "; February %d has %d days", civil->year, days);
  else
    bt_text_format(out, "; %s has %d days", name, days);
  return true;
}

/* 7:45, 07:45:30 or, as some write it, 7.45; false where the text is none of these. */
static bool split_clock(const char *text, int *hour, int *minute, int *second) {
  size_t first = strspn(text, "0123456789");
  char sign = text[first];
  *second = 0;
  if (first < 1 || first > 2 || (sign != ':' && sign != '.') ||
      strspn(text + first + 1, "0123456789") != 2)
    return false;
  const char *rest = text + first + 3;
  *hour = (int)strtol(text, NULL, 10);
  *minute = (int)strtol(text + first + 1, NULL, 10);
  if (*rest == '\0')
    return true;
  *second = (int)strtol(rest + 1, NULL, 10);
  return *rest == sign && strspn(rest + 1, "0123456789") == 2 && rest[3] == '\0';
}

/* Says what day was meant, with `clock` behind it, or why it is none. */
static void add_meant(bt_text *out, const char *text, const char *clock) {
  parts found = split(text);
  bt_civil day = {0};
  if (found.n != 3)
    return;
  if (is_year(&found.all[0]) && !is_name(&found.all[2]))
    day = (bt_civil){
        .year = found.all[0].number, .month = found.all[1].number, .day = found.all[2].number};
  else if (is_year(&found.all[2]) && day_and_month(&found, &day.day, &day.month))
    day.year = found.all[2].number;
  else
    return;
  if (!add_no_month(out, day.month) && !add_no_day(out, &day))
    bt_text_format(out, "; did you mean %04d-%02d-%02d%s?", day.year, day.month, day.day, clock);
}

static void add_meant_day(bt_text *out, const char *text) {
  add_meant(out, text, "");
}

void cli_add_meant_time(bt_text *out, const char *text) {
  enum { LONGEST = 40 };
  char day[LONGEST + 1], clock[16] = "";
  int hour = 0, minute = 0, second = 0;
  const char *blank = strrchr(text, ' ');
  blank = blank == NULL ? strrchr(text, 'T') : blank;
  if (blank == NULL || !split_clock(blank + 1, &hour, &minute, &second) || hour > 23 ||
      minute > 59 || second > 59 || blank - text > LONGEST) {
    add_meant_day(out, text);
    return;
  }
  memcpy(day, text, (size_t)(blank - text));
  day[blank - text] = '\0';
  (void)snprintf(clock, sizeof clock, second == 0 ? "T%02d:%02d" : "T%02d:%02d:%02d", hour, minute,
                 second);
  add_meant(out, day, clock);
}

static void add_meant_month(bt_text *out, const char *text) {
  parts found = split(text);
  const part *a = &found.all[0], *b = &found.all[1];
  char name[BT_TIME_TEXT];
  if (found.n == 1 && is_name(a)) {
    month_name(a->number, name);
    bt_text_format(out, "; give the year too: %s 2026 is 2026-%02d", name, a->number);
    return;
  }
  bool year_first = is_year(a);
  bool whole_day = found.n == 3 && year_first && !is_name(&found.all[2]);
  if ((found.n != 2 && !whole_day) || year_first == is_year(b))
    return;
  int year = year_first ? a->number : b->number, month = year_first ? b->number : a->number;
  if (!add_no_month(out, month))
    bt_text_format(out, "; did you mean %04d-%02d?", year, month);
}

/* Says what was meant, where that is certain; else the form. False, always. */
static bool say_form(const char *option, const char *text, void (*add)(bt_text *, const char *),
                     const char *form) {
  bt_text meant = {0};
  add(&meant, text);
  cli_say("--%s is \"%s\"; %s%s", option, text, form, bt_text_get(&meant));
  bt_text_free(&meant);
  return false;
}

bool cli_day(const char *option, const char *text, bt_time *start) {
  bool has_clock;
  return (bt_time_parse(text, start, &has_clock) && !has_clock) ||
         say_form(option, text, add_meant_day, "a day is written like 2026-09-30");
}

bool cli_end(const char *option, const char *text, bt_time *end) {
  if (!cli_day(option, text, end))
    return false;
  *end += BT_DAY;
  return true;
}

bool cli_time(const char *text, bt_time *time, bool *has_clock) {
  enum { DAY = sizeof "2026-09-30T" - 1 };
  char whole[BT_TIME_TEXT];
  int hour = 0, minute = 0, second = 0;
  if (strlen(text) <= DAY || !split_clock(text + DAY, &hour, &minute, &second))
    return bt_time_parse(text, time, has_clock);
  int length = snprintf(whole, sizeof whole, "%.*s%02d:%02d:%02d", DAY, text, hour, minute, second);
  return length > 0 && (size_t)length < sizeof whole && bt_time_parse(whole, time, has_clock);
}

static bool moment(const char *option, const char *text, bt_time *time, bool *has_clock) {
  return cli_time(text, time, has_clock) ||
         say_form(option, text, cli_add_meant_time,
                  "a time is written like 2026-09-30T08:05 or 2026-09-30");
}

const char *cli_unlikely(const cli_context *cli, bt_time time) {
  static const bt_civil first = {.year = 1985, .month = 1, .day = 1}; /* as import has it */
  if (time >= (bt_day_of(cli->now) + 2) * BT_DAY)
    return "later than tomorrow";
  return time < bt_time_of(&first) ? "before 1985" : NULL;
}

bt_time cli_today_ends(const cli_context *cli) {
  return (bt_day_of(cli->now) + 1) * BT_DAY;
}

bool cli_happened(const cli_context *cli, const char *option, const char *text, bt_time *time,
                  bool *has_clock) {
  if (!moment(option, text, time, has_clock))
    return false;
  const char *unlikely = cli_unlikely(cli, *time);
  if (unlikely != NULL)
    cli_say("--%s is %s, which is %s: is it a typing error?", option, text, unlikely);
  return unlikely == NULL;
}

bool cli_month(const char *option, const char *text, bt_time *month) {
  char day[16];
  int length = snprintf(day, sizeof day, "%s-01", text);
  return (length == 10 && bt_time_parse(day, month, NULL)) ||
         say_form(option, text, add_meant_month, "a month is written like 2026-09");
}
