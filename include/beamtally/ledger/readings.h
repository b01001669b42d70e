/* How logs were read that came before. */
#ifndef BEAMTALLY_LEDGER_READINGS_H
#define BEAMTALLY_LEDGER_READINGS_H

#include "beamtally/base.h"
#include "beamtally/ledger/open.h"
#include "beamtally/record.h"

/* A log of the same name, or with the same columns, that was read otherwise than one that comes. */
typedef struct bt_read_before {
  char *name;    /* NULL: there is none. Owned, as all below */
  char *map;     /* the map's name; NULL: it was read without one, or by one of an older version */
  char *differs; /* what differs, in words; NULL where nothing is known of the one that comes */
  bt_time at;    /* when it was imported */
} bt_read_before;

/* The newest import of a log with these headers, one of that name before others, where something
 * that it read of the rows would not be read of the source's, or as another thing.
 * `source->reading` NULL: the log can't be read as it is; then the newest that a map read, of that
 * name or else with these headers. */
bt_status bt_ledger_read_before(bt_ledger *ledger, const bt_source *source,
                                const char *const *headers, size_t n, bt_read_before *before,
                                bt_error *error) BT_MUST_CHECK;
void bt_read_before_free(bt_read_before *before);

#endif
