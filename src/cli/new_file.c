/* A file that is written under a temporary name beside its own, synced, and then given its name: a
 * reader finds it whole or not at all. */
#include "new_file.h"

#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

static bt_status exists(const char *path, bt_error *error) {
  return bt_fail(error, BT_REFUSED,
                 "%s is there already and is not written over; give another name", path);
}

static bt_status failed(const char *path, int reason, bt_error *error) {
  return bt_fail(error, BT_SYSTEM, "%s cannot be written: %s; %s", path, strerror(reason),
                 reason == ENAMETOOLONG ? "give a shorter name"
                                        : "make room, or choose a folder that can be written");
}

/* SQLite takes a file of such a name for its own, and removes it with the next look at the ledger.
 */
static bt_status is_not_sqlites(const char *path, bt_error *error) {
  static const char *const endings[] = {"-journal", "-wal", "-shm"};
  bt_status status = BT_OK;
  for (size_t i = 0; status == BT_OK && i < sizeof endings / sizeof *endings; i++) {
    struct stat there;
    size_t length = strlen(path), ending = strlen(endings[i]);
    if (length <= ending || strcmp(path + length - ending, endings[i]) != 0)
      continue;
    char *beside = strndup(path, length - ending);
    if (beside == NULL)
      status = bt_fail_memory(error);
    else if (stat(beside, &there) == 0 && S_ISREG(there.st_mode))
      status = bt_fail(error, BT_USAGE,
                       "%s is what a working file of %s would be called: give another name", path,
                       beside);
    free(beside);
  }
  return status;
}

bt_status cli_names_output(const char *path, bt_error *error) {
  if (strcmp(path, "-") != 0)
    return is_not_sqlites(path, error);
  return bt_fail(error, BT_USAGE,
                 "\"-\" is nowhere to write to: this does not go to standard output; give a name "
                 "(./- for one that is called so)");
}

bt_status cli_new_file_open(cli_new_file *file, const char *path, bt_error *error) {
  return cli_new_file_open_as(file, path, path, error);
}

bt_status cli_new_file_open_as(cli_new_file *file, const char *path, const char *named,
                               bt_error *error) {
  struct stat there;
  *file = (cli_new_file){.path = path, .named = named};
  bt_status status = cli_names_output(path, error);
  if (status != BT_OK)
    return status;
  if (lstat(path, &there) == 0)
    return exists(named, error);
  bt_text name = {0};
  bt_text_format(&name, "%s.%ld.part", path, (long)getpid());
  file->temporary = bt_text_take(&name);
  if (file->temporary == NULL)
    return bt_fail_memory(error);
  int descriptor = bt_passing_file(file->temporary);
  if (descriptor < 0) {
    int reason = errno;
    free(file->temporary);
    file->temporary = NULL;
    return failed(named, reason, error);
  }
  file->stream = fdopen(descriptor, "w");
  if (file->stream == NULL) {
    (void)close(descriptor);
    cli_new_file_close(file);
    return bt_fail_memory(error);
  }
  return BT_OK;
}

bt_status cli_sync_folder(const char *folder, const char *named, bt_error *error) {
  int descriptor = open(folder, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
  if (descriptor < 0) /* one that may be written but not read can't be synced */
    return errno == EACCES ? BT_OK : failed(named, errno, error);
  int reason = fsync(descriptor) == 0 || errno == EINVAL || errno == ENOTSUP ? 0 : errno;
  (void)close(descriptor);
  return reason == 0 ? BT_OK : failed(named, reason, error);
}

/* A link never takes the place of a file that came meanwhile. Where the file system knows no
 * links, a look and a rename must do. */
static bt_status give_name(cli_new_file *file, bt_error *error) {
  struct stat there;
  if (link(file->temporary, file->path) == 0)
    return BT_OK; /* the temporary name goes when the file is closed */
  if (errno == EEXIST || lstat(file->path, &there) == 0)
    return exists(file->named, error);
  if (rename(file->temporary, file->path) != 0)
    return failed(file->named, errno, error);
  bt_passing_forget(file->temporary);
  free(file->temporary);
  file->temporary = NULL;
  return BT_OK;
}

bt_status cli_new_file_keep(cli_new_file *file, bt_error *error) {
  int reason = ferror(file->stream) != 0 ? EIO : 0;
  if (fflush(file->stream) != 0 || fsync(fileno(file->stream)) != 0)
    reason = errno;
  if (fclose(file->stream) != 0 && reason == 0)
    reason = errno;
  file->stream = NULL;
  if (reason != 0)
    return failed(file->named, reason, error);

  bt_status status = give_name(file, error);
  if (status != BT_OK)
    return status;
  char *folder = bt_folder_of(file->path);
  status = folder != NULL ? cli_sync_folder(folder, file->named, error) : bt_fail_memory(error);
  free(folder);
  if (status != BT_OK)
    (void)unlink(file->path);
  return status;
}

void cli_new_file_close(cli_new_file *file) {
  if (file->stream != NULL)
    (void)fclose(file->stream);
  if (file->temporary != NULL) {
    (void)unlink(file->temporary);
    bt_passing_forget(file->temporary);
  }
  free(file->temporary);
  *file = (cli_new_file){0};
}
