/* Where a report goes: into a folder, or, where it is one PDF, into the file that is named. */
#include "pages.h"

#include <string.h>
#include <strings.h>
#include <sys/stat.h>

bool pages_is_file(const char *output) {
  struct stat there;
  size_t length = strlen(output);
  bool ends = length > 4 && strcasecmp(output + length - 4, ".pdf") == 0;
  return ends && !(stat(output, &there) == 0 && S_ISDIR(there.st_mode));
}

bool pages_is_one(const char *file, size_t units_n) {
  if (units_n == 1)
    return true;
  cli_say("-o %s names one file, and the report is one PDF a laser, of %zu: name the laser with "
          "--unit, or a folder with -o",
          file, units_n);
  return false;
}
