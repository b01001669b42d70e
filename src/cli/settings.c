/* settings: the clinic's units, tolerances and choices, from an INI file; or those in force. */
#include "cli.h"
#include "help.h"

#include "beamtally/intake.h"

#include <stdio.h>

static const char *beam_word(bt_beam beam) {
  return beam == BT_BEAM_GAUSSIAN ? "gaussian" : beam == BT_BEAM_FLAT_TOP ? "flat_top" : NULL;
}

static const char *fluence_word(bt_fluence_from fluence) {
  return fluence == BT_FLUENCE_ENERGY ? "energy" : fluence == BT_FLUENCE_PLATE ? "plate" : "logged";
}

static void show_unit(const bt_unit_setting *unit, size_t number, bt_text *out) {
  bt_text_format(out, "\n[unit %zu]\nname = %s\n", number, unit->name);
  if (beam_word(unit->beam) != NULL)
    bt_text_format(out, "beam = %s\n", beam_word(unit->beam));
  bt_text_format(out, "fluence = %s\n", fluence_word(unit->fluence));
  if (unit->has_plate)
    bt_text_format(out, "plate_alpha_per_um = %.15g\nplate_threshold_mj_cm2 = %.15g\n",
                   unit->plate_alpha_per_um, unit->plate_threshold);
  if (unit->spread != BT_SPREAD_UNSTATED)
    bt_text_format(out, "spread = %s\n", unit->spread == BT_SPREAD_1S ? "1s" : "2s");
  if (unit->refill_interval_days > 0)
    bt_text_format(out, "refill_interval_days = %.15g\n", unit->refill_interval_days);
  if (unit->expected_days > 0)
    bt_text_format(out, "expected_days = %.15g\n", unit->expected_days);
}

static void show_tolerance(const bt_tolerance *tolerance, size_t number, bt_text *out) {
  char from[BT_TIME_TEXT];
  bt_text_format(out, "\n[tolerance %zu]\nunit = %s\ncharacteristic = %s\n", number,
                 tolerance->unit, bt_characteristic_key(tolerance->characteristic));
  if (tolerance->has_low)
    bt_text_format(out, "low = %.15g\n", tolerance->low);
  if (tolerance->has_high)
    bt_text_format(out, "high = %.15g\n", tolerance->high);
  bt_text_format(out, "source = %s\nfrom = %s\n", tolerance->source,
                 bt_time_day_iso(tolerance->from, from));
}

/* In the form that `settings FILE` reads. */
static void show(const bt_settings *settings, bt_text *out) {
  static const char *const days[] = {"", "mon", "tue", "wed", "thu", "fri", "sat", "sun"};
  if (settings->clinic != NULL || settings->tell != NULL)
    bt_text_add(out, "[clinic]\n");
  if (settings->clinic != NULL)
    bt_text_format(out, "name = %s\n", settings->clinic);
  if (settings->tell != NULL)
    bt_text_format(out, "tell = %s\n", settings->tell);
  for (size_t i = 0; i < settings->units_n; i++)
    show_unit(&settings->units[i], i + 1, out);
  if (settings->weekdays != 0) {
    bt_text_add(out, "\n[schedule]\nweekdays =");
    for (unsigned day = 1; day <= 7; day++)
      if ((settings->weekdays >> day & 1U) != 0)
        bt_text_format(out, " %s", days[day]);
    bt_text_add(out, "\n");
  }
  bt_text_format(out, "\n[budget]\nalarms_per_unit_year = %.15g\n", settings->alarms_per_unit_year);
  for (size_t i = 0; i < settings->tolerances_n; i++)
    show_tolerance(&settings->tolerances[i], i + 1, out);
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
    show(&settings, &text);
    if (!bt_text_ok(&text))
      status = bt_fail_memory(&error);
  }
  cli_exit result = status == BT_OK ? cli_print(bt_text_get(&text)) : cli_error(&error);
  bt_text_free(&text);
  bt_settings_free(&settings);
  bt_ledger_close(ledger);
  return result;
}

/* A unit that no log has named yet may be a new laser, or a typing error: a person must be able to
 * see which. */
static bt_status say_new_units(bt_ledger *ledger, const bt_settings *settings, bt_error *error) {
  char **names = NULL;
  size_t n = 0;
  bt_status status = bt_ledger_units(ledger, &names, &n, error);
  for (size_t i = 0; i < settings->units_n && status == BT_OK && n > 0; i++) {
    bool known = false;
    for (size_t k = 0; k < n && !known; k++)
      known = bt_same_name(names[k], settings->units[i].name);
    if (known)
      continue;
    const char *nearest = cli_nearest(settings->units[i].name, (const char *const *)names, n);
    cli_say("no log of \"%s\" is in the ledger yet%s%s%s", settings->units[i].name,
            *nearest != '\0' ? "; did you mean \"" : "", nearest, *nearest != '\0' ? "\"?" : "");
  }
  bt_names_free(names, n);
  return status;
}

static cli_exit take_settings(const cli_context *cli, const char *path, const char *by,
                              const char *why) {
  bt_error error = {0};
  bt_ledger *ledger = NULL;
  bt_settings settings = {0};
  bt_status status = bt_settings_read(path, &settings, &error);
  if (status == BT_OK)
    status = cli_open(cli, BT_LEDGER_CREATE, &ledger, &error);
  if (status == BT_OK)
    status = bt_ledger_add_settings(ledger, &settings, by, why, cli->now, &error);
  if (status == BT_OK)
    status = say_new_units(ledger, &settings, &error);
  if (status == BT_OK && !cli->quiet)
    (void)printf("%s: %zu unit%s and %zu tolerance%s taken\n", path, settings.units_n,
                 settings.units_n == 1 ? "" : "s", settings.tolerances_n,
                 settings.tolerances_n == 1 ? "" : "s");
  bt_settings_free(&settings);
  bt_ledger_close(ledger);
  return status == BT_OK ? CLI_DONE : cli_error(&error);
}

cli_exit cli_settings(cli_context *cli, int argc, char **argv) {
  const char *by = NULL, *why = NULL;
  bool shown = false;
  const cli_option table[] = {
      {"by", &by, NULL, 0}, {"why", &why, NULL, 0}, {"show", NULL, &shown, 0}};
  int first;
  if (!cli_options(cli, argc, argv, table, sizeof table / sizeof *table, &first))
    return CLI_USAGE;
  if (cli->help)
    return cli_print(help_settings);
  if (argc - first != (shown ? 0 : 1)) {
    cli_say("settings needs one FILE, or --show alone; see `beamtally settings --help`");
    return CLI_USAGE;
  }
  if (shown)
    return show_settings(cli);
  if (!cli_needs(cli, "by", by) || !cli_needs(cli, "why", why))
    return CLI_USAGE;
  return take_settings(cli, argv[first], by, why);
}
