/* Readings of the clinic's own characteristics (own.c): their keys, and the reading and storing of
 * them beside their checks. */
#ifndef LEDGER_OWN_PRIVATE_H
#define LEDGER_OWN_PRIVATE_H

#include "beamtally/ledger.h"

#include "row_private.h"

#include <sqlite3.h>

typedef struct ledger_own_key {
  int64_t number;
  char *key;
} ledger_own_key;

/* The keys that the ledger knows. */
typedef struct ledger_own_keys {
  ledger_own_key *list;
  size_t n, capacity;
} ledger_own_keys;

/* keys is zeroed before; it is freed by the caller after a failure too. */
bt_status ledger_own_keys_read(bt_ledger *ledger, ledger_own_keys *keys,
                               bt_error *error) BT_MUST_CHECK;
void ledger_own_keys_free(ledger_own_keys *keys);

/* The list's own copy of a key, which stays until the list is freed; a key that is new is entered.
 */
bt_status ledger_own_key_kept(bt_ledger *ledger, ledger_own_keys *keys, const char *key,
                              int64_t entry, const char **kept, bt_error *error) BT_MUST_CHECK;

/* Puts readings in order of key, as digests have them; the second gives an owned copy of the
 * check's, NULL without memory. */
void ledger_own_sort(bt_own_reading *list, size_t n);
bt_own_reading *ledger_own_sorted(const bt_check *check) BT_MUST_CHECK;

/* A cursor over readings, in the order of their checks. Without any it costs nothing. */
typedef struct ledger_own_reader {
  bt_ledger *ledger;
  ledger_own_keys keys;
  sqlite3_stmt *rows; /* NULL: the table is empty */
  bool there;         /* it stands on a reading that was not taken yet */
  bt_own_reading *list;
  size_t capacity;
} ledger_own_reader;

/* table: "main.own_reading", "main.held_own" or "temp.staging_own"; where: "" or a clause with the
 * parameters ?1, a unit, and ?2, a time. It is closed by the caller after a failure too, and stands
 * nowhere before the first seek. */
bt_status ledger_own_open(bt_ledger *ledger, const char *table, const char *where,
                          ledger_own_reader *reader, bt_error *error) BT_MUST_CHECK;
void ledger_own_close(ledger_own_reader *reader);

/* Binds unit and time, where the clause has them, and stands on the first reading. */
bt_status ledger_own_seek(ledger_own_reader *reader, int64_t unit, bt_time time,
                          bt_error *error) BT_MUST_CHECK;

/* Sets the row's own readings, in order of key, from its unit, time and sequence, which must not
 * fall from call to call. They are borrowed until the next call. */
bt_status ledger_own_take(ledger_own_reader *reader, ledger_row *row,
                          bt_error *error) BT_MUST_CHECK;

/* Stores the row's own readings; insert is LEDGER_OWN_INSERT, prepared. */
#define LEDGER_OWN_INSERT(table)                                                                   \
  "INSERT INTO " table " (unit, time, sequence, own, value) VALUES (?1, ?2, ?3, ?4, ?5)"
bt_status ledger_own_put(bt_ledger *ledger, sqlite3_stmt *insert, const ledger_row *row,
                         ledger_own_keys *keys, int64_t entry, bt_error *error) BT_MUST_CHECK;

#endif
