/* What people concluded of episodes. */
#include "entry_private.h"
#include "ledger_private.h"
#include "sql_private.h"
#include "unit_private.h"
#include "valid_private.h"

#include <ctype.h>
#include <sodium.h>
#include <stdlib.h>
#include <string.h>

/* Canonical form: the folded name and the key, each with its NUL, then time and sequence as 8 bytes
 * each, two's complement, little-endian. */
bt_status bt_episode_id(const char *unit, const char *characteristic, bt_time at, int32_t sequence,
                        char id[BT_ID_DIGITS + 1], bt_error *error) {
  crypto_hash_sha256_state state;
  unsigned char numbers[16], sha256[BT_SHA256_BYTES];
  char *folded = bt_fold_name(unit);
  if (folded == NULL)
    return bt_fail_memory(error);
  for (int i = 0; i < 8; i++) {
    numbers[i] = (unsigned char)((uint64_t)at >> (8 * i));
    numbers[8 + i] = (unsigned char)((uint64_t)(int64_t)sequence >> (8 * i));
  }
  (void)crypto_hash_sha256_init(&state);
  (void)crypto_hash_sha256_update(&state, (const unsigned char *)folded, strlen(folded) + 1);
  (void)crypto_hash_sha256_update(&state, (const unsigned char *)characteristic,
                                  strlen(characteristic) + 1);
  (void)crypto_hash_sha256_update(&state, numbers, sizeof numbers);
  (void)crypto_hash_sha256_final(&state, sha256);
  (void)sodium_bin2hex(id, BT_ID_DIGITS + 1, sha256, BT_ID_DIGITS / 2);
  free(folded);
  return BT_OK;
}

static bool id_valid(const char *id) {
  size_t n = 0;
  while (n < BT_ID_DIGITS && isxdigit((unsigned char)id[n]) && !isupper((unsigned char)id[n]))
    n++;
  return n == BT_ID_DIGITS && id[n] == '\0';
}

static bt_status disposition_valid(const bt_disposition *d, bt_error *error) {
  bt_status status = ledger_asked(d->by, "who concluded this (--by)", error);
  if (status == BT_OK)
    status = ledger_asked(d->cause, "the cause (--cause)", error);
  if (status == BT_OK)
    status = ledger_asked(d->action, "what was done (--action)", error);
  if (status == BT_OK && !id_valid(d->episode))
    status = bt_fail(error, BT_USAGE,
                     "\"%s\" is no episode: it has %d digits, 0 to 9 and a to f; list them with "
                     "signals",
                     d->episode, (int)BT_ID_DIGITS);
  if (status == BT_OK && (d->to < d->from || d->baseline_version < 0))
    status = bt_fail(error, BT_USAGE, "the episode ends before it begins; correct its times");
  if (status == BT_OK && d->restart_at != 0 && (!d->restart || d->restart_at < d->from))
    status = bt_fail(error, BT_USAGE,
                     d->restart ? "the CUSUM can't start anew before the first signal of the "
                                  "episode; give the time at which the action was done"
                                : "a time of the action says from when the CUSUM starts anew; ask "
                                  "for that with --restart");
  return status;
}

static bt_status characteristic_known(bt_ledger *ledger, const char *key, bt_error *error) {
  bt_settings settings = {0};
  bt_characteristic found;
  bt_status status = bt_ledger_settings(ledger, &settings, error);
  if (status == BT_OK && (key == NULL || !bt_settings_characteristic(&settings, key, &found)))
    status = bt_fail(error, BT_USAGE,
                     "\"%s\" is no characteristic, nor one of the clinic's own in the settings in "
                     "force; check its key",
                     key == NULL ? "" : key);
  bt_settings_free(&settings);
  return status;
}

/* 0: no restart; 1: at the first point after the episode; else when the action was done. */
static int64_t stored_restart(const bt_disposition *d) {
  return !d->restart ? 0 : d->restart_at == 0 ? 1 : d->restart_at;
}

/* All within the transaction. */
static bt_status add(bt_ledger *ledger, const char *name, const bt_disposition *d,
                     ledger_entry *entry, bt_error *error) {
  int64_t unit = 0;
  bt_status status = ledger_unit_known(ledger, name, &unit, error);
  if (status == BT_OK)
    status = characteristic_known(ledger, d->characteristic, error);
  if (status == BT_OK)
    status = ledger_entry_next(ledger, &entry->number, error);
  if (status == BT_OK)
    status =
        ledger_put(ledger, error,
                   "INSERT INTO main.disposition (number, entry, unit, characteristic, high, "
                   "from_time, to_time, baseline_version, episode, cause, action, restart) "
                   "VALUES (NULL, ?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11)",
                   "iitiiiittti", entry->number, unit, d->characteristic, (int64_t)d->high, d->from,
                   d->to, d->baseline_version, d->episode, d->cause, d->action, stored_restart(d));
  if (status == BT_OK)
    status = ledger_entry_seal(ledger, entry, NULL, error);
  return status;
}

bt_status bt_ledger_add_disposition(bt_ledger *ledger, const char *unit,
                                    const bt_disposition *disposition, bt_time now,
                                    bt_error *error) {
  ledger_entry entry = {.kind = "disposition", .at = now, .by = disposition->by};
  bt_status status = disposition_valid(disposition, error);
  if (status == BT_OK)
    status = ledger_begin(ledger, error);
  if (status != BT_OK)
    return status;
  status = add(ledger, unit, disposition, &entry, error);
  return ledger_end(ledger, status, error);
}

static const char dispositions_sql[] =
    "SELECT d.episode, d.characteristic, d.high, d.from_time, d.to_time, d.baseline_version, "
    "d.cause, d.action, d.restart, e.at, e.by FROM main.disposition AS d "
    "JOIN main.entry AS e ON e.number = d.entry WHERE d.unit = ?1 AND e.at < ?2 "
    "AND d.entry <= ?3 ORDER BY d.entry";

static bool take(sqlite3_stmt *row, bt_disposition *d) {
  const char *episode = (const char *)sqlite3_column_text(row, 0);
  int64_t restart = sqlite3_column_int64(row, 8);
  *d = (bt_disposition){.characteristic = bt_copy((const char *)sqlite3_column_text(row, 1)),
                        .high = sqlite3_column_int(row, 2) != 0,
                        .from = sqlite3_column_int64(row, 3),
                        .to = sqlite3_column_int64(row, 4),
                        .baseline_version = sqlite3_column_int64(row, 5),
                        .cause = bt_copy((const char *)sqlite3_column_text(row, 6)),
                        .action = bt_copy((const char *)sqlite3_column_text(row, 7)),
                        .restart = restart != 0,
                        .restart_at = restart > 1 ? restart : 0,
                        .at = sqlite3_column_int64(row, 9),
                        .by = bt_copy((const char *)sqlite3_column_text(row, 10))};
  if (episode != NULL && id_valid(episode))
    memcpy(d->episode, episode, sizeof d->episode);
  return d->characteristic != NULL && d->cause != NULL && d->action != NULL && d->by != NULL;
}

bt_status bt_ledger_dispositions(bt_ledger *ledger, const char *unit, bt_time until,
                                 bt_disposition **dispositions, size_t *n, bt_error *error) {
  sqlite3_stmt *statement = NULL;
  size_t capacity = 0;
  int64_t number = 0;
  *dispositions = NULL;
  *n = 0;
  bt_status status = ledger_unit_known(ledger, unit, &number, error);
  if (status == BT_OK)
    status = ledger_prepare(ledger, dispositions_sql, &statement, error);
  if (status == BT_OK)
    status = ledger_bind(ledger, error, statement, "iii", number, until, ledger_last_seen(ledger));
  while (ledger_next(ledger, statement, &status, error)) {
    if (!bt_grow(dispositions, &capacity, *n + 1, sizeof **dispositions) ||
        !take(statement, &(*dispositions)[(*n)++])) /* counted even half taken: it is freed */
      status = bt_fail_memory(error);
  }
  (void)sqlite3_finalize(statement);
  if (status != BT_OK) {
    bt_dispositions_free(*dispositions, *n);
    *dispositions = NULL;
    *n = 0;
  }
  return status;
}
