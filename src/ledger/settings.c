/* Settings: each version is kept whole; the latest is in force. */
#include "entry_private.h"
#include "ledger_private.h"
#include "settings_private.h"
#include "sql_private.h"
#include "valid_private.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Words of the enumerations in setup.h, as stored. */
static const char *const beams[] = {[BT_BEAM_UNDECLARED] = "undeclared",
                                    [BT_BEAM_FLAT_TOP] = "flat_top",
                                    [BT_BEAM_GAUSSIAN] = "gaussian"};
static const char *const fluences[] = {
    [BT_FLUENCE_LOGGED] = "logged", [BT_FLUENCE_ENERGY] = "energy", [BT_FLUENCE_PLATE] = "plate"};
static const char *const spreads[] = {
    [BT_SPREAD_UNSTATED] = "unstated", [BT_SPREAD_1S] = "1s", [BT_SPREAD_2S] = "2s"};
enum { WORDS = 3 };

/* The place of a stored word in its list; WORDS when it isn't there. */
static unsigned word_of(const char *const *words, sqlite3_stmt *row, int column) {
  const char *stored = (const char *)sqlite3_column_text(row, column);
  for (unsigned i = 0; i < WORDS; i++)
    if (stored != NULL && strcmp(stored, words[i]) == 0)
      return i;
  return WORDS;
}

static bool numbers_finite(const bt_settings *settings) {
  bool finite = isfinite(settings->alarms_per_unit_year);
  for (size_t i = 0; i < settings->units_n; i++) {
    const bt_unit_setting *unit = &settings->units[i];
    finite = finite && isfinite(unit->refill_interval_days) && isfinite(unit->expected_days) &&
             isfinite(unit->pulses_per_day) &&
             (!unit->has_plate ||
              (isfinite(unit->plate_alpha_per_um) && isfinite(unit->plate_threshold)));
  }
  for (size_t i = 0; i < settings->tolerances_n; i++) {
    const bt_tolerance *tolerance = &settings->tolerances[i];
    finite = finite && (!tolerance->has_low || isfinite(tolerance->low)) &&
             (!tolerance->has_high || isfinite(tolerance->high));
  }
  return finite;
}

/* The clinic's own are few, told apart by their keys, and all that tolerances are of. A key that a
 * built-in one has as well was the own one's before: whoever takes it in sees to that. */
static bt_status characteristics_valid(const bt_settings *settings, bt_error *error) {
  if (settings->own_n > BT_OWN_MOST)
    return bt_fail(error, BT_INPUT, "the settings hold over %d characteristics of the clinic's own",
                   (int)BT_OWN_MOST);
  for (size_t i = 0; i < settings->own_n; i++) {
    bt_characteristic first = BT_CHARACTERISTIC_COUNT;
    if (!bt_settings_characteristic(settings, settings->own[i].key, &first) ||
        first != (bt_characteristic)(BT_CHARACTERISTIC_COUNT + i))
      return bt_fail(error, BT_INPUT, "the settings hold the characteristic %s twice",
                     settings->own[i].key);
  }
  for (size_t i = 0; i < settings->tolerances_n; i++)
    if (settings->tolerances[i].characteristic >= BT_CHARACTERISTIC_COUNT + settings->own_n)
      return bt_fail(error, BT_INPUT, "a tolerance is of no characteristic that the settings know");
  return BT_OK;
}

static bt_status put_unit(bt_ledger *ledger, int64_t version, int64_t number,
                          const bt_unit_setting *unit, bt_error *error) {
  return ledger_put(ledger, error,
                    "INSERT INTO main.unit_setting (version, number, name, beam, fluence, "
                    "plate_alpha_per_um, plate_threshold, spread, refill_interval_days, "
                    "expected_days, pulses_per_day) "
                    "VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11)",
                    "iitttootrro", version, number, unit->name, beams[unit->beam],
                    fluences[unit->fluence], (int)unit->has_plate, unit->plate_alpha_per_um,
                    (int)unit->has_plate, unit->plate_threshold, spreads[unit->spread],
                    unit->refill_interval_days, unit->expected_days,
                    (int)(unit->pulses_per_day > 0), unit->pulses_per_day);
}

static bt_status put_own(bt_ledger *ledger, int64_t version, int64_t number,
                         const bt_own_characteristic *own, bt_error *error) {
  return ledger_put(ledger, error,
                    "INSERT INTO main.own_characteristic (version, number, key, title, unit, "
                    "decimals) VALUES (?1, ?2, ?3, ?4, ?5, ?6)",
                    "iittti", version, number, own->key, own->title, own->unit,
                    (int64_t)own->decimals);
}

static bt_status put_tolerance(bt_ledger *ledger, int64_t version, int64_t number,
                               const bt_settings *settings, const bt_tolerance *tolerance,
                               bt_error *error) {
  return ledger_put(ledger, error,
                    "INSERT INTO main.tolerance (version, number, unit, characteristic, low, high, "
                    "source, from_day) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8)",
                    "iittooti", version, number, tolerance->unit,
                    bt_settings_quantity(settings, tolerance->characteristic).key,
                    (int)tolerance->has_low, tolerance->low, (int)tolerance->has_high,
                    tolerance->high, tolerance->source, tolerance->from);
}

static bt_status put_version(bt_ledger *ledger, const bt_settings *settings,
                             const ledger_entry *entry, bt_error *error) {
  int64_t version = 0;
  bt_status status = ledger_number(ledger, LEDGER_NEXT_NUMBER("setting_version"), &version, error);
  if (status == BT_OK)
    status = ledger_put(ledger, error,
                        "INSERT INTO main.setting_version (number, entry, weekdays, "
                        "alarms_per_unit_year, tell, clinic, font) "
                        "VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)",
                        "iiirttt", version, entry->number, (int64_t)settings->weekdays,
                        settings->alarms_per_unit_year, settings->tell, settings->clinic,
                        settings->font);
  for (size_t i = 0; i < settings->units_n && status == BT_OK; i++)
    status = put_unit(ledger, version, (int64_t)i + 1, &settings->units[i], error);
  for (size_t i = 0; i < settings->own_n && status == BT_OK; i++)
    status = put_own(ledger, version, (int64_t)i + 1, &settings->own[i], error);
  for (size_t i = 0; i < settings->tolerances_n && status == BT_OK; i++)
    status =
        put_tolerance(ledger, version, (int64_t)i + 1, settings, &settings->tolerances[i], error);
  return status;
}

bt_status bt_ledger_add_settings(bt_ledger *ledger, const bt_settings *settings, const char *by,
                                 const char *why, bt_time now, bt_error *error) {
  ledger_entry entry = {.kind = "settings", .at = now, .by = by, .why = why};
  bt_status status = ledger_asked(by, "who enters the settings (--by)", error);
  if (status == BT_OK)
    status = ledger_asked(why, "why the settings change (--why)", error);
  if (status == BT_OK && !numbers_finite(settings))
    status = bt_fail(error, BT_INPUT, "a setting is not a finite number; correct the settings");
  if (status == BT_OK)
    status = characteristics_valid(settings, error);
  if (status == BT_OK)
    status = ledger_begin(ledger, error);
  if (status != BT_OK)
    return status;
  status = ledger_entry_next(ledger, &entry.number, error);
  if (status == BT_OK)
    status = put_version(ledger, settings, &entry, error);
  if (status == BT_OK)
    status = ledger_entry_seal(ledger, &entry, NULL, error);
  return ledger_end(ledger, status, error);
}

/* A copy of a text column, NULL where the column is. False without memory. */
static bool take_text(sqlite3_stmt *row, int column, char **text) {
  *text = bt_copy((const char *)sqlite3_column_text(row, column));
  return *text != NULL || sqlite3_column_type(row, column) == SQLITE_NULL;
}

static bt_status unknown_word(const bt_ledger *ledger, bt_error *error) {
  return bt_fail(error, BT_DAMAGED, "%s: the settings hold an unknown word; use a backup",
                 ledger->path);
}

static bt_status read_unit(bt_ledger *ledger, sqlite3_stmt *row, bt_settings *settings,
                           size_t *capacity, bt_error *error) {
  if (!bt_grow(&settings->units, capacity, settings->units_n + 1, sizeof *settings->units))
    return bt_fail_memory(error);
  bt_unit_setting *unit = &settings->units[settings->units_n++];
  unsigned beam = word_of(beams, row, 1);
  unsigned fluence = word_of(fluences, row, 2);
  unsigned spread = word_of(spreads, row, 5);
  if (beam == WORDS || fluence == WORDS || spread == WORDS)
    return unknown_word(ledger, error);
  unit->beam = (bt_beam)beam;
  unit->fluence = (bt_fluence_from)fluence;
  unit->spread = (bt_spread_is)spread;
  unit->has_plate = sqlite3_column_type(row, 3) != SQLITE_NULL;
  unit->plate_alpha_per_um = sqlite3_column_double(row, 3);
  unit->plate_threshold = sqlite3_column_double(row, 4);
  unit->refill_interval_days = sqlite3_column_double(row, 6);
  unit->expected_days = sqlite3_column_double(row, 7);
  unit->pulses_per_day = sqlite3_column_double(row, 8); /* none: 0 */
  return take_text(row, 0, &unit->name) ? BT_OK : bt_fail_memory(error);
}

static bt_status read_own(bt_ledger *ledger, sqlite3_stmt *row, bt_settings *settings,
                          size_t *capacity, bt_error *error) {
  (void)ledger;
  if (!bt_grow(&settings->own, capacity, settings->own_n + 1, sizeof *settings->own))
    return bt_fail_memory(error);
  bt_own_characteristic *own = &settings->own[settings->own_n++];
  own->decimals = sqlite3_column_int(row, 3);
  return take_text(row, 0, &own->key) && take_text(row, 1, &own->title) &&
                 take_text(row, 2, &own->unit)
             ? BT_OK
             : bt_fail_memory(error);
}

static bt_status read_tolerance(bt_ledger *ledger, sqlite3_stmt *row, bt_settings *settings,
                                size_t *capacity, bt_error *error) {
  if (!bt_grow(&settings->tolerances, capacity, settings->tolerances_n + 1,
               sizeof *settings->tolerances))
    return bt_fail_memory(error);
  bt_tolerance *tolerance = &settings->tolerances[settings->tolerances_n++];
  const char *key = (const char *)sqlite3_column_text(row, 1);
  if (key == NULL || !bt_settings_characteristic(settings, key, &tolerance->characteristic))
    return unknown_word(ledger, error);
  tolerance->has_low = sqlite3_column_type(row, 2) != SQLITE_NULL;
  tolerance->low = sqlite3_column_double(row, 2);
  tolerance->has_high = sqlite3_column_type(row, 3) != SQLITE_NULL;
  tolerance->high = sqlite3_column_double(row, 3);
  tolerance->from = sqlite3_column_int64(row, 5);
  return take_text(row, 0, &tolerance->unit) && take_text(row, 4, &tolerance->source)
             ? BT_OK
             : bt_fail_memory(error);
}

typedef bt_status read_one(bt_ledger *ledger, sqlite3_stmt *row, bt_settings *settings,
                           size_t *capacity, bt_error *error);

/* Reads all rows of a version into one of the lists. */
static bt_status read_list(bt_ledger *ledger, const char *sql, int64_t version, read_one *read,
                           bt_settings *settings, bt_error *error) {
  sqlite3_stmt *statement = NULL;
  size_t capacity = 0;
  bt_status status = ledger_prepare(ledger, sql, &statement, error);
  if (status == BT_OK)
    status = ledger_bind(ledger, error, statement, "i", version);
  while (ledger_next(ledger, statement, &status, error))
    status = read(ledger, statement, settings, &capacity, error);
  (void)sqlite3_finalize(statement);
  return status;
}

bt_status bt_ledger_settings(bt_ledger *ledger, bt_settings *settings, bt_error *error) {
  sqlite3_stmt *statement = NULL;
  bool row = false;
  int64_t version = 0;
  *settings = (bt_settings){.alarms_per_unit_year = 1};
  bt_status status =
      ledger_prepare(ledger,
                     "SELECT number, weekdays, alarms_per_unit_year, tell, clinic, font "
                     "FROM main.setting_version WHERE entry <= ?1 "
                     "ORDER BY number DESC LIMIT 1",
                     &statement, error);
  if (status == BT_OK)
    status = ledger_bind(ledger, error, statement, "i", ledger_last_seen(ledger));
  if (status == BT_OK)
    status = ledger_step(ledger, statement, &row, error);
  if (status == BT_OK && row) {
    version = sqlite3_column_int64(statement, 0);
    settings->weekdays = (uint32_t)sqlite3_column_int64(statement, 1);
    settings->alarms_per_unit_year = sqlite3_column_double(statement, 2);
    if (!take_text(statement, 3, &settings->tell) || !take_text(statement, 4, &settings->clinic) ||
        !take_text(statement, 5, &settings->font))
      status = bt_fail_memory(error);
  }
  (void)sqlite3_finalize(statement);
  if (status == BT_OK && version > 0)
    status = read_list(ledger,
                       "SELECT name, beam, fluence, plate_alpha_per_um, plate_threshold, spread, "
                       "refill_interval_days, expected_days, pulses_per_day FROM main.unit_setting "
                       "WHERE version = ?1 ORDER BY number",
                       version, read_unit, settings, error);
  if (status == BT_OK && version > 0) /* before the tolerances, which name them */
    status = read_list(ledger,
                       "SELECT key, title, unit, decimals FROM main.own_characteristic "
                       "WHERE version = ?1 ORDER BY number",
                       version, read_own, settings, error);
  if (status == BT_OK && version > 0)
    status = read_list(ledger,
                       "SELECT unit, characteristic, low, high, source, from_day "
                       "FROM main.tolerance WHERE version = ?1 ORDER BY number",
                       version, read_tolerance, settings, error);
  if (status != BT_OK)
    bt_settings_free(settings);
  return status;
}

bt_status ledger_characteristic_key(bt_ledger *ledger, bt_characteristic characteristic, char **key,
                                    bt_error *error) {
  bt_settings settings = {0};
  bt_status status = BT_OK;
  *key = NULL;
  if (characteristic >= BT_CHARACTERISTIC_COUNT)
    status = bt_ledger_settings(ledger, &settings, error);
  if (status == BT_OK && characteristic >= BT_CHARACTERISTIC_COUNT + settings.own_n)
    status = bt_fail(error, BT_USAGE,
                     "%s: the settings in force name no such characteristic of the clinic's own; "
                     "enter it there first",
                     ledger->path);
  if (status == BT_OK) {
    *key = bt_copy(bt_settings_quantity(&settings, characteristic).key);
    if (*key == NULL)
      status = bt_fail_memory(error);
  }
  bt_settings_free(&settings);
  return status;
}
