/* help: the overview, one command's help, the manual page, and the lists that a shell completes. */
#include "cli.h"
#include "manual.h"

#include "beamtally/report.h"

#include <stdio.h>
#include <string.h>

static const char overview_head[] =
    "beamtally keeps the calibration history of a 193 nm excimer laser and says what it shows.\n\n"
    "  beamtally import suite-north.csv        a log goes into the ledger\n"
    "  beamtally status                        what the record shows today\n"
    "  beamtally report --month 2026-09        the pages for the monthly QA meeting\n\n"
    "Commands:\n";

static const char overview_tail[] =
    "\n`beamtally help COMMAND` tells more of each, `man beamtally` all of it, `beamtally help words`\n"
    "what the words on its screens and pages mean.\n"
    "Before or behind every command: --ledger FILE --strict --yes --quiet --verbose --help\n"
    "The ledger is beamtally.sqlite in this folder, $BEAMTALLY_LEDGER, or --ledger FILE.\n"
    "Exit status: 0 done, 1 something failed, 2 wrong usage, 3 with --strict: done, and an open\n"
    "alarm, a refused line or a conflict wants a look.\n\n"
    "A chart is no substitute for the laser's own interlocks, the manufacturer's instructions or\n"
    "the responsible clinician.\n";

cli_exit cli_overview(bool asked) {
  bt_text text = {0};
  bt_text_add(&text, overview_head);
  for (const cli_command *command = cli_commands; command->name != NULL; command++)
    bt_text_format(&text, "  %-10s %s\n", command->name, command->summary);
  bt_text_add(&text, overview_tail);
  cli_exit result = asked ? cli_print_text(&text) : CLI_USAGE;
  if (!asked)
    (void)fputs(bt_text_get(&text), stderr);
  bt_text_free(&text);
  return result;
}

const cli_command *cli_find_command(const char *name) {
  for (const cli_command *command = cli_commands; command->name != NULL; command++)
    if (strcmp(command->name, name) == 0)
      return command;
  return NULL;
}

cli_exit cli_unknown_command(const char *name) {
  const char *names[32];
  size_t n = 0;
  for (const cli_command *command = cli_commands; command->name != NULL; command++)
    names[n++] = command->name;
  const char *nearest = cli_nearest(name, names, n);
  if (*nearest != '\0')
    cli_say("there is no command \"%s\"; did you mean \"%s\"?", name, nearest);
  else
    cli_say("there is no command \"%s\"; `beamtally --help` lists them", name);
  return CLI_USAGE;
}

/* A name with a line break in it can't be one line of a list. */
static void add_line(bt_text *list, const char *name) {
  for (const char *c = name; *c != '\0'; c++)
    if ((unsigned char)*c < 0x20)
      return;
  bt_text_format(list, "%s\n", name);
}

static bt_status add_units(const cli_context *cli, bt_text *list, bt_error *error) {
  bt_ledger *ledger = NULL;
  char **names = NULL;
  size_t n = 0;
  bt_status status = cli_open(cli, BT_LEDGER_READ, &ledger, error);
  if (status == BT_OK)
    status = bt_ledger_units(ledger, &names, &n, error);
  for (size_t i = 0; i < n && status == BT_OK; i++)
    add_line(list, names[i]);
  bt_names_free(names, n);
  bt_ledger_close(ledger);
  return status;
}

static bt_status add_characteristics(const cli_context *cli, bt_text *list, bt_error *error) {
  bt_settings settings;
  bt_status status = cli_settings_if_any(cli, &settings, error);
  for (int c = 0; c < BT_CHARACTERISTIC_COUNT && status == BT_OK; c++)
    if (!bt_settings_hide(&settings, (bt_characteristic)c))
      add_line(list, bt_characteristic_key((bt_characteristic)c));
  for (size_t i = 0; i < settings.own_n && status == BT_OK; i++)
    add_line(list, settings.own[i].key);
  bt_settings_free(&settings);
  return status;
}

static cli_exit print_list(const cli_context *cli, const char *of, const char *command) {
  bt_error error = {0};
  bt_text list = {0};
  bt_status status = BT_OK;
  const cli_command *found = command == NULL ? NULL : cli_find_command(command);
  if (strcmp(of, "options") == 0 && found != NULL)
    manual_options(found->help, &list);
  else if (strcmp(of, "commands") == 0)
    for (const cli_command *each = cli_commands; each->name != NULL; each++)
      add_line(&list, each->name);
  else if (strcmp(of, "units") == 0)
    status = add_units(cli, &list, &error);
  else if (strcmp(of, "characteristics") == 0)
    status = add_characteristics(cli, &list, &error);
  else if (strcmp(of, "events") == 0)
    for (int kind = 0; kind < BT_EVENT_COUNT; kind++)
      add_line(&list, bt_event_key((bt_event_kind)kind));
  else
    status = bt_fail(&error, BT_USAGE,
                     "--list is \"%s\"; it is commands, units, characteristics, events, or options "
                     "with a command behind it",
                     of);
  cli_exit result = status == BT_OK ? cli_print_text(&list) : cli_error(&error);
  bt_text_free(&list);
  return result;
}

static cli_exit print_manual(void) {
  bt_text page = {0};
  manual_page(&page);
  cli_exit result = cli_print_text(&page);
  bt_text_free(&page);
  return result;
}

/* Words behind it are one, as a title may have several. */
static cli_exit print_words(int argc, char **argv) {
  bt_error error = {0};
  bt_text asked = {0}, text = {0};
  for (int i = 0; i < argc; i++)
    bt_text_format(&asked, "%s%s", i > 0 ? " " : "", argv[i]);
  bt_status status = bt_text_ok(&asked) ? BT_OK : bt_fail_memory(&error);
  if (status == BT_OK)
    status = bt_report_words(argc > 0 ? bt_text_get(&asked) : NULL, &text, &error);
  if (status == BT_OK && bt_text_empty(&text))
    status = bt_fail(&error, BT_USAGE,
                     "no word \"%s\" is explained; `beamtally help words` has those that are",
                     bt_text_get(&asked));
  cli_exit result = status == BT_OK ? cli_print_text(&text) : cli_error(&error);
  bt_text_free(&asked);
  bt_text_free(&text);
  return result;
}

cli_exit cli_ask(cli_context *cli, int argc, char **argv) {
  const char *of = NULL;
  bool manual = false;
  const cli_option table[] = {{"list", &of, NULL, 0}, {"manual", NULL, &manual, 0}};
  int first;
  if (!cli_options(cli, argc, argv, table, sizeof table / sizeof *table, &first))
    return CLI_USAGE;
  const char *word = first < argc ? argv[first] : NULL;
  if (of != NULL)
    return print_list(cli, of, word);
  if (manual)
    return print_manual();
  if (word == NULL)
    return cli_overview(true);
  if (strcmp(word, "words") == 0)
    return print_words(argc - first - 1, argv + first + 1);
  const cli_command *command = cli_find_command(word);
  return command == NULL ? cli_unknown_command(word) : cli_print_help(command->help);
}
