/* The keys that a starter map offers to columns that nothing reads. */
#ifndef INTAKE_OFFERS_H
#define INTAKE_OFFERS_H

#include "likely.h"

enum { INTAKE_OFFERED_MAX = 32 };

/* What the columns above were offered. Zeroed at first. */
typedef struct intake_offered {
  const char *key[INTAKE_OFFERED_MAX];
  size_t n;
} intake_offered;

/* The likeliest key that no column above was offered, or the likeliest; of one key at least. */
const char *intake_offer(const intake_likely *likely, intake_offered *above);

#endif
