/* Options of all commands: one table each, read by getopt_long; and the values they take. */
#include "cli.h"

#include "beamtally/intake.h"

#include <getopt.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { MOST_OPTIONS = 32, FIRST_CODE = 256 };

static void say_unknown(const cli_context *cli, const char *typed, const cli_option *all,
                        size_t n) {
  const char *names[MOST_OPTIONS];
  for (size_t i = 0; i < n; i++)
    names[i] = all[i].name;
  const char *nearest = cli_nearest(typed, names, n);
  if (*nearest != '\0')
    cli_say("%s has no option \"--%s\"; did you mean \"--%s\"?", cli->command, typed, nearest);
  else
    cli_say("%s has no option \"%s\"; see `beamtally %s --help`", cli->command, typed,
            cli->command);
}

/* The word that getopt stumbled over, without its dashes and value. */
static const char *stumbled_over(char **argv, char *buffer, size_t size) {
  const char *word = argv[optind - 1] == NULL ? "" : argv[optind - 1];
  while (*word == '-')
    word++;
  (void)snprintf(buffer, size, "%.*s", (int)strcspn(word, "="), word);
  return buffer;
}

bool cli_options(cli_context *cli, int argc, char **argv, const cli_option *options, size_t n,
                 int *operands) {
  const cli_option common[] = {
      {"ledger", &cli->ledger, NULL, 0},   {"strict", NULL, &cli->strict, 0},
      {"yes", NULL, &cli->yes, 0},         {"quiet", NULL, &cli->quiet, 0},
      {"verbose", NULL, &cli->verbose, 0}, {"help", NULL, &cli->help, 0},
  };
  cli_option all[MOST_OPTIONS];
  struct option longs[MOST_OPTIONS + 1] = {0};
  char letters[2 * MOST_OPTIONS + 2] = ":";
  size_t total = 0, used = 1;
  for (size_t i = 0; i < n; i++)
    all[total++] = options[i];
  for (size_t i = 0; i < sizeof common / sizeof *common; i++)
    all[total++] = common[i];
  for (size_t i = 0; i < total; i++) {
    longs[i] = (struct option){.name = all[i].name,
                               .has_arg = all[i].value != NULL ? required_argument : no_argument,
                               .val = FIRST_CODE + (int)i};
    if (all[i].letter != 0) {
      letters[used++] = all[i].letter;
      if (all[i].value != NULL)
        letters[used++] = ':';
      letters[used] = '\0';
    }
  }

  char word[80];
  int code;
  opterr = 0;
  optind = 1;
  while ((code = getopt_long(argc, argv, letters, longs, NULL)) != -1) {
    size_t which = (size_t)(code - FIRST_CODE);
    if (code == ':') {
      cli_say("the option \"%s\" needs a value; see `beamtally %s --help`", argv[optind - 1],
              cli->command);
      return false;
    }
    for (size_t i = 0; i < total && code < FIRST_CODE; i++)
      if (all[i].letter == code && code != '?')
        which = i;
    if (code == '?' || which >= total) {
      say_unknown(cli, stumbled_over(argv, word, sizeof word), all, total);
      return false;
    }
    if (all[which].value != NULL)
      *all[which].value = optarg;
    else
      *all[which].flag = true;
  }
  *operands = optind;
  return true;
}

bool cli_day(const char *option, const char *text, bt_time *start) {
  bool has_clock;
  if (!bt_time_parse(text, start, &has_clock) || has_clock) {
    cli_say("--%s is \"%s\"; a day is written like 2026-09-30", option, text);
    return false;
  }
  return true;
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
  if (strlen(text) <= DAY || text[DAY + 1] != ':')
    return bt_time_parse(text, time, has_clock);
  int length = snprintf(whole, sizeof whole, "%.*s0%s", DAY, text, text + DAY);
  return length > 0 && (size_t)length < sizeof whole && bt_time_parse(whole, time, has_clock);
}

bool cli_moment(const char *option, const char *text, bt_time *time, bool *has_clock) {
  if (!cli_time(text, time, has_clock)) {
    cli_say("--%s is \"%s\"; a time is written like 2026-09-30T08:05 or 2026-09-30", option, text);
    return false;
  }
  return true;
}

const char *cli_unlikely(const cli_context *cli, bt_time time) {
  static const bt_civil first = {.year = 1985, .month = 1, .day = 1}; /* as import has it */
  if (time >= (bt_day_of(cli->now) + 2) * BT_DAY)
    return "later than tomorrow";
  return time < bt_time_of(&first) ? "before 1985" : NULL;
}

bool cli_happened(const cli_context *cli, const char *option, const char *text, bt_time *time,
                  bool *has_clock) {
  if (!cli_moment(option, text, time, has_clock))
    return false;
  const char *unlikely = cli_unlikely(cli, *time);
  if (unlikely != NULL)
    cli_say("--%s is %s, which is %s: is it a typing error?", option, text, unlikely);
  return unlikely == NULL;
}

bool cli_month(const char *option, const char *text, bt_time *month) {
  char day[16];
  int length = snprintf(day, sizeof day, "%s-01", text);
  if (length != 10 || !bt_time_parse(day, month, NULL)) {
    cli_say("--%s is \"%s\"; a month is written like 2026-09", option, text);
    return false;
  }
  return true;
}

bool cli_number(const char *option, const char *text, double *number) {
  if (!bt_number_parse(text, BT_DECIMAL_POINT, number)) {
    cli_say("--%s is \"%s\"; a number is written like 0.0042", option, text);
    return false;
  }
  return true;
}

bool cli_needs(const cli_context *cli, const char *option, const char *value) {
  if (value != NULL && *value != '\0')
    return true;
  cli_say("%s needs --%s; see `beamtally %s --help`", cli->command, option, cli->command);
  return false;
}
