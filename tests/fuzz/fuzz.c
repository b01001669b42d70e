/* Hostile bytes as a file, and conditions that end the program. */
#include "fuzz.h"

#include <stdio.h>
#include <stdlib.h>
#include <unistd.h>

const char *fuzz_file(int slot, const void *bytes, size_t size) {
  /* Files without a name, found through their descriptors: nothing is left when the program dies.
   */
  static int descriptors[FUZZ_FILES] = {-1, -1, -1};
  static char paths[FUZZ_FILES][32];
  int *descriptor = &descriptors[slot];
  if (*descriptor < 0) {
    char name[] = "/tmp/bt-fuzz-XXXXXX";
    *descriptor = mkstemp(name);
    fuzz_must(*descriptor >= 0 && unlink(name) == 0);
    (void)snprintf(paths[slot], sizeof paths[slot], "/proc/self/fd/%d", *descriptor);
  }
  fuzz_must(ftruncate(*descriptor, 0) == 0);
  fuzz_must(pwrite(*descriptor, bytes, size, 0) == (ssize_t)size);
  return paths[slot];
}

void fuzz_must_at(int holds, const char *condition, const char *file, int line) {
  if (holds)
    return;
  (void)fprintf(stderr, "%s:%d: does not hold: %s\n", file, line, condition);
  abort();
}
