/* Paths of files. */
#include "beamtally/base.h"

#include <string.h>

char *bt_folder_of(const char *path) {
  const char *slash = strrchr(path, '/');
  char *folder = bt_copy(slash == NULL ? "." : slash == path ? "/" : path);
  if (folder != NULL && slash != NULL && slash != path)
    folder[slash - path] = '\0';
  return folder;
}
