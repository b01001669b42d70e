/* The units that a log names, and the tally of each (log_units.c). */
#ifndef LEDGER_LOG_UNITS_PRIVATE_H
#define LEDGER_LOG_UNITS_PRIVATE_H

#include "beamtally/ledger.h"

#include "tally_private.h"

enum { LEDGER_UNKNOWN_NAMED = 8 };
#define LEDGER_NO_TALLY SIZE_MAX

/* A unit's name as written in the log, and its place among the tallies. */
typedef struct ledger_written_name {
  char *name;
  size_t tally;
} ledger_written_name;

/* Zeroed, but for new_units, before it begins; it is freed by the caller after a failure too. */
typedef struct ledger_log_units {
  bt_ledger *ledger;
  int64_t entry;
  bool new_units; /* names that the ledger doesn't know are taken */
  int64_t last;   /* units up to this number were there before */
  ledger_written_name *names;
  size_t names_n, names_capacity, last_name;
  ledger_tally *tally;
  size_t tallies, tally_capacity;
  bool unknown; /* rows of units that the ledger doesn't know came, and are not stored */
  char *unknown_name[LEDGER_UNKNOWN_NAMED];
  int64_t unknown_line[LEDGER_UNKNOWN_NAMED];
  size_t unknown_n, unknown_more;
} ledger_log_units;

bt_status ledger_log_units_begin(bt_ledger *ledger, int64_t entry, ledger_log_units *units,
                                 bt_error *error) BT_MUST_CHECK;
void ledger_log_units_free(ledger_log_units *units);

/* The place of the tally of the unit that the line names; LEDGER_NO_TALLY for an unknown one. */
bt_status ledger_log_unit(ledger_log_units *units, const char *name, int64_t line, size_t *tally,
                          bt_error *error) BT_MUST_CHECK;

/* BT_REFUSED, with the sentence of all unknown names. */
bt_status ledger_log_units_unknown(ledger_log_units *units, bt_error *error) BT_MUST_CHECK;

#endif
