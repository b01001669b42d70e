/* Gives every file of the folders named to a fuzz target, so that what fuzzing once found stays
 * mended; needs no fuzzing engine. */
#include "fuzz.h"

#include <dirent.h>
#include <stdio.h>
#include <stdlib.h>

static void replay_file(const char *path) {
  FILE *file = fopen(path, "rb");
  fuzz_must(file != NULL);
  fuzz_must(fseek(file, 0, SEEK_END) == 0);
  long size = ftell(file);
  fuzz_must(size >= 0 && fseek(file, 0, SEEK_SET) == 0);
  uint8_t *data = malloc((size_t)size + 1);
  fuzz_must(data != NULL && fread(data, 1, (size_t)size, file) == (size_t)size);
  (void)fclose(file);
  (void)LLVMFuzzerTestOneInput(data, (size_t)size);
  free(data);
}

int main(int argc, char **argv) {
  int files = 0;
  for (int i = 1; i < argc; i++) {
    DIR *folder = opendir(argv[i]);
    if (folder == NULL) {
      (void)fprintf(stderr, "%s is no folder that can be read\n", argv[i]);
      return 1;
    }
    for (const struct dirent *entry; (entry = readdir(folder)) != NULL;) {
      char path[4096];
      if (entry->d_name[0] == '.')
        continue;
      fuzz_must(snprintf(path, sizeof path, "%s/%s", argv[i], entry->d_name) < (int)sizeof path);
      (void)printf("%s\n", path); /* the last one named is the one that fails */
      (void)fflush(stdout);
      replay_file(path);
      files++;
    }
    (void)closedir(folder);
  }
  (void)printf("%d files replayed\n", files);
  return files == 0; /* nothing replayed is nothing tested */
}
