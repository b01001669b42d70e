/* Frozen baselines: versions of one unit and characteristic, with who and why in their entry. */
#include "entry_private.h"
#include "ledger_private.h"
#include "settings_private.h"
#include "sql_private.h"
#include "unit_private.h"
#include "valid_private.h"

#include <math.h>
#include <stdlib.h>

static bt_status baseline_valid(const bt_baseline *baseline, bt_error *error) {
  bt_status status = ledger_asked(baseline->by, "who freezes the baseline (--by)", error);
  if (status == BT_OK)
    status = ledger_asked(baseline->why, "why the baseline is frozen (--why)", error);
  if (status != BT_OK)
    return status;
  if (baseline->to < baseline->from)
    return bt_fail(error, BT_USAGE, "the baseline ends before it begins; correct its days");
  if ((baseline->has_centre && !isfinite(baseline->centre)) ||
      (baseline->has_sigma && !isfinite(baseline->sigma)) || !isfinite(baseline->slope_per_day) ||
      !isfinite(baseline->slope_se) || !isfinite(baseline->slope_low) ||
      !isfinite(baseline->slope_high) || !isfinite(baseline->radial_limit) ||
      !isfinite(baseline->mean_age_days) || !isfinite(baseline->oldest_age_days) ||
      !isfinite(baseline->mean_x) || !isfinite(baseline->mean_y) || !isfinite(baseline->var_x) ||
      !isfinite(baseline->var_y) || !isfinite(baseline->cov_xy) || !isfinite(baseline->trend_p) ||
      !isfinite(baseline->step_p))
    return bt_fail(error, BT_INPUT, "a number of the baseline is not finite");
  return BT_OK;
}

static bt_status next_version(bt_ledger *ledger, int64_t unit, const char *key, int64_t *version,
                              bt_error *error) {
  return ledger_number_of(ledger, error,
                          "SELECT coalesce(max(version), 0) + 1 FROM main.baseline "
                          "WHERE unit = ?1 AND characteristic = ?2",
                          version, "it", unit, key);
}

static bt_status put_baseline(bt_ledger *ledger, int64_t unit, const char *key,
                              const bt_baseline *b, int64_t version, int64_t entry,
                              bt_error *error) {
  return ledger_put(
      ledger, error,
      "INSERT INTO main.baseline (unit, characteristic, version, entry, from_day, to_day, screen, "
      "centre, sigma, adjusted, slope_per_day, slope_se, slope_low, slope_high, fills, "
      "mean_age_days, oldest_age_days, radial_limit, derivation, n, mean_x, mean_y, var_x, var_y, "
      "cov_xy, from_differences, drift_accepted, trend_p, step_p) "
      "VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13, ?14, ?15, ?16, ?17, ?18, "
      "?19, ?20, ?21, ?22, ?23, ?24, ?25, ?26, ?27, ?28, ?29)",
      "itiiiiiooirrrrirrriirrrrriirr", unit, key, version, entry, b->from, b->to,
      (int64_t)b->screen, (int)b->has_centre, b->centre, (int)b->has_sigma, b->sigma,
      (int64_t)b->adjusted, b->slope_per_day, b->slope_se, b->slope_low, b->slope_high, b->fills,
      b->mean_age_days, b->oldest_age_days, b->radial_limit, b->derivation, b->n, b->mean_x,
      b->mean_y, b->var_x, b->var_y, b->cov_xy, (int64_t)b->from_differences,
      (int64_t)b->drift_accepted, b->trend_p, b->step_p);
}

static bt_status put_exclusions(bt_ledger *ledger, int64_t unit, const char *key,
                                const bt_new_baseline *wanted, int64_t version, bt_error *error) {
  bt_status status = BT_OK;
  for (size_t i = 0; i < wanted->exclusions_n && status == BT_OK; i++) {
    const bt_baseline_exclusion *x = &wanted->exclusions[i];
    if (!isfinite(x->z))
      return bt_fail(error, BT_INPUT, "a number of the baseline is not finite");
    status = ledger_put(ledger, error,
                        "INSERT INTO main.baseline_exclusion (unit, characteristic, version, "
                        "number, at, sequence, pass, z) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8)",
                        "itiiiiir", unit, key, version, (int64_t)i + 1, x->at, (int64_t)x->sequence,
                        (int64_t)x->pass, x->z);
  }
  return status;
}

/* All within the transaction. */
static bt_status add_baseline(bt_ledger *ledger, const char *unit_name, bt_new_baseline *wanted,
                              bt_time now, bt_error *error) {
  const bt_baseline *baseline = wanted->baseline;
  ledger_entry entry = {.kind = "baseline", .at = now, .by = baseline->by, .why = baseline->why};
  int64_t unit = 0;
  char *key = NULL;
  bt_status status = ledger_unit_known(ledger, unit_name, &unit, error);
  if (status == BT_OK)
    status = ledger_characteristic_key(ledger, baseline->characteristic, &key, error);
  if (status == BT_OK)
    status = ledger_entry_next(ledger, &entry.number, error);
  if (status == BT_OK)
    status = next_version(ledger, unit, key, &wanted->version, error);
  if (status == BT_OK)
    status = put_baseline(ledger, unit, key, baseline, wanted->version, entry.number, error);
  if (status == BT_OK)
    status = put_exclusions(ledger, unit, key, wanted, wanted->version, error);
  if (status == BT_OK)
    status = ledger_entry_seal(ledger, &entry, NULL, error);
  free(key);
  return status;
}

bt_status bt_ledger_add_baselines(bt_ledger *ledger, const char *unit, bt_new_baseline *wanted,
                                  size_t n, bt_time now, bt_error *error) {
  bt_status status = BT_OK;
  for (size_t i = 0; i < n; i++)
    wanted[i].version = 0;
  for (size_t i = 0; status == BT_OK && i < n; i++)
    status = baseline_valid(wanted[i].baseline, error);
  if (status == BT_OK)
    status = ledger_begin(ledger, error);
  if (status != BT_OK)
    return status;
  for (size_t i = 0; status == BT_OK && i < n; i++)
    status = add_baseline(ledger, unit, &wanted[i], now, error);
  status = ledger_end(ledger, status, error);
  for (size_t i = 0; status != BT_OK && i < n; i++)
    wanted[i].version = 0;
  return status;
}

static bool read_baseline(sqlite3_stmt *row, bt_characteristic characteristic, bt_baseline *b) {
  *b = (bt_baseline){.version = sqlite3_column_int64(row, 0),
                     .characteristic = characteristic,
                     .from = sqlite3_column_int64(row, 1),
                     .to = sqlite3_column_int64(row, 2),
                     .screen = sqlite3_column_int(row, 3) != 0,
                     .has_centre = sqlite3_column_type(row, 4) != SQLITE_NULL,
                     .centre = sqlite3_column_double(row, 4),
                     .has_sigma = sqlite3_column_type(row, 5) != SQLITE_NULL,
                     .sigma = sqlite3_column_double(row, 5),
                     .adjusted = sqlite3_column_int(row, 6) != 0,
                     .slope_per_day = sqlite3_column_double(row, 7),
                     .slope_se = sqlite3_column_double(row, 8),
                     .slope_low = sqlite3_column_double(row, 9),
                     .slope_high = sqlite3_column_double(row, 10),
                     .fills = sqlite3_column_int64(row, 11),
                     .mean_age_days = sqlite3_column_double(row, 12),
                     .oldest_age_days = sqlite3_column_double(row, 13),
                     .radial_limit = sqlite3_column_double(row, 14),
                     .derivation = sqlite3_column_int64(row, 15),
                     .n = sqlite3_column_int64(row, 16),
                     .mean_x = sqlite3_column_double(row, 17),
                     .mean_y = sqlite3_column_double(row, 18),
                     .var_x = sqlite3_column_double(row, 19),
                     .var_y = sqlite3_column_double(row, 20),
                     .cov_xy = sqlite3_column_double(row, 21),
                     .from_differences = sqlite3_column_int(row, 22) != 0,
                     .drift_accepted = sqlite3_column_int(row, 23) != 0,
                     .trend_p = sqlite3_column_double(row, 24),
                     .step_p = sqlite3_column_double(row, 25),
                     .by = bt_copy((const char *)sqlite3_column_text(row, 26)),
                     .why = bt_copy((const char *)sqlite3_column_text(row, 27))};
  return b->by != NULL && b->why != NULL;
}

/* Whether a baseline was frozen for a characteristic of the clinic's own: the settings that were in
 * force then had one of its key. A built-in one that has that key now is another. */
#define OF_OWN(alias)                                                                              \
  "EXISTS (SELECT 1 FROM main.own_characteristic AS o WHERE o.key = " alias                        \
  ".characteristic AND o.version = (SELECT max(v.number) FROM main.setting_version AS v "          \
  "WHERE v.entry < " alias ".entry)) "

/* ?3 is the last first moment of a day that may end a period. */
#define BASELINE_ROWS                                                                              \
  "SELECT b.version, b.from_day, b.to_day, b.screen, b.centre, b.sigma, b.adjusted, "              \
  "b.slope_per_day, b.slope_se, b.slope_low, b.slope_high, b.fills, b.mean_age_days, "             \
  "b.oldest_age_days, b.radial_limit, b.derivation, b.n, b.mean_x, b.mean_y, "                     \
  "b.var_x, b.var_y, b.cov_xy, b.from_differences, b.drift_accepted, b.trend_p, b.step_p, e.by, "  \
  "e.why "                                                                                         \
  "FROM main.baseline AS b JOIN main.entry AS e ON e.number = b.entry "                            \
  "WHERE b.unit = ?1 AND b.characteristic = ?2 AND b.to_day <= ?3 "

/* A baseline judges from its first day on, so a later version that begins no later takes its whole
 * stretch over: one of the same derivation, as its limits hold for no other. */
static const char in_force[] = BASELINE_ROWS "AND b.entry <= ?4 AND ?5 = " OF_OWN(
    "b") "AND NOT EXISTS ("
         "SELECT 1 FROM main.baseline AS later WHERE later.unit = b.unit "
         "AND ?5 = " OF_OWN(
             "later") "AND later.characteristic = b.characteristic AND later.derivation = b.derivation "
                      "AND later.from_day <= b.from_day "
                      "AND later.to_day <= ?3 AND later.entry <= ?4 AND later.version > b.version) "
                      "ORDER BY b.from_day";

/* The newest version of the days that were frozen first. ?4 is the derivation. */
static const char first_of_all[] =
    BASELINE_ROWS "AND b.entry <= ?5 AND b.derivation = ?4 AND ?6 = " OF_OWN(
        "b") "AND (b.from_day, b.to_day) = ("
             "SELECT f.from_day, f.to_day FROM main.baseline AS f WHERE f.unit = ?1 "
             "AND ?6 = " OF_OWN(
                 "f") "AND f.characteristic = ?2 AND f.to_day <= ?3 AND f.derivation = ?4 "
                      "AND f.entry <= ?5 ORDER BY f.version LIMIT 1) "
                      "ORDER BY b.version DESC LIMIT 1";

/* What was left out of it when it was frozen. */
static bt_status read_exclusions(bt_ledger *ledger, int64_t unit, const char *key, bt_baseline *b,
                                 bt_error *error) {
  sqlite3_stmt *statement = NULL;
  size_t capacity = 0;
  bt_status status =
      ledger_prepare(ledger,
                     "SELECT at, sequence, pass, z FROM main.baseline_exclusion WHERE unit = ?1 "
                     "AND characteristic = ?2 AND version = ?3 ORDER BY number",
                     &statement, error);
  if (status == BT_OK)
    status = ledger_bind(ledger, error, statement, "iti", unit, key, b->version);
  while (ledger_next(ledger, statement, &status, error)) {
    if (!bt_grow(&b->exclusions, &capacity, b->exclusions_n + 1, sizeof *b->exclusions))
      status = bt_fail_memory(error);
    else
      b->exclusions[b->exclusions_n++] =
          (bt_baseline_exclusion){.at = sqlite3_column_int64(statement, 0),
                                  .sequence = sqlite3_column_int(statement, 1),
                                  .pass = sqlite3_column_int(statement, 2),
                                  .z = sqlite3_column_double(statement, 3)};
  }
  (void)sqlite3_finalize(statement);
  return status;
}

static bt_status read_all(bt_ledger *ledger, int64_t unit, bt_characteristic characteristic,
                          bt_time until, bt_baseline **list, size_t *n, bt_error *error) {
  sqlite3_stmt *statement = NULL;
  size_t capacity = 0;
  char *key = NULL;
  bt_status status = ledger_characteristic_key(ledger, characteristic, &key, error);
  if (status == BT_OK)
    status = ledger_prepare(ledger, in_force, &statement, error);
  if (status == BT_OK)
    status =
        ledger_bind(ledger, error, statement, "itiii", unit, key, until - BT_DAY,
                    ledger_last_seen(ledger), (int64_t)(characteristic >= BT_CHARACTERISTIC_COUNT));
  while (ledger_next(ledger, statement, &status, error)) {
    if (!bt_grow(list, &capacity, *n + 1, sizeof **list) ||
        !read_baseline(statement, characteristic, &(*list)[(*n)++]))
      status = bt_fail_memory(error);
  }
  (void)sqlite3_finalize(statement);
  for (size_t b = 0; b < *n && status == BT_OK; b++)
    status = read_exclusions(ledger, unit, key, &(*list)[b], error);
  free(key);
  return status;
}

bt_status bt_ledger_first_baseline(bt_ledger *ledger, const char *unit,
                                   bt_characteristic characteristic, int64_t derivation,
                                   bt_time until, bt_baseline *first, bt_error *error) {
  sqlite3_stmt *statement = NULL;
  int64_t number = 0;
  char *key = NULL;
  bool row = false;
  *first = (bt_baseline){0};
  bt_status status = ledger_unit_known(ledger, unit, &number, error);
  if (status == BT_OK)
    status = ledger_characteristic_key(ledger, characteristic, &key, error);
  if (status == BT_OK)
    status = ledger_prepare(ledger, first_of_all, &statement, error);
  if (status == BT_OK)
    status =
        ledger_bind(ledger, error, statement, "itiiii", number, key, until - BT_DAY, derivation,
                    ledger_last_seen(ledger), (int64_t)(characteristic >= BT_CHARACTERISTIC_COUNT));
  if (status == BT_OK)
    status = ledger_step(ledger, statement, &row, error);
  if (status == BT_OK && row && !read_baseline(statement, characteristic, first)) {
    bt_baseline_free(first);
    *first = (bt_baseline){0};
    status = bt_fail_memory(error);
  }
  (void)sqlite3_finalize(statement);
  free(key);
  return status;
}

bt_status bt_ledger_baselines(bt_ledger *ledger, const char *unit, bt_characteristic characteristic,
                              bt_time until, bt_baseline **baselines, size_t *n, bt_error *error) {
  int64_t number = 0;
  *baselines = NULL;
  *n = 0;
  bt_status status = ledger_unit_known(ledger, unit, &number, error);
  if (status == BT_OK)
    status = read_all(ledger, number, characteristic, until, baselines, n, error);
  if (status != BT_OK) {
    for (size_t i = 0; i < *n; i++)
      bt_baseline_free(&(*baselines)[i]);
    free(*baselines);
    *baselines = NULL;
    *n = 0;
  }
  return status;
}
