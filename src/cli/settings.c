/* settings: the clinic's units, tolerances and choices, from an INI file; or those in force. */
#include "settings.h"
#include "help.h"

#include "beamtally/draw.h"
#include "beamtally/emit.h"
#include "beamtally/intake.h"

#include <stdio.h>
#include <string.h>
#include <unistd.h>

/* Where the limits of tolerance i hold and in which unit: "tracker_x of Laser 1: -50 to 50 µm". */
static void add_limits(const bt_settings *settings, size_t i, bt_text *out) {
  const bt_tolerance *tolerance = &settings->tolerances[i];
  bt_text_format(out, "%s of ", bt_settings_quantity(settings, tolerance->characteristic).key);
  (void)cli_plain(out, tolerance->unit, SIZE_MAX);
  bt_text_add(out, ": ");
  cli_settings_add_range(settings, tolerance, out);
}

/* As comments, so that the file can be given again. */
static void add_units(const bt_settings *settings, bt_text *out) {
  if (settings->tolerances_n > 0)
    bt_text_add(out, "\n; the limits with their units\n");
  for (size_t i = 0; i < settings->tolerances_n; i++) {
    bt_text_format(out, "; tolerance %zu: ", i + 1);
    add_limits(settings, i, out);
    bt_text_add(out, "\n");
  }
}

static cli_exit show_settings(const cli_context *cli) {
  bt_error error = {0};
  bt_ledger *ledger = NULL;
  bt_settings settings = {0};
  bt_text text = {0};
  bt_status status = cli_open(cli, BT_LEDGER_READ, &ledger, &error);
  if (status == BT_OK)
    status = bt_ledger_settings(ledger, &settings, &error);
  if (status == BT_OK) {
    bt_emit_settings_ini(&settings, &text);
    add_units(&settings, &text);
  }
  if (status == BT_OK && !bt_text_ok(&text))
    status = bt_fail_memory(&error);
  /* Data, as the file was: what a terminal would obey is in it, too. */
  cli_exit result = status == BT_OK ? cli_print(bt_text_get(&text)) : cli_error(&error);
  bt_text_free(&text);
  bt_settings_free(&settings);
  bt_ledger_close(ledger);
  return result;
}

/* A question that nobody at a terminal answers is answered by --yes alone. */
static cli_exit ask_of_doubts(const cli_context *cli, const bt_text *effect, bt_text *doubts) {
  bt_text_add(doubts, "Taken as it stands, each of these readings is out of tolerance. Give the "
                      "limits in the unit that\nstands here, or say yes where they are meant.\n");
  if (!cli->yes && isatty(STDIN_FILENO) != 0)
    (void)cli_put_seen(bt_text_get(effect), stderr);
  if (!cli->yes)
    (void)cli_put_seen(bt_text_get(doubts), stderr);
  return cli_confirm(cli);
}

/* Shows what changes against the settings in force, and asks; the first ones supersede nothing, and
 * are asked about only where the stored readings speak against them. `gone` becomes what falls
 * away, which is said as well where nobody was asked. */
static bt_status ask(const cli_context *cli, bt_ledger *ledger, const bt_settings *settings,
                     bt_text *gone, cli_exit *answer, bt_error *error) {
  bt_settings now = {0};
  bt_text effect = {0}, doubts = {0};
  bt_status status = bt_ledger_settings(ledger, &now, error);
  bool first = now.units_n == 0 && now.tolerances_n == 0 && now.own_n == 0;
  if (status == BT_OK)
    status = cli_settings_add_doubts(cli, ledger, &now, settings, &doubts, error);
  if (status == BT_OK && !first && cli_describe_settings_changes(&effect, &now, settings) > 0)
    bt_text_add(&effect, "What stands behind - is no longer in force, what stands behind + is. "
                         "Checks are judged anew by\nit; the version before stays on record.\n");
  if (status == BT_OK)
    cli_describe_settings_gone(gone, &now, settings);
  if (status == BT_OK && (!bt_text_ok(gone) || !bt_text_ok(&effect) || !bt_text_ok(&doubts)))
    status = bt_fail_memory(error);
  if (status == BT_OK && doubts.length > 0)
    *answer = ask_of_doubts(cli, &effect, &doubts);
  else if (status == BT_OK && effect.length > 0)
    *answer = cli_confirm_effect(cli, &effect);
  bt_text_free(&effect);
  bt_text_free(&doubts);
  bt_settings_free(&now);
  return status;
}

static void add_taken(bt_text *out, size_t n, const char *one, const char *many) {
  if (n > 0)
    bt_text_format(out, "%s%zu %s", out->length > 0 ? ", " : "", n, n == 1 ? one : many);
}

/* What was taken, section by section: what stands in no list was not understood as meant. */
static void say_taken(const char *path, const bt_settings *settings, const bt_text *gone) {
  bt_text taken = {0};
  add_taken(&taken, settings->units_n, "unit", "units");
  add_taken(&taken, settings->tolerances_n, "tolerance", "tolerances");
  add_taken(&taken, settings->own_n, "characteristic", "characteristics");
  if (settings->clinic != NULL || settings->tell != NULL || settings->font != NULL)
    bt_text_format(&taken, "%sthe clinic", taken.length > 0 ? ", " : "");
  if (settings->weekdays != 0)
    bt_text_format(&taken, "%sthe schedule", taken.length > 0 ? ", " : "");
  double budget = settings->alarms_per_unit_year;
  cli_tell("%s: taken: %s%sa budget of %g false alarm%s a unit and year\n", path,
           bt_text_get(&taken), taken.length > 0 ? ", " : "", budget, budget == 1 ? "" : "s");
  bt_text_free(&taken);
  for (size_t i = 0; i < settings->tolerances_n; i++) {
    bt_text limits = {0};
    add_limits(settings, i, &limits);
    cli_tell("%s: tolerance of %s\n", path, bt_text_get(&limits));
    bt_text_free(&limits);
  }
  if (gone->length > 0)
    cli_tell("%s: no longer in force, as a settings file replaces all of the one before: %s\n",
             path, bt_text_get(gone));
}

/* By the file that would give them: it says all that settings are. */
static bt_status is_nothing_new(bt_ledger *ledger, const bt_settings *settings, bool *same,
                                bt_error *error) {
  bt_settings now = {0};
  bt_text given = {0}, stored = {0};
  bt_status status = bt_ledger_settings(ledger, &now, error);
  if (status == BT_OK) {
    bt_emit_settings_ini(settings, &given);
    bt_emit_settings_ini(&now, &stored);
    if (!bt_text_ok(&given) || !bt_text_ok(&stored))
      status = bt_fail_memory(error);
  }
  *same = status == BT_OK && strcmp(bt_text_get(&given), bt_text_get(&stored)) == 0;
  bt_text_free(&given);
  bt_text_free(&stored);
  bt_settings_free(&now);
  return status;
}

static cli_exit take_settings(const cli_context *cli, const char *path, bool new_unit,
                              const char *by, const char *why) {
  bt_error error = {0};
  bt_ledger *ledger = NULL;
  bt_settings settings = {0};
  bt_text gone = {0};
  cli_exit answer = CLI_DONE;
  bt_status status = bt_settings_read(path, &settings, &error);
  const char *name = bt_input_name(path);
  if (status == BT_OK && settings.font != NULL &&
      (status = bt_face_check(settings.font, &error)) != BT_OK)
    bt_error_prefix(&error, "%s, font", name);
  if (status == BT_OK)
    status = cli_open(cli, BT_LEDGER_CREATE, &ledger, &error);
  /* Before anything is stored: what fails after that would look as if nothing had been. */
  if (status == BT_OK)
    status = cli_settings_units_known(cli, ledger, &settings, new_unit, &error);
  bool same = false;
  if (status == BT_OK)
    status = is_nothing_new(ledger, &settings, &same, &error);
  if (status == BT_OK && !same &&
      (status = cli_settings_refuse_percent(cli, ledger, &settings, &error)) != BT_OK)
    bt_error_prefix(&error, "%s", name);
  if (status == BT_OK && !same)
    status = ask(cli, ledger, &settings, &gone, &answer, &error);
  if (status == BT_OK && same && !cli->quiet)
    cli_tell("%s: nothing new: these settings are in force already; nothing was stored\n", name);
  if (status == BT_OK && !same && answer == CLI_DONE)
    status = bt_ledger_add_settings(ledger, &settings, by, why, cli->now, &error);
  if (status == BT_OK && !same && answer == CLI_DONE && !cli->quiet)
    say_taken(name, &settings, &gone);
  cli_exit result = status == BT_OK ? answer : cli_error(&error);
  if (result == CLI_DONE && !cli->quiet) {
    cli_settings_doubt_widths(&settings);
    cli_settings_say_to_come(cli, &settings);
  }
  if (result == CLI_DONE && !cli->quiet &&
      cli_settings_doubt_tolerances(cli, ledger, &settings, &error) != BT_OK)
    cli_say("the settings are stored, but were not held against the checks: %s", error.text);
  bt_text_free(&gone);
  bt_settings_free(&settings);
  bt_ledger_close(ledger);
  return result;
}

cli_exit cli_settings(cli_context *cli, int argc, char **argv) {
  const char *by = NULL, *why = NULL;
  bool shown = false, new_unit = false;
  const cli_option table[] = {{"by", &by, NULL, 0},
                              {"why", &why, NULL, 0},
                              {"show", NULL, &shown, 0},
                              {"new-unit", NULL, &new_unit, 0}};
  int first;
  if (!cli_options(cli, argc, argv, table, sizeof table / sizeof *table, &first))
    return CLI_USAGE;
  if (cli->help)
    return cli_print_help(help_settings);
  if (argc - first != (shown ? 0 : 1)) {
    cli_say("settings needs one FILE, or --show alone; see `beamtally settings --help`");
    return CLI_USAGE;
  }
  if (shown)
    return show_settings(cli);
  if (!cli_needs(cli, "by", by) || !cli_needs(cli, "why", why))
    return CLI_USAGE;
  return take_settings(cli, argv[first], new_unit, by, why);
}
