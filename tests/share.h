/* A long test's share: what it tries one after another is divided between runs of its program. */
#ifndef TESTS_SHARE_H
#define TESTS_SHARE_H

#include <stdbool.h>

/* Whether the ith thing (from 0) is tried here: where the environment variable BEAMTALLY_SHARE says
 * "K/N", the ith with i mod N = K; without it, each. Aborts where it says something else. */
bool share_has(long i);

#endif
