/* Options of all commands: one table each, read by getopt_long; and the values they take. */
#include "cli.h"

#include "beamtally/intake.h"

#include <getopt.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { MOST_OPTIONS = 32, COMMON_OPTIONS = 6, FIRST_CODE = 256 };

/* Options of every command, as getopt_long wants them and as they are found again by their code. */
typedef struct option_set {
  size_t n;
  cli_option all[MOST_OPTIONS];
  struct option longs[MOST_OPTIONS + 1];
  char letters[2 * MOST_OPTIONS + 3];
} option_set;

static void add_option(option_set *set, const cli_option *option) {
  char letter[3] = {option->letter, option->value != NULL ? ':' : '\0', '\0'};
  set->all[set->n] = *option;
  set->longs[set->n] =
      (struct option){.name = option->name,
                      .has_arg = option->value != NULL ? required_argument : no_argument,
                      .val = FIRST_CODE + (int)set->n};
  if (option->letter != 0)
    (void)strcat(set->letters, letter);
  set->n++;
}

static void add_common(option_set *set, cli_context *cli) {
  const cli_option common[COMMON_OPTIONS] = {
      {"ledger", &cli->ledger, NULL, 0},   {"strict", NULL, &cli->strict, 0},
      {"yes", NULL, &cli->yes, 0},         {"quiet", NULL, &cli->quiet, 0},
      {"verbose", NULL, &cli->verbose, 0}, {"help", NULL, &cli->help, 'h'},
  };
  for (size_t i = 0; i < COMMON_OPTIONS; i++)
    add_option(set, &common[i]);
}

/* Reads the next option and sets what it sets: its code, -1 after the last one, '?' for one that is
 * not of the set, ':' for one without its value. */
static int next_option(const option_set *set, int argc, char **argv) {
  opterr = 0;
  int code = getopt_long(argc, argv, set->letters, set->longs, NULL);
  if (code == -1 || code == '?' || code == ':')
    return code;
  size_t which = (size_t)(code - FIRST_CODE);
  for (size_t i = 0; i < set->n && code < FIRST_CODE; i++)
    if (set->all[i].letter == code)
      which = i;
  if (set->all[which].value != NULL)
    *set->all[which].value = optarg;
  else
    *set->all[which].flag = true;
  return code;
}

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
  option_set set = {.letters = ":"};
  for (size_t i = 0; i < n; i++)
    add_option(&set, &options[i]);
  add_common(&set, cli);

  char word[80];
  int code;
  optind = 0; /* glibc: begin anew, with these letters */
  while ((code = next_option(&set, argc, argv)) != -1) {
    if (code == ':') {
      cli_say("the option \"%s\" needs a value; see `beamtally %s --help`", argv[optind - 1],
              cli->command);
      return false;
    }
    if (code == '?') {
      say_unknown(cli, stumbled_over(argv, word, sizeof word), set.all, set.n);
      return false;
    }
  }
  *operands = optind;
  return true;
}

bool cli_first_options(cli_context *cli, int argc, char **argv, bool *version, int *command) {
  const cli_option own = {"version", NULL, version, 0};
  option_set set = {.letters = "+:"}; /* "+": up to the first word that is no option */
  int code;
  add_common(&set, cli);
  add_option(&set, &own);
  while ((code = next_option(&set, argc, argv)) != -1) {
    if (code == ':') {
      cli_say("the option \"%s\" needs a value; see `beamtally --help`", argv[optind - 1]);
      return false;
    }
    if (code == '?') {
      cli_say(
          "\"%s\" before a command is not known: there stand --ledger FILE, --strict, --yes, "
          "--quiet, --verbose, --help and --version; a command's own options stand behind it, as "
          "in `beamtally status --unit NAME`",
          argv[optind - 1]);
      return false;
    }
  }
  *command = optind;
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

/* " (in this ledger: "Suite North", "Suite South")"; nothing where there is no ledger that can be
 * read: the command itself will say so. */
static void add_units(const cli_context *cli, bt_text *out) {
  enum { MOST = 6 };
  bt_error error = {0};
  bt_ledger *ledger = NULL;
  char **names = NULL;
  size_t n = 0;
  bt_status status = bt_ledger_open(cli->ledger, BT_LEDGER_READ, &ledger, &error);
  if (status == BT_OK)
    status = bt_ledger_units(ledger, &names, &n, &error);
  for (size_t i = 0; i < n && status == BT_OK && i < MOST; i++) {
    bt_text_add(out, i == 0 ? " (in this ledger: \"" : "\", \"");
    (void)cli_plain(out, names[i], 60);
  }
  if (status == BT_OK && n > 0)
    bt_text_add(out, n > MOST ? "\" and others)" : "\")");
  bt_names_free(names, n);
  bt_ledger_close(ledger);
}

bool cli_needs(const cli_context *cli, const char *option, const char *value) {
  if (value != NULL && *value != '\0')
    return true;
  static const struct {
    const char *option, *form;
  } forms[] = {{"month", ", written like 2026-09"},
               {"from", ", written like 2026-09-30"},
               {"to", ", written like 2026-09-30"},
               {"at", ", written like 2026-09-30T08:05 or 2026-09-30"},
               {"by", ", the name or code of who says so"},
               {"why", ", the reason, between quotes"},
               {"output", " (or -o), the name of what is to be made"},
               {"characteristic", ", as energy_ratio, or a title that `beamtally status` shows"}};
  bt_text form = {0};
  if (strcmp(option, "unit") == 0)
    add_units(cli, &form);
  for (size_t i = 0; i < sizeof forms / sizeof *forms; i++)
    if (strcmp(option, forms[i].option) == 0)
      bt_text_add(&form, forms[i].form);
  cli_say("%s needs --%s%s; see `beamtally %s --help`", cli->command, option, bt_text_get(&form),
          cli->command);
  bt_text_free(&form);
  return false;
}
