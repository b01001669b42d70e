/* The manifest of an evidence folder.
 *
 * R1 Every file that it lists is there with its SHA-256, and no other file.
 * R2 It lists each file that a folder has, and beside them only copies of logs. */
#include "verify_case.h"

#include <dirent.h>
#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

static const char manifest_name[] = VERIFY_MANIFEST;

void verify_manifest_free(verify_manifest *of) {
  bt_names_free(of->name, of->n);
}

static bool is_listed(const verify_manifest *of, const char *name) {
  for (size_t i = 0; i < of->n; i++)
    if (strcmp(of->name[i], name) == 0)
      return true;
  return false;
}

static char *inside(const char *folder, const char *name) {
  bt_text path = {0};
  bt_text_format(&path, "%s/%s", folder, name);
  return bt_text_take(&path);
}

/* One file against its digest, 64 hex digits. */
static bt_status check_file(const char *folder, const char *name, const char *digits,
                            bt_error *error) {
  unsigned char sha256[BT_SHA256_BYTES] = {0};
  char hex[BT_SHA256_TEXT];
  struct stat there;
  char *path = inside(folder, name);
  bt_status status = BT_OK;
  if (path == NULL)
    return bt_fail_memory(error);
  if (lstat(path, &there) != 0 || !S_ISREG(there.st_mode))
    status = bt_fail(error, BT_DAMAGED, "%s is missing, or is no ordinary file", name);
  if (status == BT_OK)
    status = bt_emit_file_digest(path, sha256, error);
  if (status == BT_OK && strcmp(bt_sha256_text(sha256, hex), digits) != 0)
    status =
        bt_fail(error, BT_DAMAGED, "%s is not as it was: its SHA-256 is not the manifest's", name);
  free(path);
  return status;
}

/* "DIGITS  NAME". A name that leads out of the folder is none of ours. */
static bt_status check_line(const char *folder, char *line, int64_t number, verify_manifest *of,
                            bt_error *error) {
  enum { DIGITS = BT_SHA256_TEXT - 1 };
  size_t length = strlen(line);
  bool good = length > DIGITS + 2 && strspn(line, "0123456789abcdef") == DIGITS &&
              line[DIGITS] == ' ' && line[DIGITS + 1] == ' ' &&
              strchr(line + DIGITS + 2, '/') == NULL && !is_listed(of, line + DIGITS + 2);
  if (!good)
    return bt_fail(error, BT_DAMAGED, "%s, line %lld is not a digest and a new name", manifest_name,
                   (long long)number);
  line[DIGITS] = '\0';
  const char *name = line + DIGITS + 2;
  char *copy = bt_copy(name);
  if (copy == NULL || !bt_grow(&of->name, &of->room, of->n + 1, sizeof *of->name)) {
    free(copy);
    return bt_fail_memory(error);
  }
  of->name[of->n++] = copy;
  return check_file(folder, name, line, error);
}

bt_status verify_manifest_digest(const char *folder, bt_text *out, bt_error *error) {
  unsigned char sha256[BT_SHA256_BYTES] = {0};
  char hex[BT_SHA256_TEXT], grouped[BT_IN_FOURS_TEXT];
  char *path = inside(folder, manifest_name);
  bt_status status =
      path == NULL ? bt_fail_memory(error) : bt_emit_file_digest(path, sha256, error);
  if (status == BT_OK) {
    bt_text_format(out, "SHA-256 of %s: %s\n", manifest_name,
                   bt_in_fours(bt_sha256_text(sha256, hex), grouped));
    bt_text_format(out, "as sha256sum prints it: %s", hex);
  }
  free(path);
  return status;
}

static bt_status check_listed(const char *folder, verify_manifest *of, bt_error *error) {
  char line[1024];
  int64_t number = 0;
  char *path = inside(folder, manifest_name);
  if (path == NULL)
    return bt_fail_memory(error);
  FILE *file = fopen(path, "rbe");
  bt_status status =
      file != NULL ? BT_OK
                   : bt_fail(error, errno == ENOENT || errno == ENOTDIR ? BT_NOTFOUND : BT_SYSTEM,
                             "%s can't be read: %s; is it a folder that `evidence` made?", path,
                             strerror(errno));
  while (status == BT_OK && fgets(line, sizeof line, file) != NULL) {
    size_t length = strlen(line);
    number++;
    if (length > 0 && line[length - 1] == '\n')
      line[length - 1] = '\0';
    status = check_line(folder, line, number, of, error);
  }
  if (status == BT_OK && ferror(file) != 0)
    status = bt_fail(error, BT_SYSTEM, "%s can't be read", path);
  if (file != NULL)
    (void)fclose(file);
  free(path);
  return status;
}

static int by_name(const void *a, const void *b) {
  return strcmp(*(char *const *)a, *(char *const *)b);
}

/* The first file, by name, that the manifest doesn't list. */
static bt_status check_no_more(const char *folder, const verify_manifest *of, bt_error *error) {
  verify_manifest extra = {0};
  bt_status status = BT_OK;
  struct dirent *entry;
  DIR *files = opendir(folder);
  if (files == NULL)
    return bt_fail(error, BT_SYSTEM, "%s can't be read: %s", folder, strerror(errno));
  while (status == BT_OK && (entry = readdir(files)) != NULL) {
    const char *name = entry->d_name;
    if (strcmp(name, ".") == 0 || strcmp(name, "..") == 0 || strcmp(name, manifest_name) == 0 ||
        is_listed(of, name))
      continue;
    char *copy = bt_copy(name);
    if (copy == NULL || !bt_grow(&extra.name, &extra.room, extra.n + 1, sizeof *extra.name)) {
      free(copy);
      status = bt_fail_memory(error);
    } else
      extra.name[extra.n++] = copy;
  }
  (void)closedir(files);
  if (extra.n > 1)
    qsort(extra.name, extra.n, sizeof *extra.name, by_name);
  if (status == BT_OK && extra.n > 0)
    status = bt_fail(error, BT_DAMAGED, "%.200s is in the folder, but not in its manifest",
                     extra.name[0]);
  verify_manifest_free(&extra);
  return status;
}

/* Each of these is in every folder, if with its heading alone; beside them only copies of logs. */
static bt_status check_whole(const verify_manifest *of, bt_error *error) {
  static const char *const needed[] = {"README.txt",
                                       "checks.csv",
                                       "dispositions.csv",
                                       "events.csv",
                                       "evidence.pdf",
                                       "held_back.csv",
                                       "limits.json",
                                       "missing.csv",
                                       "readings.csv",
                                       "refused_lines.csv",
                                       "signals.csv",
                                       "sources.csv",
                                       "superseded_checks.csv",
                                       "superseded_events.csv"};
  enum { NEEDED = sizeof needed / sizeof *needed };
  for (size_t i = 0; i < NEEDED; i++)
    if (!is_listed(of, needed[i]))
      return bt_fail(error, BT_DAMAGED, "%s is not in the manifest", needed[i]);
  for (size_t f = 0; f < of->n; f++) {
    bool known = strncmp(of->name[f], "log-", 4) == 0;
    for (size_t i = 0; i < NEEDED && !known; i++)
      known = strcmp(of->name[f], needed[i]) == 0;
    if (!known)
      return bt_fail(error, BT_DAMAGED,
                     "%.200s is in the manifest, and no file that `evidence` makes", of->name[f]);
  }
  return BT_OK;
}

bt_status verify_manifest_read(const char *folder, verify_manifest *of, bt_error *error) {
  bt_status status = check_listed(folder, of, error);
  if (status == BT_OK)
    status = check_no_more(folder, of, error);
  return status == BT_OK ? check_whole(of, error) : status;
}
