/* What a forger with our program could do to a ledger: a reading rewritten, and all digests and
 * states that follow from it computed anew by the functions that stored them. */
#ifndef LEDGER_TEST_FORGE_H
#define LEDGER_TEST_FORGE_H

#include "beamtally/ledger.h"

/* Gives the first check of that condition, which has no texts, the digest that is right for it. */
void forge_digest(bt_ledger *ledger, const char *where);

/* Computes the states of all entries from `first` on anew. Both need the triggers gone. */
void forge_chain(bt_ledger *ledger, int64_t first);

/* All of it, for the one check of that line; with issues_too also the state that each issued report
 * is said to print. */
void forge_reading(const char *path, int64_t line, double energy_mj, bool issues_too);

#endif
