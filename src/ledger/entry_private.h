/* Entries (entry.c): what each brought, list by list (entry_lists.c), and the state that it is
 * sealed under. */
#ifndef LEDGER_ENTRY_PRIVATE_H
#define LEDGER_ENTRY_PRIVATE_H

#include "beamtally/ledger.h"

#include <sqlite3.h>

enum {
  LEDGER_FORM = 5, /* of the entries that are sealed now */
  LEDGER_STATE_BYTES = 32
};

typedef struct ledger_entry {
  int64_t number;
  const char *kind; /* "created", "import", "event", "settings", "baseline" ... */
  bt_time at;
  const char *by, *why; /* NULL where not asked for */
  int64_t form;         /* read by ledger_entry_state alone; a sealed entry has LEDGER_FORM */
} ledger_entry;

/* The number that the next entry will have. */
bt_status ledger_entry_next(bt_ledger *ledger, int64_t *number, bt_error *error) BT_MUST_CHECK;

/* Digests of the checks that an import added (fresh.c, fresh_private.h). */
typedef struct ledger_fresh ledger_fresh;

enum { LEDGER_LISTS = 24, LEDGER_LIST_OF_CHECKS = 2 };

/* Lists are counted in the order in which entry.c hashes them. */
char ledger_list_letter(int list);

/* A statement a list, which gives one entry's rows after the other's: first the entry's number,
 * then what is hashed. Zeroed: there are no rows. */
typedef struct ledger_lists {
  ledger_fresh *fresh; /* digests of the one entry's checks, in place of rows; borrowed */
  sqlite3_stmt *rows[LEDGER_LISTS];
  bool there[LEDGER_LISTS]; /* the statement stands on a row that was not taken yet */
} ledger_lists;

/* Stands on the first rows of that entry, which is about to be sealed, or, where `of` is NULL, of
 * all entries. checks_sql gives the digests of checks, in order of (line, unit, time, sequence)
 * within an entry; its ?1, where it has one, is the entry's number; NULL: there are none. The lists
 * are closed by the caller, after a failure too. */
bt_status ledger_lists_open(bt_ledger *ledger, const ledger_entry *of, const char *checks_sql,
                            ledger_lists *lists, bt_error *error) BT_MUST_CHECK;
void ledger_lists_close(ledger_lists *lists);

/* Hashes all that the entry brought onto the state before it (LEDGER_STATE_BYTES both), taking its
 * rows from the lists. BT_DAMAGED for an entry that brought what its form can't guard. */
bt_status ledger_entry_state(bt_ledger *ledger, const ledger_entry *entry,
                             const unsigned char *previous, ledger_lists *lists,
                             unsigned char *sealed, bt_error *error) BT_MUST_CHECK;

/* BT_DAMAGED: the entry is not as it was written. */
bt_status ledger_entry_differs(const bt_ledger *ledger, const ledger_entry *entry,
                               bt_error *error) BT_MUST_CHECK;

/* Stores the entry under its state. checks_sql is for ledger_lists_open; NULL for an entry that
 * brings no checks. That of an import takes them from `fresh`. */
bt_status ledger_entry_seal(bt_ledger *ledger, const ledger_entry *entry, const char *checks_sql,
                            bt_error *error) BT_MUST_CHECK;
bt_status ledger_entry_seal_import(bt_ledger *ledger, const ledger_entry *entry,
                                   ledger_fresh *fresh, bt_error *error) BT_MUST_CHECK;

#endif
