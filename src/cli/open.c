/* The ledger and the units a command works on. */
#include "cli.h"

#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

static void say_migrated(bt_migration made) {
  if (made.copy == NULL)
    return;
  cli_say("the ledger was of an older version and is of today's now; as it was it stands in %s%s",
          made.copy, made.copy_was_there ? " (whole; a run that was cut short had made it)" : "");
  if (made.parts_removed > 0)
    cli_say("%lld unfinished cop%s of the ledger, left by a run that was cut short, w%s removed",
            (long long)made.parts_removed, made.parts_removed == 1 ? "y" : "ies",
            made.parts_removed == 1 ? "as" : "ere");
}

bt_status cli_open_unheld(const cli_context *cli, bt_ledger_mode mode, bt_ledger **ledger,
                          bt_error *error) {
  struct stat there;
  bool was_empty = stat(cli->ledger, &there) == 0 && there.st_size == 0;
  bt_status status = bt_ledger_open(cli->ledger, mode, ledger, error);
  if (status == BT_OK && was_empty && !cli->quiet)
    cli_say("note: %s was empty (0 bytes); a new ledger was begun in it", cli->ledger);
  if (status == BT_NOTFOUND && stat(cli->ledger, &there) != 0)
    return bt_fail(
        error, BT_NOTFOUND,
        "there is no ledger \"%s\" yet; `beamtally import FILE` makes one from a log (`beamtally "
        "columns FILE` shows first how it would be read), and --ledger FILE names one that stands "
        "elsewhere",
        cli->ledger);
  if (status == BT_OK && !cli->quiet)
    say_migrated(bt_ledger_migrated(*ledger));
  return status;
}

/* Holds the ledger to what was entered, and lets time pass meanwhile. */
static bt_status hold(const cli_context *cli, bt_ledger *ledger,
                      bt_status (*how)(bt_ledger *, bt_error *), bt_error *error) {
  cli_progress progress = cli_progress_begin(cli, "verifying");
  bt_watcher watcher = {cli_progress_tick, &progress};
  bt_ledger_watch(ledger, &watcher);
  bt_status status = how(ledger, error);
  bt_ledger_watch(ledger, NULL);
  cli_progress_clear(&progress);
  return status;
}

/* A later version of the program may bring a characteristic by the key of one of the clinic's own.
 */
static bt_status say_hidden(const cli_context *cli, bt_ledger *ledger, bt_error *error) {
  bt_settings settings = {0};
  bt_status status = cli->quiet ? BT_OK : bt_ledger_settings(ledger, &settings, error);
  for (size_t i = 0; i < settings.own_n; i++) {
    bt_characteristic built_in;
    if (bt_characteristic_of(settings.own[i].key, &built_in))
      cli_say(
          "\"%s\" is a characteristic of the clinic's own by the settings, and Beamtally has one "
          "of that key since: what stands under it here is the clinic's own (%s), and "
          "Beamtally's is not charted; to change over, take that [characteristic] out of the "
          "settings, import the older logs with --again, and freeze its baselines anew",
          settings.own[i].key, settings.own[i].title);
  }
  bt_settings_free(&settings);
  return status;
}

bt_status cli_open(const cli_context *cli, bt_ledger_mode mode, bt_ledger **ledger,
                   bt_error *error) {
  bt_status status = cli_open_unheld(cli, mode, ledger, error);
  if (status == BT_OK)
    status = hold(cli, *ledger, bt_ledger_hold_entries, error);
  if (status == BT_OK)
    status = say_hidden(cli, *ledger, error);
  return status;
}

bt_status cli_open_whole(const cli_context *cli, bt_ledger **ledger, const char *nothing,
                         bt_error *error) {
  bt_status status = cli_open_unheld(cli, BT_LEDGER_READ, ledger, error);
  if (status != BT_OK)
    return status;
  status = hold(cli, *ledger, bt_ledger_hold_whole, error);
  if (status == BT_DAMAGED)
    bt_error_prefix(error, "%s", nothing);
  return status;
}

bt_status cli_still_as_read(bt_ledger *ledger, const char *state, bt_error *error) {
  bt_provenance now = {0};
  bt_status status = bt_ledger_provenance(ledger, NULL, &now, error);
  if (status == BT_OK && strcmp(now.state, state) != 0)
    status =
        bt_fail(error, BT_REFUSED, "something was entered into the ledger meanwhile; do it again");
  return status == BT_OK ? bt_ledger_still_whole(ledger, error) : status;
}

bt_status cli_settings_if_any(const cli_context *cli, bt_settings *settings, bt_error *error) {
  bt_ledger *ledger = NULL;
  *settings = (bt_settings){0};
  bt_status status = cli_open(cli, BT_LEDGER_READ, &ledger, error);
  if (status == BT_NOTFOUND)
    return BT_OK;
  if (status == BT_OK)
    status = bt_ledger_settings(ledger, settings, error);
  bt_ledger_close(ledger);
  return status;
}

bt_status cli_units(bt_ledger *ledger, const char *unit, char ***names, size_t *n,
                    bt_error *error) {
  if (unit == NULL) {
    bt_status status = bt_ledger_units(ledger, names, n, error);
    if (status == BT_OK && *n == 0) {
      bt_names_free(*names, *n);
      return bt_fail(error, BT_NOTFOUND,
                     "the ledger holds no unit yet; `beamtally import FILE` brings one in");
    }
    return status;
  }
  char *found;
  bt_status status = bt_ledger_find_unit(ledger, unit, &found, error);
  if (status != BT_OK)
    return status;
  *names = bt_new(1, sizeof **names);
  if (*names == NULL) {
    free(found);
    return bt_fail_memory(error);
  }
  (*names)[0] = found;
  *n = 1;
  return BT_OK;
}

/* The characteristic that a column of a log is read as, or that its usual words mean; NULL for
 * others. */
static const char *of_column(const char *word) {
  static const struct {
    const char *word;
    bt_characteristic of;
  } others[] = {{"energy_mj", BT_ENERGY_RATIO},    {"energy_pct", BT_ENERGY_RATIO},
                {"pulse energy", BT_ENERGY_RATIO}, {"energy", BT_ENERGY_RATIO},
                {"spot_mm", BT_FLUENCE},           {"fluence_mj_cm2", BT_FLUENCE}};
  for (int c = 0; c < BT_CHARACTERISTIC_COUNT; c++) {
    bt_reading reading = bt_characteristic_reading((bt_characteristic)c);
    if (reading != BT_READING_NONE && bt_same_name(bt_reading_key(reading), word))
      return bt_characteristic_key((bt_characteristic)c);
  }
  for (size_t i = 0; i < sizeof others / sizeof *others; i++)
    if (bt_same_name(others[i].word, word))
      return bt_characteristic_key(others[i].of);
  return NULL;
}

/* With the nearest by column, key or title; else all keys, the clinic's own after the built-in
 * ones. */
static bt_status no_characteristic(const bt_settings *settings, const char *key, bt_error *error) {
  const char *keys[BT_CHARACTERISTIC_COUNT + BT_OWN_MOST];
  const char *titles[BT_CHARACTERISTIC_COUNT + BT_OWN_MOST];
  size_t n = 0;
  bt_text list = {0};
  for (; n < BT_CHARACTERISTIC_COUNT + settings->own_n && n < sizeof keys / sizeof *keys; n++) {
    bt_quantity quantity = bt_settings_quantity(settings, (bt_characteristic)n);
    keys[n] = quantity.key;
    titles[n] = quantity.title;
    bt_text_format(&list, "%s%s", n == 0 ? "" : ", ", keys[n]);
  }
  const char *nearest = of_column(key);
  if (nearest == NULL)
    nearest = cli_nearest(key, keys, n);
  const char *title = *nearest == '\0' ? cli_nearest(key, titles, n) : "";
  for (size_t i = 0; i < n && *title != '\0'; i++)
    if (titles[i] == title)
      nearest = keys[i];
  bt_status status =
      *nearest != '\0'
          ? bt_fail(error, BT_USAGE, "there is no characteristic \"%s\"; did you mean \"%s\"?", key,
                    nearest)
          : bt_fail(error, BT_USAGE,
                    "there is no characteristic \"%s\"; there are %s; `beamtally status` shows "
                    "which of them a laser has",
                    key, bt_text_get(&list));
  bt_text_free(&list);
  return status;
}

/* The title that reports print is taken for its key as well. */
static bool has_title(const bt_settings *settings, const char *title,
                      bt_characteristic *characteristic) {
  for (size_t c = 0; c < BT_CHARACTERISTIC_COUNT + settings->own_n; c++)
    if (bt_same_name(bt_settings_quantity(settings, (bt_characteristic)c).title, title) &&
        !bt_settings_hide(settings, (bt_characteristic)c)) {
      *characteristic = (bt_characteristic)c;
      return true;
    }
  return false;
}

bt_status cli_characteristic(bt_ledger *ledger, const char *key, bt_characteristic *characteristic,
                             bt_error *error) {
  bt_settings settings = {0};
  bt_status status = bt_ledger_settings(ledger, &settings, error);
  if (status == BT_OK && !bt_settings_characteristic(&settings, key, characteristic) &&
      !has_title(&settings, key, characteristic))
    status = no_characteristic(&settings, key, error);
  bt_settings_free(&settings);
  return status;
}

bool cli_wants_a_look(const bt_unit_study *study) {
  bool look = study->selftest.last_failed ||
              study->provenance.refused > study->provenance.left_out ||
              study->provenance.conflicts > 0;
  for (size_t i = 0; i < study->studies_n && !look; i++)
    look = study->studies[i]->tolerance.last_is_outside ||
           bt_study_open_strength(study->studies[i]) == BT_ALARM;
  return look;
}
