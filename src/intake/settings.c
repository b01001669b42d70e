/* Settings files.
 *
 * [clinic]       name, tell (whom to tell when a check fails); font = file of a face for characters
 *                that the pages' own lacks
 * [unit N]       name; beam = gaussian | flat_top; fluence = logged | energy | plate;
 *                plate_alpha_per_um and plate_threshold_mj_cm2 (both or neither); spread = 1s | 2s;
 *                refill_interval_days; expected_days; fill_age = days | pulses, the latter with
 *                pulses_per_day
 * [tolerance N]  unit, characteristic, low and/or high (with their unit, or in that of the
 *                characteristic), source; from = the day it came into force
 * [characteristic N]  key, title, unit (may be empty), decimals: a column of the clinic's own
 * [schedule]     weekdays = mon tue ...
 * [budget]       alarms_per_unit_year */
#include "settings.h"
#include "beamtally/intake.h"
#include "ini.h"

#include <stdlib.h>
#include <string.h>
#include <strings.h>

/* A number of a key; `above_zero`: and neither zero nor negative. */
static bt_status take_number(const intake_pair *pair, bool above_zero, double *number,
                             bt_error *error) {
  bt_status status = bt_number_typed(pair->value, number, error);
  if (status != BT_OK) {
    bt_error_prefix(error, "%s", pair->key);
    return status;
  }
  if (above_zero && *number <= 0.0)
    return bt_fail(error, BT_INPUT, "%s must be above zero, found %s", pair->key, pair->value);
  return BT_OK;
}

/* Index of the word among `words` (NULL-terminated), or a refusal that lists them. */
static bt_status take_word(const intake_pair *pair, const char *const *words, int *index,
                           bt_error *error) {
  bt_text list = {0};
  for (int i = 0; words[i] != NULL; i++) {
    if (strcmp(pair->value, words[i]) == 0) {
      *index = i;
      bt_text_free(&list);
      return BT_OK;
    }
    bt_text_format(&list, "%s%s", i == 0 ? "" : ", ", words[i]);
  }
  bt_status status = bt_fail(error, BT_INPUT, "expected one of %s for %s, found \"%s\"",
                             bt_text_get(&list), pair->key, pair->value);
  bt_text_free(&list);
  return status;
}

static bt_status unknown_key(const intake_pair *pair, const char *known, bt_error *error) {
  return bt_fail(error, BT_INPUT, "\"%s\" is no key of [%s]; it has %s", pair->key, pair->section,
                 known);
}

static bt_status take_unit(intake_settings_file *file, const intake_pair *pair, bt_error *error) {
  static const char *const beams[] = {"flat_top", "gaussian", NULL};
  static const char *const sources[] = {"logged", "energy", "plate", NULL};
  static const char *const spreads[] = {"1s", "2s", NULL};
  static const char *const ages[] = {"days", "pulses", NULL};
  size_t last = file->settings->units_n - 1;
  bt_unit_setting *unit = &file->settings->units[last];
  const char *key = pair->key;
  int word = 0;
  bt_status status;
  if (strcmp(key, "name") == 0)
    return intake_ini_keep(&unit->name, pair->value, error);
  if (strcmp(key, "beam") == 0) {
    status = take_word(pair, beams, &word, error);
    unit->beam = word == 0 ? BT_BEAM_FLAT_TOP : BT_BEAM_GAUSSIAN;
    return status;
  }
  if (strcmp(key, "fluence") == 0) {
    status = take_word(pair, sources, &word, error);
    unit->fluence = word == 0   ? BT_FLUENCE_LOGGED
                    : word == 1 ? BT_FLUENCE_ENERGY
                                : BT_FLUENCE_PLATE;
    return status;
  }
  if (strcmp(key, "spread") == 0) {
    status = take_word(pair, spreads, &word, error);
    unit->spread = word == 0 ? BT_SPREAD_1S : BT_SPREAD_2S;
    return status;
  }
  if (strcmp(key, "plate_alpha_per_um") == 0) {
    file->has_alpha[last] = true;
    return take_number(pair, true, &unit->plate_alpha_per_um, error);
  }
  if (strcmp(key, "plate_threshold_mj_cm2") == 0) {
    file->has_threshold[last] = true;
    return take_number(pair, true, &unit->plate_threshold, error);
  }
  if (strcmp(key, "refill_interval_days") == 0)
    return take_number(pair, true, &unit->refill_interval_days, error);
  if (strcmp(key, "expected_days") == 0)
    return take_number(pair, true, &unit->expected_days, error);
  if (strcmp(key, "fill_age") == 0) {
    status = take_word(pair, ages, &word, error);
    file->by_pulses[last] = word == 1;
    return status;
  }
  if (strcmp(key, "pulses_per_day") == 0)
    return take_number(pair, true, &unit->pulses_per_day, error);
  return unknown_key(pair,
                     "name, beam, fluence, plate_alpha_per_um, plate_threshold_mj_cm2, spread, "
                     "refill_interval_days, expected_days, fill_age, pulses_per_day",
                     error);
}

static bt_status take_tolerance(intake_settings_file *file, const intake_pair *pair,
                                bt_error *error) {
  bt_tolerance *tolerance = &file->settings->tolerances[file->settings->tolerances_n - 1];
  const char *key = pair->key;
  bool has_clock = false;
  if (strcmp(key, "unit") == 0)
    return intake_ini_keep(&tolerance->unit, pair->value, error);
  if (strcmp(key, "characteristic") == 0)
    return intake_ini_keep(&file->judged[file->settings->tolerances_n - 1], pair->value, error);
  if (strcmp(key, "low") == 0 || strcmp(key, "high") == 0)
    return intake_settings_take_limit(file, pair, error);
  if (strcmp(key, "source") == 0)
    return intake_ini_keep(&tolerance->source, pair->value, error);
  if (strcmp(key, "from") == 0) {
    if (!bt_time_parse(pair->value, &tolerance->from, &has_clock) || has_clock)
      return bt_fail(error, BT_INPUT, "expected a day such as 2026-01-01 for from, found \"%s\"",
                     pair->value);
    return BT_OK;
  }
  return unknown_key(pair, "unit, characteristic, low, high, source, from", error);
}

static bt_status take_weekdays(bt_settings *settings, const intake_pair *pair, bt_error *error) {
  static const char *const days[] = {"monday", "tuesday",  "wednesday", "thursday",
                                     "friday", "saturday", "sunday"};
  if (strcmp(pair->key, "weekdays") != 0)
    return unknown_key(pair, "weekdays", error);
  for (const char *at = pair->value; *at != '\0';) {
    size_t length = strcspn(at, " \t,");
    uint32_t bit = 0;
    for (int d = 0; d < 7; d++)
      if ((length == 3 || length == strlen(days[d])) && strncasecmp(at, days[d], length) == 0)
        bit = 1U << (d + 1);
    if (length > 0 && bit == 0)
      return bt_fail(error, BT_INPUT, "\"%.*s\" is no weekday; write mon tue wed thu fri sat sun",
                     (int)length, at);
    settings->weekdays |= bit;
    at += length;
    at += strspn(at, " \t,");
  }
  return BT_OK;
}

/* "unit 12": true, with its number, when the section is one of that kind. */
static bool section_is(const char *section, const char *kind, const char **number) {
  size_t length = strlen(kind);
  if (strncmp(section, kind, length) != 0 || section[length] != ' ')
    return false;
  *number = section + length + 1;
  size_t digits = strspn(*number, "0123456789");
  return digits >= 1 && digits <= INTAKE_SECTION_DIGITS && (*number)[digits] == '\0';
}

static bool begin_unit(intake_settings_file *file, const intake_pair *pair) {
  bt_settings *settings = file->settings;
  size_t n = settings->units_n + 1;
  if (!bt_grow(&settings->units, &file->units_capacity, n, sizeof *settings->units) ||
      !bt_grow(&file->unit_lines, &file->unit_lines_capacity, n, sizeof *file->unit_lines) ||
      !bt_grow(&file->has_alpha, &file->has_alpha_capacity, n, sizeof *file->has_alpha) ||
      !bt_grow(&file->has_threshold, &file->has_threshold_capacity, n,
               sizeof *file->has_threshold) ||
      !bt_grow(&file->by_pulses, &file->by_pulses_capacity, n, sizeof *file->by_pulses))
    return false;
  file->unit_lines[settings->units_n] = pair->line;
  settings->units_n = n;
  return true;
}

static bool begin_tolerance(intake_settings_file *file, const intake_pair *pair) {
  bt_settings *settings = file->settings;
  size_t n = settings->tolerances_n + 1;
  if (!bt_grow(&settings->tolerances, &file->tolerances_capacity, n,
               sizeof *settings->tolerances) ||
      !bt_grow(&file->tolerance_lines, &file->tolerance_lines_capacity, n,
               sizeof *file->tolerance_lines) ||
      !bt_grow(&file->judged, &file->judged_capacity, n, sizeof *file->judged) ||
      !bt_grow(&file->limit_units, &file->limit_units_capacity, n, sizeof *file->limit_units))
    return false;
  file->tolerance_lines[n - 1] = pair->line;
  settings->tolerances_n = n;
  return true;
}

static bt_status take(void *context, const intake_pair *pair, bt_error *error) {
  intake_settings_file *file = context;
  bt_settings *settings = file->settings;
  const char *number = NULL;
  if (section_is(pair->section, "characteristic", &number)) {
    bt_status status = BT_OK;
    if (strcmp(number, file->own_number) != 0)
      status = intake_settings_begin_own(file, pair, error);
    memcpy(file->own_number, number, strlen(number) + 1);
    return status == BT_OK ? intake_settings_take_own(file, pair, error) : status;
  }
  if (pair->value[0] == '\0')
    return bt_fail(error, BT_INPUT, "\"%s\" has no value; fill it in or take the line out",
                   pair->key);
  if (section_is(pair->section, "unit", &number)) {
    if (strcmp(number, file->unit_number) != 0 && !begin_unit(file, pair))
      return bt_fail_memory(error);
    memcpy(file->unit_number, number, strlen(number) + 1);
    return take_unit(file, pair, error);
  }
  if (section_is(pair->section, "tolerance", &number)) {
    if (strcmp(number, file->tolerance_number) != 0 && !begin_tolerance(file, pair))
      return bt_fail_memory(error);
    memcpy(file->tolerance_number, number, strlen(number) + 1);
    return take_tolerance(file, pair, error);
  }
  if (strcmp(pair->section, "schedule") == 0)
    return take_weekdays(settings, pair, error);
  if (strcmp(pair->section, "budget") == 0)
    return strcmp(pair->key, "alarms_per_unit_year") == 0
               ? take_number(pair, true, &settings->alarms_per_unit_year, error)
               : unknown_key(pair, "alarms_per_unit_year", error);
  if (strcmp(pair->section, "clinic") == 0)
    return strcmp(pair->key, "name") == 0   ? intake_ini_keep(&settings->clinic, pair->value, error)
           : strcmp(pair->key, "tell") == 0 ? intake_ini_keep(&settings->tell, pair->value, error)
           : strcmp(pair->key, "font") == 0 ? intake_ini_keep(&settings->font, pair->value, error)
                                            : unknown_key(pair, "name, tell, font", error);
  return bt_fail(error, BT_INPUT,
                 "\"[%s]\" is no section of the settings; there are [clinic], [unit 1], [tolerance "
                 "1], [characteristic 1] (and 2, 3 ...), [schedule] and [budget]",
                 pair->section);
}

static const char form[] =
    "A settings file has headings, and under each its lines KEY = VALUE. A tolerance is these six "
    "lines: \"[tolerance 1]\", \"unit = Suite North\", \"characteristic = energy_ratio\", \"low = "
    "0.95\", \"high = 1.05\", \"source = instructions for use, section 7.2\"; unit is the laser as "
    "`beamtally status` names it, and `beamtally settings --help` shows such a file";

bt_status bt_settings_read(const char *path, bt_settings *settings, bt_error *error) {
  bt_settings made = {.alarms_per_unit_year = 1.0};
  intake_settings_file file = {.settings = &made};
  int line = 0;
  bt_status status = intake_ini_read(path, NULL, form, take, &file, error);
  if (status == BT_OK) {
    status = intake_settings_check(&file, &line, error);
    if (status != BT_OK)
      bt_error_prefix(error, "%s, section at line %d", bt_input_name(path), line);
  }
  free(file.unit_lines);
  free(file.tolerance_lines);
  for (size_t i = 0; i < made.tolerances_n && i < file.judged_capacity; i++)
    free(file.judged[i]);
  free(file.judged);
  intake_settings_free_limits(&file, made.tolerances_n);
  free(file.has_alpha);
  free(file.has_threshold);
  free(file.by_pulses);
  if (status != BT_OK) {
    bt_settings_free(&made);
    return status;
  }
  *settings = made;
  return BT_OK;
}
