/* settings: units that the file names and no log has named yet, or in another spelling. */
#include "settings.h"

#include <string.h>

static bool is_of(const bt_settings *settings, const char *name) {
  for (size_t i = 0; i < settings->units_n; i++)
    if (bt_same_name(settings->units[i].name, name))
      return true;
  for (size_t i = 0; i < settings->tolerances_n; i++)
    if (bt_same_name(settings->tolerances[i].unit, name))
      return true;
  return false;
}

/* Name i of those that the sections name, units first; NULL behind the last. */
static const char *name_of(const bt_settings *settings, size_t i) {
  if (i < settings->units_n)
    return settings->units[i].name;
  i -= settings->units_n;
  return i < settings->tolerances_n ? settings->tolerances[i].unit : NULL;
}

static bool is_named_before(const bt_settings *settings, size_t i) {
  for (size_t k = 0; k < i; k++)
    if (bt_same_name(name_of(settings, k), name_of(settings, i)))
      return true;
  return false;
}

static bt_status refused(const char *name, char *const *names, size_t n, bt_error *error) {
  const char *nearest = cli_nearest(name, (const char *const *)names, n);
  bool meant = *nearest != '\0';
  return bt_fail(error, BT_REFUSED,
                 "the settings name the unit \"%s\", and the ledger has no log of it%s%s%s nothing "
                 "was taken. Correct the name, or say --new-unit where it is another laser whose "
                 "log comes later",
                 name, meant ? "; did you mean \"" : ";", meant ? nearest : "", meant ? "\"?" : "");
}

/* A stored name is never changed: where the file's is another spelling of it, which one stands. */
static void say_spelling(const cli_context *cli, const char *name, const char *stored) {
  bt_text line = {0};
  if (cli->quiet || strcmp(name, stored) == 0)
    return;
  bt_text_add(&line, "note: the settings write \"");
  (void)cli_plain(&line, name, SIZE_MAX);
  bt_text_add(&line, "\"; this laser stands in the ledger as \"");
  (void)cli_plain(&line, stored, SIZE_MAX);
  bt_text_add(&line, "\", as it was first written there, and under that name on every page");
  if (bt_text_ok(&line))
    cli_say("%s", bt_text_get(&line));
  bt_text_free(&line);
}

bt_status cli_settings_units_known(const cli_context *cli, bt_ledger *ledger,
                                   const bt_settings *settings, bool new_unit, bt_error *error) {
  bt_settings now = {0};
  char **names = NULL;
  const char *name;
  size_t n = 0;
  bt_status status = bt_ledger_settings(ledger, &now, error);
  if (status == BT_OK)
    status = bt_ledger_units(ledger, &names, &n, error);
  for (size_t i = 0; status == BT_OK && (name = name_of(settings, i)) != NULL; i++) {
    bool known = is_of(&now, name) || is_named_before(settings, i);
    for (size_t k = 0; k < n; k++)
      if (bt_same_name(names[k], name)) {
        if (!is_named_before(settings, i))
          say_spelling(cli, name, names[k]);
        known = true;
      }
    if (known)
      continue;
    if (n > 0 && !new_unit)
      status = refused(name, names, n, error);
    else if (!cli->quiet)
      cli_say("note: no unit named \"%s\" is in the ledger yet; what is said of it waits for its "
              "first log",
              name);
  }
  bt_names_free(names, n);
  bt_settings_free(&now);
  return status;
}
