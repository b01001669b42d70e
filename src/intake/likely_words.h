/* Words of headers and the keys that they speak for. */
#ifndef INTAKE_LIKELY_WORDS_H
#define INTAKE_LIKELY_WORDS_H

#include <stdbool.h>
#include <stddef.h>

/* A part of a header's plain name (letters.h), "=wert": the whole name; and a key. Of one part's
 * keys the likeliest comes first. */
typedef struct intake_hint {
  const char *part, *key;
} intake_hint;

/* The i-th; NULL behind the last. */
const intake_hint *intake_hint_at(size_t i);

/* Whether a plain name has that part. */
bool intake_has_part(const char *plain, const char *part);

/* Whether a plain name speaks of a laser's own test of itself. */
bool intake_speaks_of_selftest(const char *plain);

#endif
