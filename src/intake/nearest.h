/* What a person may have meant by a key that is none. */
#ifndef INTAKE_NEAREST_H
#define INTAKE_NEAREST_H

#include "beamtally/setup.h"

/* The key that is nearest to what was written, for "the nearest is ..."; never NULL. `readings`:
 * only what a check holds; else every column. */
const char *intake_nearest_key(const bt_own_characteristic *own, size_t n, const char *written,
                               bool readings);

#endif
