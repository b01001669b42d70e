/* What the files of `settings` share. */
#ifndef CLI_SETTINGS_H
#define CLI_SETTINGS_H

#include "cli.h"

typedef struct bt_study bt_study;

/* Stored readings of one characteristic of a laser, in its unit; freed by the caller. */
typedef struct cli_readings {
  double *value;
  size_t n;
} cli_readings;

/* ---- settings_effect.c ----------------------------------------------------------------------- */

/* Appends the sections that go ("- ") and that come ("+ ") when `after` takes the place of
 * `before`, of one that is in both only its name and the lines that differ; how many sections. A
 * failure stays with the text. */
size_t cli_describe_settings_changes(bt_text *lines, const bt_settings *before,
                                     const bt_settings *after);

/* ---- settings_gone.c ------------------------------------------------------------------------- */

/* Appends what `before` holds and `after` says nothing of: "tolerance of energy_ratio of Laser 1,
 * the schedule". A failure stays with the text. */
void cli_describe_settings_gone(bt_text *out, const bt_settings *before, const bt_settings *after);

/* ---- settings_units.c ------------------------------------------------------------------------ */

/* BT_REFUSED, with the nearest name, for a unit of the settings that neither a log nor the settings
 * in force have named; where `new_unit`, or while there is no unit at all, a note instead. Of one
 * that the ledger has under another spelling it says which stands. */
bt_status cli_settings_units_known(const cli_context *cli, bt_ledger *ledger,
                                   const bt_settings *settings, bool new_unit,
                                   bt_error *error) BT_MUST_CHECK;

/* ---- settings_percent.c ---------------------------------------------------------------------- */

/* BT_INPUT, with the ready line, for a tolerance of the energy ratio that is given in percent. */
bt_status cli_settings_refuse_percent(const cli_context *cli, bt_ledger *ledger,
                                      const bt_settings *settings, bt_error *error) BT_MUST_CHECK;

/* One characteristic of a laser; NULL where it has no log yet. Freed by the caller. */
bt_status cli_settings_study(bt_ledger *ledger, const char *unit, bt_characteristic characteristic,
                             bt_time until, bt_unit_study **study, bt_error *error) BT_MUST_CHECK;

/* Appends "low = 0.97, high = 1.03", each so many times as large. */
void cli_settings_add_limits(const bt_tolerance *tolerance, double factor, bt_text *out);

/* ---- settings_readings.c --------------------------------------------------------------------- */

/* The readings that the tolerance, one of `settings`, is held against; false without memory. */
bool cli_readings_collect(const bt_study *of, const bt_settings *settings,
                          const bt_tolerance *tolerance, cli_readings *readings) BT_MUST_CHECK;

/* How many lie inside the limits, were these so many times as large. */
size_t cli_readings_inside(const cli_readings *readings, const bt_tolerance *tolerance,
                           double factor);

/* The unit in which the limits would hold at least half of the readings ("mm", "percent"), or
 * NULL. */
const char *cli_settings_other_unit(const bt_study *of, const bt_tolerance *tolerance,
                                    const cli_readings *readings);

/* Appends "-50 to 50 µm", "0.97 to 1.03 (a bare number)", "30 kV or less". */
void cli_settings_add_range(const bt_settings *settings, const bt_tolerance *tolerance,
                            bt_text *out);

/* ---- settings_outside.c ---------------------------------------------------------------------- */

/* Appends a question, with the numbers, for each tolerance that is not in `now` already and that
 * most of the stored readings lie outside of. A failure of memory stays with the text. */
bt_status cli_settings_add_doubts(const cli_context *cli, bt_ledger *ledger, const bt_settings *now,
                                  const bt_settings *settings, bt_text *doubts,
                                  bt_error *error) BT_MUST_CHECK;

/* ---- settings_tolerances.c ------------------------------------------------------------------- */

/* Says of each tolerance of the energy ratio that is too wide to be meant. */
void cli_settings_doubt_widths(const bt_settings *settings);

/* Says of each tolerance whose first day has not come. */
void cli_settings_say_to_come(const cli_context *cli, const bt_settings *settings);

/* Says of each tolerance in force under which fewer than half of the stored checks lie inside it,
 * and asks whether its unit is right. */
bt_status cli_settings_doubt_tolerances(const cli_context *cli, bt_ledger *ledger,
                                        const bt_settings *settings, bt_error *error) BT_MUST_CHECK;

#endif
