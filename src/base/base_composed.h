/* Letters with marks, in one code point or in several. */
#ifndef BASE_COMPOSED_H
#define BASE_COMPOSED_H

#include "beamtally/base.h"

/* The lower case of a letter that names.c knows; any other code point as it is. */
unsigned base_fold_point(unsigned point);

/* Whether bytes of such a text may be a mark, or a letter that case and marks tell apart only when
 * it is taken to pieces. */
bool base_may_be_composed(const char *text, size_t length);

/* True when both are the same letters with the same marks, but for case, whether in one code point
 * or in several. Needs no memory of its own. */
bool base_same_composed(const char *a, size_t a_n, const char *b, size_t b_n);

#endif
