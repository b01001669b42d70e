/* The file that a document goes into: written under a temporary name beside its own, synced, then
 * renamed, so that a reader finds the old file or the new one whole, and nothing else. */
#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "draw_room.h"

static bt_status check_target(const char *path, bt_error *error) {
  struct stat there;
  if (path[0] == '\0')
    return bt_fail(error, BT_USAGE, "the name of the file to write is empty");
  if (stat(path, &there) != 0)
    return BT_OK; /* not there yet, or a fault that the writing will tell */
  if (S_ISDIR(there.st_mode))
    return bt_fail(error, BT_SYSTEM, "%s is a folder: give the name of a file in it", path);
  if (!S_ISREG(there.st_mode))
    return bt_fail(error, BT_SYSTEM,
                   "%s is not a plain file and is not replaced: give another name", path);
  return BT_OK;
}

bt_status draw_output_open(draw_output *output, const char *path, bt_error *error) {
  *output = (draw_output){.path = path};
  bt_status status = check_target(path, error);
  if (status != BT_OK)
    return status;
  bt_text name = {0};
  bt_text_format(&name, "%s.%ld.part", path, (long)getpid());
  output->temporary = bt_text_take(&name);
  output->folder = bt_folder_of(path);
  if (output->temporary == NULL || output->folder == NULL) {
    free(output->temporary);
    output->temporary = NULL; /* there is no such file yet */
    return bt_fail_memory(error);
  }

  int descriptor = bt_passing_file(output->temporary);
  if (descriptor < 0) {
    int reason = errno;
    free(output->temporary);
    output->temporary = NULL;
    return bt_fail(error, BT_SYSTEM, "%s cannot be written: %s; %s", path, strerror(reason),
                   reason == ENAMETOOLONG ? "give a shorter name"
                                          : "choose a folder that can be written");
  }
  output->file = fdopen(descriptor, "wb");
  if (output->file == NULL) {
    (void)close(descriptor);
    return bt_fail_memory(error);
  }
  return BT_OK;
}

/* A failure is kept for draw_output_check, and cairo is told of none: its PDF surface ends the
 * whole program by an assertion when it is told at certain moments (seen in 1.16.0). */
cairo_status_t draw_output_write(void *context, const unsigned char *bytes, unsigned int length) {
  draw_output *output = context;
  if (output->failure == 0 && fwrite(bytes, 1, length, output->file) != length)
    output->failure = errno != 0 ? errno : EIO;
  return CAIRO_STATUS_SUCCESS;
}

static bt_status write_failed(const draw_output *output, int reason, bt_error *error) {
  return bt_fail(error, BT_SYSTEM,
                 "%s cannot be written: %s; nothing was kept, make room or choose another folder",
                 output->path, strerror(reason));
}

bt_status draw_output_check(const draw_output *output, cairo_status_t status, bt_error *error) {
  if (output->failure != 0)
    return write_failed(output, output->failure, error);
  if (status == CAIRO_STATUS_SUCCESS)
    return BT_OK;
  if (status == CAIRO_STATUS_NO_MEMORY)
    return bt_fail_memory(error);
  return bt_fail(error, BT_SYSTEM, "%s cannot be drawn: %s", output->path,
                 cairo_status_to_string(status));
}

/* errno, or 0. A link never takes the place of a file that came meanwhile. Where the file system
 * knows no links, a look and a rename must do. */
static int give_name(const draw_output *output) {
  struct stat there;
  if (output->fresh && bt_passing_link(output->temporary, output->path) == 0)
    return 0; /* the temporary name goes when the output is closed */
  if (output->fresh && (errno == EEXIST || lstat(output->path, &there) == 0))
    return EEXIST;
  if (rename(output->temporary, output->path) != 0)
    return errno;
  if (output->fresh && !bt_passing_note(output->path)) {
    (void)unlink(output->path);
    return ENOMEM;
  }
  return 0;
}

/* Without it the new name might not outlive a loss of power. */
static int sync_folder(const char *folder) {
  int reason = 0;
  int descriptor = open(folder, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
  if (descriptor < 0)
    reason = errno;
  /* Some file systems can't sync a folder and say so: that is no failure of ours. */
  else if (fsync(descriptor) != 0 && errno != EINVAL && errno != ENOTSUP)
    reason = errno;
  if (descriptor >= 0)
    (void)close(descriptor);
  return reason;
}

bt_status draw_output_keep(draw_output *output, bt_error *error) {
  int reason = 0;
  if (fflush(output->file) != 0 || fsync(fileno(output->file)) != 0)
    reason = errno;
  if (fclose(output->file) != 0 && reason == 0)
    reason = errno;
  output->file = NULL;
  if (reason == 0)
    reason = give_name(output);
  if (reason == EEXIST && output->fresh)
    return bt_fail(error, BT_REFUSED,
                   "%s came while it was made, and is not written over; look at it first",
                   output->path);
  if (reason != 0)
    return write_failed(output, reason, error);
  if (!output->fresh) {
    bt_passing_forget(output->temporary);
    free(output->temporary);
    output->temporary = NULL;
  }
  reason = sync_folder(output->folder);
  if (reason != 0 && output->fresh) {
    (void)unlink(output->path);
    bt_passing_forget(output->path);
    return write_failed(output, reason, error);
  }
  if (reason != 0)
    return bt_fail(error, BT_SYSTEM,
                   "%s was written, but its folder cannot be synced (%s): check the disk and write "
                   "it again",
                   output->path, strerror(reason));
  return BT_OK;
}

void draw_output_close(draw_output *output) {
  if (output->file != NULL)
    (void)fclose(output->file);
  if (output->temporary != NULL) {
    (void)unlink(output->temporary);
    bt_passing_forget(output->temporary);
  }
  free(output->temporary);
  free(output->folder);
  *output = (draw_output){0};
}
