/* What the fuzz targets share: hostile bytes as a file, and conditions that end the program. */
#ifndef FUZZ_H
#define FUZZ_H

#include <stddef.h>
#include <stdint.h>

/* The entry that libFuzzer calls, and replay.c in its stead. Always 0. */
int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

enum { FUZZ_FILES = 3 };

/* A file with these bytes; its path is borrowed and good until `slot`, one of FUZZ_FILES, is used
 * again. */
const char *fuzz_file(int slot, const void *bytes, size_t size);

/* Ends the program, naming the condition, where it doesn't hold. */
void fuzz_must_at(int holds, const char *condition, const char *file, int line);
#define fuzz_must(condition) fuzz_must_at((condition) ? 1 : 0, #condition, __FILE__, __LINE__)

#endif
