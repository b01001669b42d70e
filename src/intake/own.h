/* Keys that a log's columns can be read as: the canonical ones and those of the clinic's own. */
#ifndef INTAKE_OWN_H
#define INTAKE_OWN_H

#include "beamtally/setup.h"
#include "header.h"

/* The characteristic of the clinic's own that a header names: its key or its title, which may have
 * its unit behind it ("Door force (N)"). False where none is. */
bool intake_own_of(const char *header, const bt_own_characteristic *own, size_t n,
                   size_t *item) BT_MUST_CHECK;

/* The role of a key, canonical or of the clinic's own, NONE of NULL; *item as intake_role_of has
 * it, or the index among the own ones. choices may be NULL. */
intake_role intake_role_in(const bt_reading_choices *choices, const char *key, int *item);

/* The key that a header names among both, or NULL. */
const char *intake_key_of_header(const bt_reading_choices *choices, const char *header);

#endif
