/* Readings of logs: the texts by which bt_source says how a log was read. */
#ifndef LEDGER_READING_PRIVATE_H
#define LEDGER_READING_PRIVATE_H

#include "beamtally/base.h"

/* Whether rows that are read in the one way and in the other are the same. */
bool ledger_reading_same(const char *then, const char *now);

/* Appends what differs: "dates dmy then, ymd now; column 3 energy_mj "E": then, but not now". */
void ledger_reading_differs(const char *then, const char *now, bt_text *words);

/* Whether something that was read of the rows is not now, or is read as another thing. */
bool ledger_reading_loses(const char *then, const char *now);

/* Whether a log with these headers has the columns that were read, in their places, and those whose
 * texts have a meaning. */
bool ledger_reading_fits(const char *reading, const char *const *headers, size_t n);

/* The name of the map that it was read by, owned; NULL: none, or not told (or no memory). */
char *ledger_reading_map(const char *reading);

#endif
