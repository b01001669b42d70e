/* Whether a column has the pulse energy in percent of its target: a help for the person who writes
 * a map, never a decision.
 *
 * P1  The name speaks of the energy, or of what was set alone, and of no spread, deviation or other
 *     thing.
 * P2  The name, or a cell, has a percent sign or its word, or the name speaks of a ratio.
 * P3  The first numbers lie around 100, else around 1: half of it to half as much again; a spread
 *     or a deviation from the target doesn't. Common practice, no source. A cell with a percent
 *     sign is no ratio. */
#include "percent.h"
#include "letters.h"
#include "number.h"

#include <string.h>

/* Without marks, as the name is. */
static const char *const of_energy[] = {"nerg", "nerji"};
static const char *const of_target[] = {"target",   "soll",     "consign", "nominal",
                                        "setpoint", "objetivo", "cible",   "impostat",
                                        "hedef",    "streef",   "zadan"};
static const char *const of_percent[] = {"pct",      "percent", "prozent",
                                         "pourcent", "porcent", "procent"};
static const char *const of_ratio[] = {"ratio", "rapport", "verhaltnis", "verhaeltnis", "quotient"};
static const char *const of_others[] = {
    "fluen",    "spot",    "volt",  "spannung", "offset", "track", "spread", "streu",
    "energysd", "sdpct",   "stdev", "sigma",    "rms",    "stab",  "ecart",  "devia",
    "desv",     "abweich", "diff",  "low",      "high",   "max",   "temp",   "pressure"};

#define HAS_ANY(simple, parts) has_any(simple, parts, sizeof(parts) / sizeof *(parts))

static bool has_any(const char *simple, const char *const *parts, size_t n) {
  for (size_t i = 0; i < n; i++)
    if (strstr(simple, parts[i]) != NULL)
      return true;
  return false;
}

/* "% of target" and "Soll %", but no "Beam size (% of target)". */
static bool begins_with_any(const char *simple, const char *const *parts, size_t n) {
  for (size_t i = 0; i < n; i++)
    if (strncmp(simple, parts[i], strlen(parts[i])) == 0)
      return true;
  return false;
}

static bool speaks_of_energy(const char *simple) {
  bool target = HAS_ANY(simple, of_target) &&
                (begins_with_any(simple, of_target, sizeof of_target / sizeof *of_target) ||
                 begins_with_any(simple, of_percent, sizeof of_percent / sizeof *of_percent));
  return (target || HAS_ANY(simple, of_energy)) && !HAS_ANY(simple, of_others);
}

/* The number of a cell, and whether a percent sign is behind it. */
static bool number_of(const char *text, bt_decimal_mark decimal, double *number, bool *percent) {
  const char *rest = NULL;
  *percent = false;
  if (bt_number_parse(text, decimal, number))
    return true;
  *percent = intake_number_before(text, decimal, number, &rest) && strcmp(rest, "%") == 0;
  return *percent;
}

static bool is_around(double value, double centre) {
  return value >= 0.5 * centre && value <= 1.5 * centre;
}

bool intake_is_energy_percent(const bt_survey_column *column, bt_decimal_mark decimal,
                              bool *ratio) {
  char simple[INTAKE_NAME_BYTES];
  size_t n = 0, hundreds = 0, ones = 0, signs = 0;
  *ratio = false;
  if (!intake_plain_name(column->header, simple) || !speaks_of_energy(simple)) /* P1 */
    return false;
  for (size_t i = 0; i < column->first_n; i++) {
    double number = 0.0;
    bool sign = false;
    bool there = decimal == BT_DECIMAL_AUTO
                     ? number_of(column->first[i], BT_DECIMAL_POINT, &number, &sign) ||
                           number_of(column->first[i], BT_DECIMAL_COMMA, &number, &sign)
                     : number_of(column->first[i], decimal, &number, &sign);
    n += there;
    hundreds += there && is_around(number, 100.0);
    ones += there && is_around(number, 1.0);
    signs += sign;
  }
  bool percent = signs > 0 || HAS_ANY(simple, of_percent);
  *ratio = signs == 0 && ones > 0 && ones == n; /* P3 */
  return (percent || (*ratio && HAS_ANY(simple, of_ratio))) && n > 0 && (*ratio || hundreds == n);
}
