/* Everything that the ledger holds, table by table, for an export. */
#ifndef BEAMTALLY_LEDGER_TABLES_H
#define BEAMTALLY_LEDGER_TABLES_H

#include "beamtally/base.h"
#include "beamtally/ledger/open.h"
#include "beamtally/record.h"

/* Tables of an export: X(ID, file name without ending). What holds checks or events has the
 * canonical columns, so that an import takes it as it is. */
#define BT_TABLES(X)                                                                               \
  X(CHECKS, checks)                                                                                \
  X(EVENTS, events)                                                                                \
  X(SUPERSEDED_CHECKS, superseded_checks) /* with what became of each, when, by whom, why */       \
  X(SUPERSEDED_EVENTS, superseded_events)                                                          \
  X(HELD, held_back)                                                                               \
  X(REFUSALS, refused_lines)                                                                       \
  X(SOURCES, sources)                                                                              \
  X(SETTINGS, settings)                                                                            \
  X(TOLERANCES, tolerances)                                                                        \
  X(UNITS, units)                                                                                  \
  X(OWN_CHARACTERISTICS, own_characteristics)                                                      \
  X(BASELINES, baselines)                                                                          \
  X(DISPOSITIONS, dispositions)                                                                    \
  X(ISSUED, issued_reports)                                                                        \
  X(REMOVED_TEXTS, removed_texts)                                                                  \
  X(UNIT_SOURCES, unit_sources)                                                                    \
  X(ENTRIES, entries)

typedef enum bt_table {
#define X(ID, name) BT_TABLE_##ID,
  BT_TABLES(X)
#undef X
      BT_TABLE_COUNT
} bt_table;

/* "checks", "events" ... */
const char *bt_table_name(bt_table table);

/* Hands out all rows of a table, in a fixed order. The names and cells live until the sink
 * returns. */
bt_status bt_ledger_table(bt_ledger *ledger, bt_table table, const bt_table_sink *sink,
                          bt_error *error) BT_MUST_CHECK;

#endif
