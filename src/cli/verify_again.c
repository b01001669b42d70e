/* verify FOLDER with the ledger at hand: the folder's files made again as of its ledger state, and
 * compared byte by byte. This shows what a new manifest hides.
 *
 * R1 CSV, limits.json and README.txt are the same, or the first line that isn't is named.
 * R2 Copies of logs were held against sources.csv before (bt_told_compare_logs), which R1 holds
 *    against the ledger.
 * R3 The PDF is drawn anew where nothing was entered since: it tells how many files and checks the
 *    whole ledger has. That of a folder of an older format is not: its pages were drawn otherwise.
 */
#define _XOPEN_SOURCE 700 /* P_tmpdir is of X/Open */
#include "evidence.h"
#include "verify_case.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

static const char pdf_name[] = "evidence.pdf";

typedef struct comparison {
  const char *folder;
  const bt_told_case *told;
  char *const *names; /* of the manifest */
  size_t names_n;
} comparison;

/* What else may be the reason of a difference, so that nobody is wronged. */
static const char *other_reason(const bt_told_case *told) {
  if (strcmp(told->made_by, evidence_maker) != 0)
    return " (the folder was made by another version of this program, which may write it "
           "otherwise)";
  return told->with_remarks || told->with_operator
             ? " (a text that was removed from the ledger since shows so, too)"
             : "";
}

static bool is_listed(const comparison *of, const char *name) {
  for (size_t i = 0; i < of->names_n; i++)
    if (strcmp(of->names[i], name) == 0)
      return true;
  return false;
}

/* The line at which the file differs from `text`; 0: it doesn't. */
static int64_t differing_line(FILE *file, const char *text, size_t length) {
  int64_t line = 1;
  int byte;
  for (size_t i = 0; i < length; i++) {
    byte = fgetc(file);
    if (byte != (unsigned char)text[i])
      return line;
    line += byte == '\n';
  }
  return fgetc(file) == EOF ? 0 : line;
}

static bt_status compare_text(const comparison *of, const char *name, const char *text,
                              size_t length, bt_error *error) {
  bt_text path = {0};
  bt_text_format(&path, "%s/%s", of->folder, name);
  FILE *file = bt_text_ok(&path) ? fopen(bt_text_get(&path), "rbe") : NULL;
  bt_status status = BT_OK;
  if (file == NULL)
    status = bt_text_ok(&path)
                 ? bt_fail(error, BT_SYSTEM, "%s can't be read: %s", name, strerror(errno))
                 : bt_fail_memory(error);
  int64_t line = status == BT_OK ? differing_line(file, text, length) : 0;
  if (status == BT_OK && ferror(file) != 0)
    status = bt_fail(error, BT_SYSTEM, "%s can't be read", name);
  else if (line > 0)
    status = bt_fail(error, BT_DAMAGED,
                     "%s, line %lld, is not what the ledger gives as of the folder's state%s", name,
                     (long long)line, other_reason(of->told));
  if (file != NULL)
    (void)fclose(file);
  bt_text_free(&path);
  return status;
}

static bt_status compare(void *context, const char *name, cli_write write, void *what,
                         bt_error *error) {
  comparison *of = context;
  char *text = NULL;
  size_t length = 0;
  if (!is_listed(of, name))
    return bt_fail(error, BT_DAMAGED, "%s is missing", name);
  FILE *stream = open_memstream(&text, &length);
  if (stream == NULL)
    return bt_fail_memory(error);
  bt_status status = write(what, stream, error);
  if (fclose(stream) != 0 && status == BT_OK)
    status = bt_fail_memory(error);
  if (status == BT_OK)
    status = compare_text(of, name, text, length, error);
  free(text);
  return status;
}

/* ---- The PDF --------------------------------------------------------------------------------- */

static bt_status compare_digests(const comparison *of, const char *drawn, bt_error *error) {
  unsigned char is[BT_SHA256_BYTES], follows[BT_SHA256_BYTES];
  bt_text path = {0};
  bt_text_format(&path, "%s/%s", of->folder, pdf_name);
  bt_status status = bt_text_ok(&path) ? bt_emit_file_digest(bt_text_get(&path), is, error)
                                       : bt_fail_memory(error);
  if (status == BT_OK)
    status = bt_emit_file_digest(drawn, follows, error);
  if (status == BT_OK && memcmp(is, follows, sizeof is) != 0)
    status = bt_fail(error, BT_DAMAGED,
                     "%s is not, byte for byte, what this program draws of the ledger: it was "
                     "altered, or drawn by another version of it, of its fonts or of its drawing "
                     "library; make the folder again under another name, and compare the pages",
                     pdf_name);
  bt_text_free(&path);
  return status;
}

/* R3, in a folder of its own that goes again. */
static bt_status compare_pdf(const cli_context *cli, bt_ledger *ledger, const bt_case *one,
                             const comparison *of, bt_error *error) {
  const char *above = getenv("TMPDIR");
  bt_text folder = {0}, path = {0};
  bt_text_format(&folder, "%s/beamtally-XXXXXX",
                 above == NULL || *above == '\0' ? P_tmpdir : above);
  char *name = bt_text_take(&folder);
  if (name == NULL)
    return bt_fail_memory(error);
  if (!bt_passing_new_folder(name)) {
    bt_status status = bt_fail(error, BT_SYSTEM, "%s can't be made, to draw %s in again: %s", name,
                               pdf_name, strerror(errno));
    free(name);
    return status;
  }
  bt_text_format(&path, "%s/%s", name, pdf_name);
  bool noted = bt_text_ok(&path) && bt_passing_note(bt_text_get(&path));
  bt_status status = noted ? BT_OK : bt_fail_memory(error);
  if (status == BT_OK)
    status = evidence_pdf(cli, ledger, one, false, bt_text_get(&path), error);
  if (status == BT_OK)
    status = compare_digests(of, bt_text_get(&path), error);
  if (bt_text_ok(&path))
    (void)unlink(bt_text_get(&path)); /* it may not have been drawn */
  (void)rmdir(name);
  bt_passing_forget(name);
  bt_text_free(&path);
  free(name);
  return status;
}

/* ---- All of it ------------------------------------------------------------------------------- */

/* Names of the copies of logs, in the manifest's order; owned array of borrowed names. */
static const char **log_names(char *const *names, size_t n, size_t *logs) {
  const char **of = bt_new(n, sizeof *of);
  *logs = 0;
  for (size_t i = 0; i < n && of != NULL; i++)
    if (strncmp(names[i], "log-", 4) == 0)
      of[(*logs)++] = names[i];
  return of;
}

bt_status verify_again(const cli_context *cli, bt_ledger *ledger, const bt_state_place *place,
                       const char *folder, char *const *names, size_t n, const bt_told_case *told,
                       bt_error *error) {
  bt_unit_study *study = NULL;
  char *unit = NULL;
  bt_case one = {.from = told->from,
                 .to = told->to,
                 .with_look_back = told->with_look_back,
                 .with_remarks = told->with_remarks,
                 .with_operator = told->with_operator,
                 .letter = told->letter,
                 .format = told->format,
                 .made_by = told->made_by};
  const char **logs = log_names(names, n, &one.logs);
  if (logs == NULL)
    return bt_fail_memory(error);
  one.log_names = logs;
  comparison of = {.folder = folder, .told = told, .names = names, .names_n = n};
  bt_status status = bt_ledger_find_unit(ledger, told->unit, &unit, error);
  bt_ledger_as_of(ledger, place->entry);
  if (status == BT_OK)
    status = evidence_study(ledger, unit, told->event, &one, &study, error);
  if (status == BT_OK) {
    memcpy(study->provenance.state, told->state, sizeof told->state); /* that is of today */
    status = evidence_files(ledger, &one, compare, &of, error);
    if (status == BT_OK && place->after == 0 && told->format == BT_CASE_FORMAT)
      status = compare_pdf(cli, ledger, &one, &of, error);
  } else if (status == BT_NOTFOUND)
    status = BT_DAMAGED;
  bt_ledger_as_of(ledger, 0);
  bt_case_free(&one);
  free(logs);
  bt_unit_study_free(study);
  free(unit);
  return status;
}
