/* What is no longer in force when settings take the place of others: a file replaces them whole,
 * and what it leaves out is easily forgotten. */
#include "settings.h"

#include <string.h>

static void add(bt_text *out, const char *what, const char *key, const char *of) {
  bt_text_format(out, "%s%s", out->length > 0 ? ", " : "", what);
  if (key != NULL)
    bt_text_format(out, " %s", key);
  if (of != NULL) {
    bt_text_add(out, " of ");
    (void)cli_plain(out, of, SIZE_MAX);
  }
}

/* Numbers of the clinic's own characteristics are those of one file: keys tell them apart. */
static bool has_tolerance(const bt_settings *settings, size_t n, const char *unit,
                          const char *key) {
  for (size_t t = 0; t < n; t++)
    if (bt_same_name(settings->tolerances[t].unit, unit) &&
        strcmp(bt_settings_quantity(settings, settings->tolerances[t].characteristic).key, key) ==
            0)
      return true;
  return false;
}

static void add_tolerances(bt_text *out, const bt_settings *before, const bt_settings *after) {
  for (size_t t = 0; t < before->tolerances_n; t++) {
    const bt_tolerance *tolerance = &before->tolerances[t];
    const char *key = bt_settings_quantity(before, tolerance->characteristic).key;
    if (!has_tolerance(after, after->tolerances_n, tolerance->unit, key) &&
        !has_tolerance(before, t, tolerance->unit, key)) /* said once */
      add(out, "tolerance of", key, tolerance->unit);
  }
}

static void add_own(bt_text *out, const bt_settings *before, const bt_settings *after) {
  for (size_t i = 0; i < before->own_n; i++) {
    bool there = false;
    for (size_t k = 0; k < after->own_n && !there; k++)
      there = strcmp(before->own[i].key, after->own[k].key) == 0;
    if (!there)
      add(out, "characteristic", before->own[i].key, NULL);
  }
}

void cli_describe_settings_gone(bt_text *out, const bt_settings *before, const bt_settings *after) {
  add_tolerances(out, before, after);
  for (size_t i = 0; i < before->units_n; i++)
    if (bt_settings_unit(after, before->units[i].name) == NULL)
      add(out, "what was said", NULL, before->units[i].name);
  add_own(out, before, after);
  if (before->weekdays != 0 && after->weekdays == 0)
    add(out, "the schedule", NULL, NULL);
  if (before->clinic != NULL && after->clinic == NULL)
    add(out, "the clinic's name", NULL, NULL);
}
