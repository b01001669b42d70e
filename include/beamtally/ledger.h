/* The ledger room: one SQLite file that holds the whole record, append-only and chained.
 *
 * Every change is an *entry*: an import, an event typed in, settings, a baseline. An entry's
 * SHA-256 covers the entry before it and the digests of what it brought; the last one, cut to 20
 * hex digits, is the *ledger state* that reports print. One transaction an entry: the ledger is
 * either before or after, never between.
 *
 * Nothing here reads the clock: `now` is handed in. Ownership: a ledger and an import are owned by
 * whoever opened them; histories, settings and lists go with their free functions. */
#ifndef BEAMTALLY_LEDGER_H
#define BEAMTALLY_LEDGER_H

#include "beamtally/ledger/conflicts.h"
#include "beamtally/ledger/correct.h"
#include "beamtally/ledger/dispositions.h"
#include "beamtally/ledger/files.h"
#include "beamtally/ledger/history.h"
#include "beamtally/ledger/import.h"
#include "beamtally/ledger/issued.h"
#include "beamtally/ledger/leave_out.h"
#include "beamtally/ledger/open.h"
#include "beamtally/ledger/provenance.h"
#include "beamtally/ledger/readings.h"
#include "beamtally/ledger/redact.h"
#include "beamtally/ledger/state.h"
#include "beamtally/ledger/tables.h"
#include "beamtally/ledger/typed.h"
#include "beamtally/ledger/units.h"
#include "beamtally/ledger/verify.h"
#include "beamtally/ledger/watch.h"

#endif
