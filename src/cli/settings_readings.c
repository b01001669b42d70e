/* settings: the stored readings that a tolerance is held against, and whether its limits would suit
 * them in another unit. The readings that count are those since the tolerance's first day; where
 * there is none yet, all before it. */
#include "settings.h"

#include "beamtally/study.h"

#include <stdlib.h>
#include <string.h>

/* Limits in the other unit, so many times as large, are limits in the unit that is charted. */
static const struct {
  const char *unit, *other;
  double factor;
} units[] = {{"µm", "mm", 1000},        {"mJ", "J", 1000},          {"mJ/cm²", "J/cm²", 1000},
             {"kV", "V", 1.0 / 1000.0}, {"mm", "µm", 1.0 / 1000.0}, {"", "percent", 1.0 / 100.0}};

static void collect(const bt_study *of, const bt_settings *settings, const bt_tolerance *tolerance,
                    bool all, cli_readings *to) {
  bt_tolerance_stretch stretch = {0};
  for (size_t i = 0; i < of->checks.n; i++) {
    const bt_tolerance *then = bt_settings_tolerance_along(
        settings, tolerance->unit, tolerance->characteristic, of->checks.at[i], &stretch);
    if (all || then == tolerance)
      to->value[to->n++] = of->checks.raw[i];
  }
}

bool cli_readings_collect(const bt_study *of, const bt_settings *settings,
                          const bt_tolerance *tolerance, cli_readings *readings) {
  *readings = (cli_readings){.value = bt_new(of->checks.n, sizeof *readings->value)};
  if (readings->value == NULL)
    return false;
  collect(of, settings, tolerance, false, readings);
  if (readings->n == 0)
    collect(of, settings, tolerance, true, readings);
  return true;
}

size_t cli_readings_inside(const cli_readings *readings, const bt_tolerance *tolerance,
                           double factor) {
  size_t n = 0;
  for (size_t i = 0; i < readings->n; i++)
    n += (!tolerance->has_low || readings->value[i] >= tolerance->low * factor) &&
         (!tolerance->has_high || readings->value[i] <= tolerance->high * factor);
  return n;
}

const char *cli_settings_other_unit(const bt_study *of, const bt_tolerance *tolerance,
                                    const cli_readings *readings) {
  for (size_t i = 0; i < sizeof units / sizeof *units; i++)
    if (strcmp(of->quantity.unit, units[i].unit) == 0 &&
        2 * cli_readings_inside(readings, tolerance, units[i].factor) >= readings->n)
      return units[i].other;
  return NULL;
}

void cli_settings_add_range(const bt_settings *settings, const bt_tolerance *tolerance,
                            bt_text *out) {
  const char *unit = bt_settings_quantity(settings, tolerance->characteristic).unit;
  if (tolerance->has_low)
    bt_text_format(out, "%.9g", tolerance->low);
  if (tolerance->has_low && tolerance->has_high)
    bt_text_add(out, " to ");
  if (tolerance->has_high)
    bt_text_format(out, "%.9g", tolerance->high);
  if (*unit == '\0')
    bt_text_add(out, " (a bare number)"); /* a ratio, a count */
  else
    bt_text_format(out, " %s", unit);
  if (!tolerance->has_low || !tolerance->has_high)
    bt_text_add(out, tolerance->has_low ? " or more" : " or less");
}
