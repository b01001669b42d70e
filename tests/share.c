#include "share.h"

#include <stdio.h>
#include <stdlib.h>

bool share_has(long i) {
  const char *said = getenv("BEAMTALLY_SHARE");
  long k, n;
  char end;
  if (said == NULL)
    return true;
  if (sscanf(said, "%ld/%ld%c", &k, &n, &end) != 2 || k < 0 || k >= n) {
    (void)fprintf(stderr, "BEAMTALLY_SHARE is \"%s\": not K/N with K from 0 to N - 1\n", said);
    abort();
  }
  return i % n == k;
}
