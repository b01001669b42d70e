/* settings: a tolerance that most stored readings lie outside of is asked about before it is taken.
 * Where its unit is another than that of the readings, each page would call for the clinic's
 * failure procedure at once.
 *
 * Asked from 20 readings on, where over half lie outside: our own choice, no source. */
#include "settings.h"

#include "beamtally/study.h"

#include <stdlib.h>
#include <string.h>

enum { LEAST_READINGS = 20 };

static bool same_limits(const bt_tolerance *a, const bt_tolerance *b) {
  return a->has_low == b->has_low && a->has_high == b->has_high &&
         (!a->has_low || !(a->low < b->low || a->low > b->low)) &&
         (!a->has_high || !(a->high < b->high || a->high > b->high));
}

/* In force already with these limits: it was asked about when it came. */
static bool is_known(const bt_settings *now, const bt_tolerance *tolerance, const char *key) {
  for (size_t t = 0; t < now->tolerances_n; t++)
    if (bt_same_name(now->tolerances[t].unit, tolerance->unit) &&
        strcmp(bt_settings_quantity(now, now->tolerances[t].characteristic).key, key) == 0 &&
        same_limits(&now->tolerances[t], tolerance))
      return true;
  return false;
}

static void add_doubt(const bt_study *of, const bt_settings *settings,
                      const bt_tolerance *tolerance, const cli_readings *readings, bt_text *out) {
  const char *other = cli_settings_other_unit(of, tolerance, readings);
  bt_text_format(out, "%zu of %zu readings of %s of ",
                 readings->n - cli_readings_inside(readings, tolerance, 1), readings->n,
                 of->quantity.key);
  (void)cli_plain(out, tolerance->unit, SIZE_MAX);
  bt_text_add(out, " lie outside ");
  cli_settings_add_range(settings, tolerance, out);
  if (other != NULL)
    bt_text_format(out, "; is the tolerance in %s?\n", other);
  else
    bt_text_add(out, ";\nis it the tolerance of another laser or characteristic?\n");
}

static bt_status hold_against(const bt_study *of, const bt_settings *settings,
                              const bt_tolerance *tolerance, bt_text *doubts, bt_error *error) {
  cli_readings readings = {0};
  if (!cli_readings_collect(of, settings, tolerance, &readings))
    return bt_fail_memory(error);
  if (readings.n >= LEAST_READINGS && 2 * cli_readings_inside(&readings, tolerance, 1) < readings.n)
    add_doubt(of, settings, tolerance, &readings, doubts);
  free(readings.value);
  return BT_OK;
}

bt_status cli_settings_add_doubts(const cli_context *cli, bt_ledger *ledger, const bt_settings *now,
                                  const bt_settings *settings, bt_text *doubts, bt_error *error) {
  bt_status status = BT_OK;
  for (size_t t = 0; t < settings->tolerances_n && status == BT_OK; t++) {
    const bt_tolerance *tolerance = &settings->tolerances[t];
    const char *key = bt_settings_quantity(settings, tolerance->characteristic).key;
    bt_characteristic stored; /* the clinic's own are numbered anew in each file */
    bt_unit_study *study = NULL;
    if (is_known(now, tolerance, key) || !bt_settings_characteristic(now, key, &stored))
      continue;
    status =
        cli_settings_study(ledger, tolerance->unit, stored, cli_today_ends(cli), &study, error);
    if (study != NULL && study->studies_n > 0)
      status = hold_against(study->studies[0], settings, tolerance, doubts, error);
    bt_unit_study_free(study);
  }
  return status;
}
