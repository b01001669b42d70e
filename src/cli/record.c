/* record: one check typed in by a person. */
#include "cli.h"
#include "help.h"

#include <string.h>

static cli_exit say_stored(const cli_context *cli, const bt_check *check, bool known) {
  bt_text line = {0};
  cli_describe_place(&line, check->unit, check->time, check->has_clock);
  bt_text_add(&line, ": ");
  cli_describe_check(&line, check);
  bt_text_add(&line, known ? " is in the ledger already; nothing added\n" : " stored\n");
  cli_exit result = cli->quiet ? CLI_DONE : cli_print_text(&line);
  bt_text_free(&line);
  return result;
}

/* Of a check that is known, by its readings: words that came with it and that the ledger has not
 * are refused by name. Of several at that very time none is the one that was meant. */
static bt_status refuse_other_words(bt_ledger *ledger, const bt_check *check, bt_error *error) {
  static const bt_text_field fields[] = {BT_FIELD_REMARK, BT_FIELD_OPERATOR};
  bt_check stored = {0};
  bt_status status =
      bt_ledger_find_check(ledger, check->unit, check->time, false, 0, &stored, error);
  if (status == BT_USAGE)
    return BT_OK;
  for (size_t i = 0; status == BT_OK && i < sizeof fields / sizeof *fields; i++) {
    const char *typed = check->text[fields[i]], *there = stored.text[fields[i]];
    const char *key = bt_text_field_key(fields[i]);
    if (typed != NULL && (there == NULL || strcmp(typed, there) != 0))
      status =
          bt_fail(error, BT_REFUSED,
                  "the ledger has a check of \"%s\" at that time with these readings and %s "
                  "%s; nothing was stored: correct that one (`beamtally correct` with %s=TEXT)",
                  check->unit, there == NULL ? "no" : "another", key, key);
  }
  bt_check_free(&stored);
  return status;
}

/* The one moment at which somebody surely looks at the screen: says which tolerances the new check
 * fails. */
static bt_status say_failed(bt_ledger *ledger, const bt_check *check, bt_error *error) {
  bt_study_request request = {.unit = check->unit, .until = check->time + 1};
  bt_unit_study *unit = NULL;
  size_t failed = 0;
  bt_status status = bt_study_unit(ledger, &request, &unit, error);
  for (size_t s = 0; status == BT_OK && s < unit->studies_n; s++) {
    const bt_study *study = unit->studies[s];
    size_t n = study->checks.n;
    if (n == 0 || study->checks.at[n - 1] != check->time || !study->tolerance.last_is_outside)
      continue;
    cli_say("%s %.*f is outside tolerance", study->quantity.title, study->quantity.decimals,
            study->checks.raw[n - 1]);
    failed++;
  }
  if (failed > 0)
    cli_say("follow the instructions for use and your failure procedure; the responsible person "
            "decides about treatment; do not rely on this program%s%s",
            unit->settings.tell == NULL ? "" : ". Tell ",
            unit->settings.tell == NULL ? "" : unit->settings.tell);
  bt_unit_study_free(unit);
  return status;
}

static cli_exit record(const cli_context *cli, bt_check *check, char **words, int n, bool new_unit,
                       const char *by) {
  bt_error error = {0};
  bt_ledger *ledger = NULL;
  bt_settings settings = {0};
  bool known = false;
  bt_status status = cli_open(cli, new_unit ? BT_LEDGER_CREATE : BT_LEDGER_WRITE, &ledger, &error);
  if (status == BT_OK)
    status = bt_ledger_settings(ledger, &settings, &error);
  if (status == BT_OK)
    status = cli_put_all(check, &settings, words, n, &error);
  if (status == BT_OK && bt_check_says_nothing(check))
    status = bt_fail(&error, BT_USAGE,
                     "record needs what was read, such as energy_mj=1.602; see `beamtally record "
                     "--help`");
  if (status == BT_OK)
    status = bt_ledger_add_check(ledger, check, new_unit, by, cli->now, &known, &error);
  if (status == BT_OK && known)
    status = refuse_other_words(ledger, check, &error);
  cli_exit result = status == BT_OK ? say_stored(cli, check, known) : cli_error(&error);
  if (result == CLI_DONE && !known && say_failed(ledger, check, &error) != BT_OK)
    cli_say("the check is stored, but could not be judged: %s", error.text);
  bt_settings_free(&settings);
  bt_ledger_close(ledger);
  return result;
}

cli_exit cli_record(cli_context *cli, int argc, char **argv) {
  const char *unit = NULL, *at = NULL, *by = NULL;
  bool new_unit = false;
  const cli_option table[] = {
      {"unit", &unit, NULL, 0},
      {"at", &at, NULL, 0},
      {"by", &by, NULL, 0},
      {"new-unit", NULL, &new_unit, 0},
  };
  int first;
  bt_check check = {0};
  if (!cli_options(cli, argc, argv, table, sizeof table / sizeof *table, &first))
    return CLI_USAGE;
  if (cli->help)
    return cli_print_help(help_record);
  if (!cli_needs(cli, "unit", unit) || !cli_needs(cli, "at", at) || !cli_needs(cli, "by", by) ||
      !cli_happened(cli, "at", at, &check.time, &check.has_clock))
    return CLI_USAGE;
  if (first == argc) {
    cli_say("record needs what was read, such as energy_mj=1.602; see `beamtally record --help`");
    return CLI_USAGE;
  }
  check.unit = bt_copy(unit);
  bt_error error = {0};
  cli_exit result = check.unit == NULL && bt_fail_memory(&error) != BT_OK
                        ? cli_error(&error)
                        : record(cli, &check, argv + first, argc - first, new_unit, by);
  bt_check_free(&check);
  return result;
}
