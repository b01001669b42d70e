/* A folder that is filled under a temporary name beside its own, synced, and then given its name: a
 * reader finds it whole or not at all. Until then all in it stands among what goes when a signal
 * ends the program. */
#include "new_file.h"

#include <dirent.h>
#include <errno.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>
#include <sys/stat.h>
#include <unistd.h>

static bt_status failed(const char *path, int reason, bt_error *error) {
  return bt_fail(error, BT_SYSTEM,
                 "%s cannot be written: %s; make room, or choose a folder that can be written",
                 path, strerror(reason));
}

static bt_status is_there(const char *path, bt_error *error) {
  return bt_fail(error, BT_REFUSED,
                 "%s is there already and is not written over; give another name", path);
}

static bt_status refuse_existing(const char *path, bt_error *error) {
  struct stat there;
  return lstat(path, &there) != 0 ? BT_OK : is_there(path, error);
}

/* A folder of a file's name would be taken for that file. */
static bt_status refuse_ending(const char *path, bt_error *error) {
  static const char *const endings[] = {".pdf", ".csv", ".json", ".zip"};
  size_t length = strlen(path);
  for (size_t i = 0; i < sizeof endings / sizeof *endings; i++) {
    size_t n = strlen(endings[i]);
    if (length > n && strcasecmp(path + length - n, endings[i]) == 0)
      return bt_fail(
          error, BT_USAGE,
          "-o names a new folder here, and \"%s\" ends as a file does; name a folder: -o "
          "%.*s",
          path, (int)(length - n), path);
  }
  return BT_OK;
}

bt_status cli_new_folder_open(cli_new_folder *folder, const char *path, bt_error *error) {
  bt_text name = {0};
  *folder = (cli_new_folder){.path = path};
  bt_status status = cli_names_output(path, error);
  if (status == BT_OK)
    status = refuse_ending(path, error);
  if (status == BT_OK)
    status = refuse_existing(path, error);
  if (status != BT_OK)
    return status;
  size_t length = strlen(path);
  while (length > 1 && path[length - 1] == '/')
    length--;
  bt_text_add_bytes(&name, path, length);
  bt_text_format(&name, ".%ld.part", (long)getpid());
  char *temporary = bt_text_take(&name);
  if (temporary == NULL)
    return bt_fail_memory(error);
  if (!bt_passing_folder(temporary)) {
    status = failed(path, errno, error);
    free(temporary);
    return status;
  }
  folder->temporary = temporary;
  return BT_OK;
}

/* "folder/name", owned. */
static char *inside(const char *folder, const char *name) {
  bt_text path = {0};
  bt_text_format(&path, "%s/%s", folder, name);
  return bt_text_take(&path);
}

void cli_new_folder_unname(const cli_new_folder *folder, bt_error *error) {
  size_t passing = strlen(folder->temporary);
  char *text = error->text;
  if (strncmp(text, folder->temporary, passing) == 0 && text[passing] == '/')
    memmove(text, text + passing + 1, strlen(text + passing + 1) + 1);
}

bt_status cli_new_folder_put(const cli_new_folder *folder, const char *name, cli_write write,
                             void *context, bt_error *error) {
  char *path = inside(folder->temporary, name);
  cli_new_file file = {0};
  bt_status status = path == NULL || !bt_passing_note(path) ? bt_fail_memory(error) : BT_OK;
  if (status == BT_OK)
    status = cli_new_file_open_as(&file, path, name, error);
  if (status == BT_OK)
    status = write(context, file.stream, error);
  if (status == BT_OK)
    status = cli_new_file_keep(&file, error);
  if (status != BT_OK) { /* what it reads again of the folder has the passing name */
    cli_new_folder_unname(folder, error);
    bt_error_prefix(error, "%s", folder->path);
  }
  cli_new_file_close(&file);
  free(path);
  return status;
}

/* Syncs the folder that holds `path`. */
static bt_status sync_above(const char *path, bt_error *error) {
  bt_text above = {0};
  size_t length = strlen(path);
  while (length > 0 && path[length - 1] == '/')
    length--;
  while (length > 0 && path[length - 1] != '/')
    length--;
  if (length == 0)
    bt_text_add(&above, ".");
  else
    bt_text_add_bytes(&above, path, length);
  bt_status status = bt_text_ok(&above) ? cli_sync_folder(bt_text_get(&above), path, error)
                                        : bt_fail_memory(error);
  bt_text_free(&above);
  return status;
}

bt_status cli_new_folder_keep(cli_new_folder *folder, bt_error *error) {
  /* A rename takes the place of an empty folder only, so one that came meanwhile loses nothing. */
  bt_status status = cli_sync_folder(folder->temporary, folder->path, error);
  if (status == BT_OK)
    status = refuse_existing(folder->path, error);
  if (status == BT_OK && rename(folder->temporary, folder->path) != 0)
    status = errno == EEXIST || errno == ENOTEMPTY || errno == ENOTDIR
                 ? is_there(folder->path, error)
                 : failed(folder->path, errno, error);
  if (status == BT_OK) {
    bt_passing_forget(folder->temporary);
    status = sync_above(folder->path, error);
    if (status == BT_OK) {
      free(folder->temporary);
      folder->temporary = NULL;
    } else /* it has its name, which is the shorter one, and goes again when it is closed */
      (void)snprintf(folder->temporary, strlen(folder->temporary) + 1, "%s", folder->path);
  }
  return status;
}

void cli_new_folder_close(cli_new_folder *folder) {
  DIR *files = folder->temporary == NULL ? NULL : opendir(folder->temporary);
  struct dirent *entry;
  while (files != NULL && (entry = readdir(files)) != NULL) /* also where there is no memory left */
    if (strcmp(entry->d_name, ".") != 0 && strcmp(entry->d_name, "..") != 0)
      (void)unlinkat(dirfd(files), entry->d_name, 0);
  if (files != NULL)
    (void)closedir(files);
  if (folder->temporary != NULL) {
    (void)rmdir(folder->temporary);
    bt_passing_forget(folder->temporary);
  }
  free(folder->temporary);
  *folder = (cli_new_folder){0};
}
