/* verify FOLDER: is an evidence folder as it was made?
 *
 * R1 Every file of the manifest is there with its SHA-256, and no other file.
 * R2 Limits and signals follow from checks.csv alone; readings.csv tells of the same checks, and
 *    copies of logs are those of sources.csv.
 * R3 Where a ledger is at hand, it is whole, the state stands in its chain, and the files are those
 *    that it gives as of that state (verify_again.c).
 * R4 The first difference is named; exit status 1. */
#include "verify_case.h"

#include <dirent.h>
#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

static const char manifest_name[] = "MANIFEST.sha256";

/* ---- R1 -------------------------------------------------------------------------------------- */

typedef struct manifest {
  size_t n, room;
  char **name;
} manifest;

static void manifest_free(manifest *of) {
  bt_names_free(of->name, of->n);
}

static bool is_listed(const manifest *of, const char *name) {
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
static bt_status check_line(const char *folder, char *line, int64_t number, manifest *of,
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
  char hex[BT_SHA256_TEXT];
  char *path = inside(folder, manifest_name);
  bt_status status =
      path == NULL ? bt_fail_memory(error) : bt_emit_file_digest(path, sha256, error);
  if (status == BT_OK)
    bt_text_format(out, "SHA-256 of %s:", manifest_name);
  (void)bt_sha256_text(sha256, hex);
  for (const char *at = hex; *at != '\0' && status == BT_OK; at += 4)
    bt_text_format(out, " %.4s", at);
  if (status == BT_OK)
    bt_text_format(out, "\nas sha256sum prints it: %s", hex);
  free(path);
  return status;
}

static bt_status check_manifest(const char *folder, manifest *of, bt_error *error) {
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
static bt_status check_no_more(const char *folder, const manifest *of, bt_error *error) {
  manifest extra = {0};
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
  manifest_free(&extra);
  return status;
}

/* Each of these is in every folder, if with its heading alone; beside them only copies of logs. */
static bt_status check_whole(const manifest *of, bt_error *error) {
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

/* ---- R3 -------------------------------------------------------------------------------------- */

/* The ledger as named; where nobody named one and none is here, the one beside the folder: who has
 * gone into a folder to look at it finds it there. `path` then holds its name. */
static bt_status open_ledger(const cli_context *cli, const char *folder, bt_text *path,
                             bt_ledger **ledger, bt_error *error) {
  bt_status status = bt_ledger_open(cli->ledger, BT_LEDGER_READ, ledger, error);
  if (status != BT_NOTFOUND || strcmp(cli->ledger, CLI_LEDGER) != 0)
    return status;
  bt_text_format(path, "%s/../" CLI_LEDGER, folder);
  if (!bt_text_ok(path))
    return bt_fail_memory(error);
  if (access(bt_text_get(path), F_OK) != 0)
    return status;
  status = bt_ledger_open(bt_text_get(path), BT_LEDGER_READ, ledger, error);
  if (status == BT_OK && !cli->quiet)
    cli_say("note: held against the ledger beside the folder, %s", bt_text_get(path));
  return status;
}

static void say_made_again(bt_text *out, const bt_told_case *told, int64_t after) {
  const char *why_not = "";
  if (told->format != BT_CASE_FORMAT)
    why_not = " (evidence.pdf was not compared: an earlier version of this program drew it)";
  else if (after > 0)
    why_not = " (evidence.pdf was not compared: it counts what the whole ledger held then)";
  bt_text_format(out,
                 "the state stands in the ledger, %lld entr%s came after it; made again as of it, "
                 "every CSV, limits.json%s are the same, byte by byte%s%s\n",
                 (long long)after, after == 1 ? "y" : "ies",
                 *why_not == '\0' ? ", README.txt and evidence.pdf" : " and README.txt",
                 told->logs > 0 ? ", and the logs are those imported" : "", why_not);
}

/* The engineer has no ledger: that is no difference. */
static bt_status check_ledger(const cli_context *named, const char *folder, const manifest *files,
                              const bt_told_case *told, bt_text *out, bt_error *error) {
  bt_ledger *ledger = NULL;
  bt_state_place place = {0};
  bt_error none = {0};
  bt_text path = {0};
  cli_context with = *named, *cli = &with;
  bt_status status = open_ledger(named, folder, &path, &ledger, &none);
  if (bt_text_ok(&path) && !bt_text_empty(&path))
    with.ledger = bt_text_get(&path);
  if (status != BT_OK) {
    bt_text_free(&path);
    if (status == BT_NOTFOUND)
      bt_text_add(out,
                  "no ledger is at hand, so nothing was compared with the record; --ledger FILE "
                  "names one that lies elsewhere\n");
    else
      *error = none;
    return status == BT_NOTFOUND ? BT_OK : status;
  }
  status = bt_ledger_hold_whole(ledger, error);
  if (status == BT_OK)
    status = bt_ledger_find_state(ledger, told->state, &place, error);
  if (status == BT_NOTFOUND)
    status = bt_fail(error, BT_DAMAGED,
                     "the folder's ledger state does not stand in the ledger \"%s\"", cli->ledger);
  if (status == BT_OK)
    status = verify_again(cli, ledger, &place, folder, files->name, files->n, told, error);
  if (status == BT_OK)
    say_made_again(out, told, place.after);
  bt_ledger_close(ledger);
  bt_text_free(&path);
  return status;
}

/* ---- All of it ------------------------------------------------------------------------------- */

static bt_status verify_all(const cli_context *cli, const char *folder, bt_text *out,
                            bt_error *error) {
  manifest files = {0};
  bt_told_case told = {0};
  size_t signals = 0, rows = 0;
  bt_status status = check_manifest(folder, &files, error);
  if (status == BT_OK)
    status = check_no_more(folder, &files, error);
  if (status == BT_OK)
    status = check_whole(&files, error);
  if (status == BT_OK)
    status = bt_told_read(folder, &told, error);
  if (status == BT_OK)
    status = verify_case(&told, &signals, error);
  if (status == BT_OK)
    status = bt_told_compare_readings(folder, &told, error);
  if (status == BT_OK)
    status = bt_told_compare_logs(folder, files.name, files.n, error);
  if (status == BT_OK) {
    for (size_t c = 0; c < told.charts_n; c++)
      rows += told.charts[c].checks_n;
    bt_text_format(out, "whole: %zu files (%s and the %zu that it lists); state", files.n + 1,
                   manifest_name, files.n);
    for (const char *at = told.state; *at != '\0'; at += 4)
      bt_text_format(out, " %.4s", at);
    bt_text_format(out, "\nlimits and %zu signal%s follow from %zu rows of checks.csv\n", signals,
                   signals == 1 ? "" : "s", rows);
    status = check_ledger(cli, folder, &files, &told, out, error);
  }
  if (status == BT_OK)
    status = verify_manifest_digest(folder, out, error);
  if (status == BT_OK)
    bt_text_add(out,
                "\nThat the folder is the one that was given shows when these digits are those on "
                "the paper that came with it: an altered folder can have a new manifest.\n");
  bt_told_free(&told);
  manifest_free(&files);
  return status;
}

cli_exit verify_folder(cli_context *cli, const char *folder) {
  bt_error error = {0};
  bt_text out = {0};
  bt_status status = verify_all(cli, folder, &out, &error);
  if (status != BT_OK)
    bt_error_prefix(&error, "%s", folder);
  cli_exit result = status == BT_OK ? CLI_DONE : cli_error(&error);
  if (status == BT_OK && !cli->quiet)
    result = cli_print_text(&out);
  bt_text_free(&out);
  return result;
}
