/* Options of all commands: one table each, read by getopt_long; and the values they take. */
#include "cli.h"

#include "beamtally/intake.h"

#include <getopt.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { MOST_OPTIONS = 32, COMMON_OPTIONS = 6, FIRST_CODE = 256, GIVEN_TWICE = 1 };

/* Options of every command, as getopt_long wants them and as they are found again by their code. */
typedef struct option_set {
  size_t n;
  cli_option all[MOST_OPTIONS];
  struct option longs[MOST_OPTIONS + 1];
  char letters[2 * MOST_OPTIONS + 3];
  bool given[MOST_OPTIONS];
  size_t twice; /* which one was given twice, with two values */
  const char *other;
} option_set;

static void add_option(option_set *set, const cli_option *option) {
  size_t end = strlen(set->letters); /* zeros are behind it */
  set->all[set->n] = *option;
  set->longs[set->n] =
      (struct option){.name = option->name,
                      .has_arg = option->value != NULL ? required_argument : no_argument,
                      .val = FIRST_CODE + (int)set->n};
  if (option->letter != 0) {
    set->letters[end] = option->letter;
    set->letters[end + 1] = option->value != NULL ? ':' : '\0';
  }
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

/* The word that getopt stopped at. A cluster of letters is left only behind its last one. */
static const char *word_at(int argc, char **argv) {
  const char *last = argv[optind - 1];
  if (optopt == 0 || optopt >= FIRST_CODE)
    return last;
  bool is_last = last[0] == '-' && last[1] != '-' && last[strlen(last) - 1] == optopt;
  return is_last || optind >= argc ? last : argv[optind];
}

/* Which option the word begins with and spells in full, behind two dashes; else set->n. */
static size_t spelt(const option_set *set, const char *word) {
  size_t i = 0, length = strcspn(word, "=");
  while (i < set->n && (strncmp(word, "--", 2) != 0 || strlen(set->all[i].name) != length - 2 ||
                        strncmp(word + 2, set->all[i].name, length - 2) != 0))
    i++;
  return i;
}

/* An option behind a single dash, "-output", is to getopt the letter o with a value. */
static bool is_long_behind_one_dash(const option_set *set, const char *word) {
  enum { SHORTEST = 3 };
  size_t length = strcspn(word, "=");
  if (word[0] != '-' || word[1] == '-' || length < 1 + SHORTEST)
    return false;
  for (size_t i = 0; i < set->n; i++)
    if (strlen(set->all[i].name) == length - 1 &&
        strncmp(word + 1, set->all[i].name, length - 1) == 0)
      return true;
  return false;
}

/* Reads the next option and sets what it sets: its code, -1 after the last one, '?' for one that is
 * not of the set, ':' for one without its value, GIVEN_TWICE for one that had another value before:
 * `--unit A a.csv --unit B b.csv` would put both logs to B. *word is the word that it stands in. A
 * name that is cut short, which getopt takes, is none of the set: with a letter less "unit" is
 * "unti", a beginning of "until". */
static int next_option(option_set *set, int argc, char **argv, const char **word) {
  opterr = 0;
  int code = getopt_long(argc, argv, set->letters, set->longs, NULL);
  if (code == -1)
    return code;
  if (code == '?' || code == ':') {
    *word = word_at(argc, argv);
    return code;
  }
  size_t which = (size_t)(code - FIRST_CODE);
  for (size_t i = 0; i < set->n && code < FIRST_CODE; i++)
    if (set->all[i].letter == code)
      which = i;
  bool takes = set->all[which].value != NULL;
  *word = argv[optind - (takes && optarg == argv[optind - 1] ? 2 : 1)];
  if (code >= FIRST_CODE ? spelt(set, *word) != which : is_long_behind_one_dash(set, *word))
    return '?';
  if (takes && set->given[which] && strcmp(*set->all[which].value, optarg) != 0) {
    set->twice = which;
    set->other = optarg;
    return GIVEN_TWICE;
  }
  set->given[which] = true;
  if (takes)
    *set->all[which].value = optarg;
  else
    *set->all[which].flag = true;
  return code;
}

/* `; did you mean "--unit" or "--until"?`: the nearest names, and those that it begins. False:
 * none. */
static bool add_meant(const option_set *set, const char *word, bt_text *out) {
  const char *names[MOST_OPTIONS + 1];
  char typed[80];
  bool any = false;
  word += strspn(word, "-");
  (void)snprintf(typed, sizeof typed, "%.*s", (int)strcspn(word, "="), word);
  if (*typed == '\0')
    return false;
  for (size_t i = 0; i < set->n; i++)
    names[i] = set->all[i].name;
  const char *nearest = cli_nearest(typed, names, set->n);
  size_t least = *nearest == '\0' ? 0 : bt_name_distance(typed, nearest);
  for (size_t i = 0; i < set->n; i++) {
    /* One that is far off, but has the word in it, is alone. */
    bool near = nearest == names[i] || (*nearest != '\0' && least <= 1 + strlen(typed) / 3 &&
                                        bt_name_distance(typed, names[i]) == least);
    bool begun = (least > 0 || *nearest == '\0') && strncmp(typed, names[i], strlen(typed)) == 0;
    if (near || begun)
      bt_text_format(out, "%s \"--%s\"", any ? " or" : "; did you mean", names[i]);
    any = any || near || begun;
  }
  bt_text_add(out, any ? "?" : "");
  return any;
}

/* What is wrong with an option that a command doesn't have, or gives a value to. */
static void say_unknown(const cli_context *cli, const option_set *set, const char *word) {
  bt_text meant = {0};
  size_t known = spelt(set, word);
  if (known < set->n)
    cli_say("the option \"--%s\" takes no value", set->all[known].name);
  else if (add_meant(set, word, &meant))
    cli_say("%s has no option \"%s\"%s", cli->command, word, bt_text_get(&meant));
  else
    cli_say("%s has no option \"%s\"; see `beamtally %s --help`", cli->command, word, cli->command);
  bt_text_free(&meant);
}

static void say_twice(const option_set *set) {
  const cli_option *option = &set->all[set->twice];
  cli_say("--%s is given twice, as \"%s\" and as \"%s\"; give it once", option->name,
          *option->value, set->other);
}

bool cli_options(cli_context *cli, int argc, char **argv, const cli_option *options, size_t n,
                 int *operands) {
  option_set set = {.letters = ":"};
  for (size_t i = 0; i < n; i++)
    add_option(&set, &options[i]);
  add_common(&set, cli);

  const char *word;
  int code;
  optind = 0; /* glibc: begin anew, with these letters */
  while ((code = next_option(&set, argc, argv, &word)) != -1) {
    if (code == ':' && !is_long_behind_one_dash(&set, word) &&
        (strncmp(word, "--", 2) != 0 || spelt(&set, word) < set.n)) {
      cli_say("the option \"%s\" needs a value; see `beamtally %s --help`", word, cli->command);
      return false;
    }
    if (code == GIVEN_TWICE) {
      say_twice(&set);
      return false;
    }
    if (code == '?' || code == ':') {
      say_unknown(cli, &set, word);
      return false;
    }
  }
  *operands = optind;
  return true;
}

static void say_not_before(const option_set *set, const char *word) {
  bt_text meant = {0};
  if (add_meant(set, word, &meant))
    cli_say("\"%s\" before a command is not known%s", word, bt_text_get(&meant));
  else
    cli_say("\"%s\" before a command is not known: there stand --ledger FILE, --strict, --yes, "
            "--quiet, --verbose, --help and --version; a command's own options stand behind it, as "
            "in `beamtally status --unit NAME`",
            word);
  bt_text_free(&meant);
}

bool cli_first_options(cli_context *cli, int argc, char **argv, bool *version, int *command) {
  const cli_option own = {"version", NULL, version, 0};
  option_set set = {.letters = "+:"}; /* "+": up to the first word that is no option */
  const char *word;
  int code;
  add_common(&set, cli);
  add_option(&set, &own);
  while ((code = next_option(&set, argc, argv, &word)) != -1) {
    if (code == ':' && spelt(&set, word) < set.n) {
      cli_say("the option \"%s\" needs a value; see `beamtally --help`", word);
      return false;
    }
    if (code == GIVEN_TWICE) {
      say_twice(&set);
      return false;
    }
    if (code == '?' || code == ':') {
      say_not_before(&set, word);
      return false;
    }
  }
  *command = optind;
  return true;
}

bool cli_number(const char *option, const char *text, double *number) {
  bt_error error = {0};
  if (bt_number_typed(text, number, &error) == BT_OK)
    return true;
  cli_say("--%s: %s", option, error.text);
  return false;
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
