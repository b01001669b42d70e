/* settings: tolerances that most stored checks lie outside of, which are more often a slip of the
 * unit (percent, millimetres) than a laser: while they are in force no baseline comes together. And
 * those of the energy ratio that are too wide to be meant, which hold whatever is measured: a
 * deviation in percent, typed where the ratio belongs.
 *
 * The checks that count are those since the tolerance's first day; where there is none yet, all
 * before it. From 8 checks on, as a baseline. Common practice, no source. */
#include "settings.h"

#include "beamtally/study.h"

#include <stdlib.h>

enum { LEAST_CHECKS = 8 };

/* Measured / target energy beyond these is no tolerance anybody works by. Common practice, no
 * source. */
static const double ratio_least = 0.5, ratio_most = 1.5;

/* A low above the most, or a high below the least, is what hardly a check lies inside of. */
static bool is_far_off(const bt_tolerance *tolerance) {
  return (tolerance->has_low && tolerance->low > ratio_most) ||
         (tolerance->has_high && tolerance->high < ratio_least);
}

static int by_value(const void *a, const void *b) {
  double one = *(const double *)a, other = *(const double *)b;
  return (one > other) - (one < other);
}

static void add_question(const bt_study *of, const bt_tolerance *tolerance,
                         const cli_readings *values, bt_text *out) {
  const char *unit = of->quantity.unit;
  bool has_unit = unit != NULL && *unit != '\0';
  const char *other = cli_settings_other_unit(of, tolerance, values);
  if (has_unit && other != NULL)
    bt_text_format(out, "is the tolerance in %s? The readings are in %s.", other, unit);
  else if (!has_unit && other != NULL)
    bt_text_format(out, "is the tolerance in percent? %s is %s", of->quantity.key,
                   of->characteristic == BT_ENERGY_RATIO ? "measured / target energy, near 1."
                                                         : "charted as it is logged.");
  else if (has_unit)
    bt_text_format(out, "is the tolerance in %s, as the readings are?", unit);
  else
    bt_text_add(out, "is the tolerance that of another laser or characteristic?");
}

static void say(const bt_study *of, const bt_tolerance *tolerance, const cli_readings *values) {
  bt_text words = {0};
  char from[BT_TIME_TEXT];
  bt_text_format(&words, "note: %zu of %zu checks of %s lie inside the tolerance of %s",
                 cli_readings_inside(values, tolerance, 1), values->n, tolerance->unit,
                 of->quantity.key);
  if (tolerance->from != 0) /* else from the beginning */
    bt_text_format(&words, " from %s", bt_time_day_iso(tolerance->from, from));
  bt_text_add(&words, " (");
  cli_settings_add_limits(tolerance, 1, &words);
  bt_text_format(&words, "), and half of them are %.*f or less: ", of->quantity.decimals,
                 values->value[(values->n - 1) / 2]);
  add_question(of, tolerance, values, &words);
  bt_text_add(&words, " It was taken as it stands; where it is wrong, correct the file and give it "
                      "again");
  if (bt_text_ok(&words))
    cli_say("%s", bt_text_get(&words));
  bt_text_free(&words);
}

static bt_status doubt(const bt_study *of, const bt_settings *settings,
                       const bt_tolerance *tolerance, bt_error *error) {
  cli_readings values = {0};
  if (!cli_readings_collect(of, settings, tolerance, &values))
    return bt_fail_memory(error);
  if (values.n >= LEAST_CHECKS && 2 * cli_readings_inside(&values, tolerance, 1) < values.n) {
    qsort(values.value, values.n, sizeof *values.value, by_value);
    say(of, tolerance, &values);
  }
  free(values.value);
  return BT_OK;
}

static bt_status doubt_of_unit(bt_ledger *ledger, const char *name, bt_time until,
                               bt_solved_limits *solved, bt_error *error) {
  const bt_study_request request = {.unit = name, .until = until, .solved = solved};
  bt_unit_study *unit = NULL;
  bt_status status = bt_study_unit(ledger, &request, &unit, error);
  for (size_t t = 0; status == BT_OK && t < unit->settings.tolerances_n; t++) {
    const bt_tolerance *tolerance = &unit->settings.tolerances[t];
    for (size_t s = 0; s < unit->studies_n && status == BT_OK; s++)
      if (unit->studies[s]->characteristic == tolerance->characteristic &&
          bt_same_name(tolerance->unit, name))
        status = doubt(unit->studies[s], &unit->settings, tolerance, error);
  }
  bt_unit_study_free(unit);
  return status;
}

/* Asks about a tolerance of the energy ratio that no check speaks for or against; why: the words
 * between it and what an energy ratio is. */
static void ask_of_ratio(const bt_tolerance *tolerance, const char *why) {
  bt_text words = {0};
  bt_text_format(&words, "note: the tolerance of energy_ratio of %s (", tolerance->unit);
  cli_settings_add_limits(tolerance, 1, &words);
  bt_text_format(
      &words,
      ") %s energy_ratio is measured / target energy, near 1, and 3 %% less or more than "
      "that is low = 0.97, high = 1.03. It was taken as it stands; where it is wrong, "
      "correct the file and give it again",
      why);
  if (bt_text_ok(&words))
    cli_say("%s", bt_text_get(&words));
  bt_text_free(&words);
}

/* Fewer checks than speak for or against a tolerance: one that the energy ratio can hardly be meant
 * by is asked about all the same. */
static void ask_unheld(const bt_tolerance *tolerance) {
  char why[100];
  (void)snprintf(why, sizeof why,
                 "can't be held against checks yet: fewer than %d are stored. Is it in percent?",
                 (int)LEAST_CHECKS);
  ask_of_ratio(tolerance, why);
}

/* Checks of that laser that have an energy ratio; 0 where it has no log yet. */
static bt_status count_ratios(bt_ledger *ledger, const char *unit, bt_time until, size_t *n,
                              bt_error *error) {
  bt_unit_study *study = NULL;
  bt_status status = cli_settings_study(ledger, unit, BT_ENERGY_RATIO, until, &study, error);
  *n = study == NULL ? 0 : study->studies[0]->checks.n;
  bt_unit_study_free(study);
  return status;
}

static bt_status ask_of_unheld(bt_ledger *ledger, const bt_settings *settings, bt_time until,
                               bt_error *error) {
  bt_status status = BT_OK;
  for (size_t t = 0; status == BT_OK && t < settings->tolerances_n; t++) {
    const bt_tolerance *tolerance = &settings->tolerances[t];
    size_t n = 0;
    if (tolerance->characteristic != BT_ENERGY_RATIO || !is_far_off(tolerance))
      continue;
    status = count_ratios(ledger, tolerance->unit, until, &n, error);
    if (status == BT_OK && n < LEAST_CHECKS)
      ask_unheld(tolerance);
  }
  return status;
}

static bool has_tolerance(const bt_settings *settings, const char *name) {
  for (size_t t = 0; t < settings->tolerances_n; t++)
    if (bt_same_name(settings->tolerances[t].unit, name))
      return true;
  return false;
}

static bool is_too_wide(const bt_tolerance *tolerance) {
  return tolerance->characteristic == BT_ENERGY_RATIO &&
         ((tolerance->has_low && tolerance->low < ratio_least) ||
          (tolerance->has_high && tolerance->high > ratio_most)) &&
         !is_far_off(tolerance);
}

void cli_settings_doubt_widths(const bt_settings *settings) {
  for (size_t t = 0; t < settings->tolerances_n; t++)
    if (is_too_wide(&settings->tolerances[t]))
      ask_of_ratio(&settings->tolerances[t],
                   "has a limit so far off that hardly a check can lie beyond it:");
}

void cli_settings_say_to_come(const cli_context *cli, const bt_settings *settings) {
  for (size_t t = 0; t < settings->tolerances_n; t++) {
    const bt_tolerance *tolerance = &settings->tolerances[t];
    char from[BT_TIME_TEXT];
    if (tolerance->from >= cli_today_ends(cli))
      cli_say("note: the tolerance of %s of %s begins on %s, which has not come yet: it judges no "
              "check before; where the day is wrong, correct the file and give it again",
              bt_settings_quantity(settings, tolerance->characteristic).key, tolerance->unit,
              bt_time_day_iso(tolerance->from, from));
  }
}

bt_status cli_settings_doubt_tolerances(const cli_context *cli, bt_ledger *ledger,
                                        const bt_settings *settings, bt_error *error) {
  bt_time until = cli_today_ends(cli);
  bt_solved_limits solved = {0};
  char **names = NULL;
  size_t n = 0;
  bt_status status = bt_ledger_units(ledger, &names, &n, error);
  for (size_t i = 0; i < n && status == BT_OK; i++)
    if (has_tolerance(settings, names[i]))
      status = doubt_of_unit(ledger, names[i], until, &solved, error);
  if (status == BT_OK)
    status = ask_of_unheld(ledger, settings, until, error);
  bt_names_free(names, n);
  bt_solved_limits_free(&solved);
  return status;
}
