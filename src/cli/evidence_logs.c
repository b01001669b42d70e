/* --with-sources: the log files themselves, where they are still at hand.
 *
 * R1 A file is a source when its name and SHA-256 are; another of that name is left alone.
 * R2 None goes along that has a column which looks like a patient's identity (evidence_columns.c).
 * R3 What nobody has looked at is said, and goes along only after a person's yes: columns that no
 *    map names, what stands above them, refused lines, removed texts, rows of other lasers. */
#include "evidence.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

/* One source of the case as the ledger has it. */
typedef struct wanted {
  int64_t number, refused; /* refused: lines */
  char *name, *sha256, *reading;
} wanted;

enum { L_NUMBER, L_NAME, L_KIND, L_SHA256, L_READING, L_COLUMNS };

typedef struct wanted_list {
  const bt_case *one;
  wanted *of;
  size_t n, room;
  bool removed;               /* some text of the laser was removed from the record */
  const char *const *columns; /* of the table that is read, and their places in it */
  size_t columns_n, at[L_COLUMNS];
} wanted_list;

static const char *const source_columns[] = {"number", "name", "kind", "sha256", "reading"};
static const char *const refusal_columns[] = {"source"};
static const char *const removal_columns[] = {"unit"};

static bt_status want_columns(void *context, const char *const *names, size_t n, bt_error *error) {
  wanted_list *list = context;
  (void)error;
  cli_table_places(names, n, list->columns, list->at, list->columns_n);
  return BT_OK;
}

static bt_status read_table(bt_ledger *ledger, bt_table table, const char *const *columns, size_t n,
                            bt_status (*row)(void *, const bt_cell *, size_t, bt_error *),
                            wanted_list *list, bt_error *error) {
  const bt_table_sink sink = {.context = list, .columns = want_columns, .row = row};
  list->columns = columns;
  list->columns_n = n;
  return bt_ledger_table(ledger, table, &sink, error);
}

static bool is_log(const char *kind) {
  return kind != NULL && (strcmp(kind, "checks") == 0 || strcmp(kind, "events") == 0);
}

static bt_status want_source(void *context, const bt_cell *cells, size_t n, bt_error *error) {
  wanted_list *list = context;
  bool ours = false;
  (void)n;
  for (size_t i = 0; i < list->one->sources_n; i++)
    ours = ours || list->one->sources[i].number == cells[list->at[L_NUMBER]].integer;
  if (!ours || !is_log(cells[list->at[L_KIND]].text) || cells[list->at[L_SHA256]].text == NULL)
    return BT_OK;
  if (!bt_grow(&list->of, &list->room, list->n + 1, sizeof *list->of))
    return bt_fail_memory(error);
  wanted *one = &list->of[list->n++];
  one->number = cells[list->at[L_NUMBER]].integer;
  one->name = bt_copy(cells[list->at[L_NAME]].text);
  one->sha256 = bt_copy(cells[list->at[L_SHA256]].text);
  one->reading = bt_copy(cells[list->at[L_READING]].text);
  return one->name != NULL && one->sha256 != NULL && one->reading != NULL ? BT_OK
                                                                          : bt_fail_memory(error);
}

static void want_free(wanted_list *list) {
  for (size_t i = 0; i < list->n; i++) {
    free(list->of[i].name);
    free(list->of[i].sha256);
    free(list->of[i].reading);
  }
  free(list->of);
}

static bt_status count_refused(void *context, const bt_cell *cells, size_t n, bt_error *error) {
  wanted_list *list = context;
  (void)n;
  (void)error;
  for (size_t i = 0; i < list->n; i++)
    list->of[i].refused += cells[list->at[0]].integer == list->of[i].number;
  return BT_OK;
}

static bt_status note_removed(void *context, const bt_cell *cells, size_t n, bt_error *error) {
  wanted_list *list = context;
  const char *unit = cells[list->at[0]].text;
  (void)n;
  (void)error;
  list->removed |= unit != NULL && strcmp(unit, list->one->unit->history.unit) == 0;
  return BT_OK;
}

static bt_status want_all(bt_ledger *ledger, wanted_list *list, bt_error *error) {
  bt_status status =
      read_table(ledger, BT_TABLE_SOURCES, source_columns, L_COLUMNS, want_source, list, error);
  if (status == BT_OK)
    status = read_table(ledger, BT_TABLE_REFUSALS, refusal_columns, 1, count_refused, list, error);
  return status == BT_OK ? read_table(ledger, BT_TABLE_REMOVED_TEXTS, removal_columns, 1,
                                      note_removed, list, error)
                         : status;
}

/* ---- Finding them ---------------------------------------------------------------------------- */

/* Name in the folder: "log-2-suite-north.csv", of letters that every manifest can hold. */
static char *name_in_folder(const wanted *of) {
  bt_text name = {0};
  bt_text_format(&name, "log-%lld-", (long long)of->number);
  for (const char *c = of->name; *c != '\0'; c++) {
    bool plain = (*c >= 'a' && *c <= 'z') || (*c >= 'A' && *c <= 'Z') || (*c >= '0' && *c <= '9') ||
                 *c == '.' || *c == '-' || *c == '_';
    bt_text_add_bytes(&name, plain ? c : "_", 1);
  }
  return bt_text_take(&name);
}

/* R1. */
static bt_status try_folder(const wanted *of, const char *folder, evidence_logs *logs, bool *found,
                            bt_error *error) {
  bt_error ignored = {0};
  bt_text path = {0};
  struct stat there;
  unsigned char sha256[BT_SHA256_BYTES];
  char hex[BT_SHA256_TEXT];
  *found = false;
  if (strchr(of->name, '/') != NULL) /* a name from elsewhere leads nowhere out of the folder */
    return BT_OK;
  bt_text_format(&path, "%s/%s", folder, of->name);
  if (!bt_text_ok(&path)) {
    bt_text_free(&path);
    return bt_fail_memory(error);
  }
  bool readable = stat(bt_text_get(&path), &there) == 0 && S_ISREG(there.st_mode) &&
                  bt_emit_file_digest(bt_text_get(&path), sha256, &ignored) == BT_OK;
  if (!readable || strcmp(bt_sha256_text(sha256, hex), of->sha256) != 0) {
    bt_text_free(&path);
    return BT_OK;
  }
  evidence_log log = {.name = name_in_folder(of), .path = bt_text_take(&path)};
  memcpy(log.sha256, sha256, sizeof sha256);
  bool whole = log.name != NULL && log.path != NULL &&
               bt_grow(&logs->log, &logs->room, logs->n + 1, sizeof *logs->log);
  if (!whole) {
    free(log.name);
    free(log.path);
    return bt_fail_memory(error);
  }
  logs->log[logs->n++] = log;
  *found = true;
  return evidence_look_at_columns(&logs->log[logs->n - 1], of->reading, error);
}

/* R3: a source that other lasers had rows of as well. */
static bt_status note_other_units(bt_ledger *ledger, const bt_case *one, const wanted *of,
                                  evidence_log *log, bt_error *error) {
  char **names = NULL;
  size_t n = 0;
  bool other = false;
  bt_status status = bt_ledger_units(ledger, &names, &n, error);
  for (size_t u = 0; u < n && status == BT_OK && !other; u++) {
    int64_t *numbers = NULL;
    size_t numbers_n = 0;
    if (strcmp(names[u], one->unit->history.unit) == 0)
      continue;
    status = bt_ledger_unit_sources(ledger, names[u], &numbers, &numbers_n, error);
    for (size_t i = 0; i < numbers_n && status == BT_OK; i++)
      other = other || numbers[i] == of->number;
    free(numbers);
  }
  bt_names_free(names, n);
  if (status != BT_OK || !other)
    return status;
  return evidence_add_unread(log, "rows of other lasers", error);
}

/* R3: their cells are kept nowhere else. */
static bt_status note_refused(const wanted *of, evidence_log *log, bt_error *error) {
  char words[40];
  if (of->refused == 0)
    return BT_OK;
  (void)snprintf(words, sizeof words, "%lld refused line%s", (long long)of->refused,
                 of->refused == 1 ? "" : "s");
  return evidence_add_unread(log, words, error);
}

static bt_status find_one(bt_ledger *ledger, const bt_case *one, const wanted *of,
                          const char *const *folders, size_t n, evidence_logs *logs, bool *found,
                          bt_error *error) {
  *found = false;
  for (size_t i = 0; i < logs->n; i++) { /* read twice, in two ways */
    char hex[BT_SHA256_TEXT];
    *found = *found || strcmp(bt_sha256_text(logs->log[i].sha256, hex), of->sha256) == 0;
  }
  if (*found)
    return BT_OK;
  bt_status status = BT_OK;
  for (size_t f = 0; f < n && status == BT_OK && !*found; f++)
    status = try_folder(of, folders[f], logs, found, error);
  if (status == BT_OK && *found)
    status = note_refused(of, &logs->log[logs->n - 1], error);
  if (status == BT_OK && *found)
    status = note_other_units(ledger, one, of, &logs->log[logs->n - 1], error);
  return status;
}

/* A log file has its name, and of each content that was imported a version. Each counts once,
 * whichever times it was read. */
static void count_absent(const wanted_list *list, size_t i, evidence_logs *logs) {
  bool again = false, earlier = false;
  for (size_t k = i + 1; k < list->n; k++) {
    bool same = strcmp(list->of[k].sha256, list->of[i].sha256) == 0;
    again = again || same;
    earlier = earlier || (!same && strcmp(list->of[k].name, list->of[i].name) == 0);
  }
  logs->absent += !again && !earlier;
  logs->earlier += !again && earlier;
}

static void say_absent(const evidence_logs *logs) {
  bt_text words = {0};
  if (logs->absent > 0)
    bt_text_format(&words, "%zu log file%s", logs->absent, logs->absent == 1 ? "" : "s");
  if (logs->earlier > 0)
    bt_text_format(&words, "%s%zu earlier version%s of log files", logs->absent > 0 ? " and " : "",
                   logs->earlier, logs->earlier == 1 ? "" : "s");
  cli_say("%s %s not at hand as imported, and so not in the folder; name the folders where they "
          "lie as further words",
          bt_text_get(&words), logs->absent + logs->earlier == 1 ? "is" : "are");
  bt_text_free(&words);
}

/* How a log that was read twice was read last: that is what stands. Borrowed. */
static wanted as_read_last(const wanted_list *list, size_t i) {
  wanted of = list->of[i];
  for (size_t k = i + 1; k < list->n; k++)
    if (strcmp(list->of[k].sha256, of.sha256) == 0) {
      of.reading = list->of[k].reading;
      of.refused = list->of[k].refused;
    }
  return of;
}

bt_status evidence_logs_find(const cli_context *cli, bt_ledger *ledger, const bt_case *one,
                             char *const *folders, size_t folders_n, evidence_logs *logs,
                             bt_error *error) {
  wanted_list list = {.one = one};
  char *beside = bt_folder_of(cli->ledger);
  const char **all = bt_new(folders_n + 2, sizeof *all);
  bt_status status =
      beside == NULL || all == NULL ? bt_fail_memory(error) : want_all(ledger, &list, error);
  for (size_t f = 0; f < folders_n && status == BT_OK; f++)
    all[f] = folders[f];
  if (status == BT_OK) {
    all[folders_n] = ".";
    all[folders_n + 1] = beside;
  }
  for (size_t i = 0; i < list.n && status == BT_OK; i++) {
    wanted of = as_read_last(&list, i);
    bool found = false;
    size_t had = logs->n;
    status = find_one(ledger, one, &of, all, folders_n + 2, logs, &found, error);
    if (status == BT_OK && logs->n > had &&
        list.removed) /* which file had it isn't known any more */
      status =
          evidence_add_unread(&logs->log[logs->n - 1],
                              "texts, if they are of it, that were removed from the record", error);
    if (status == BT_OK && !found)
      count_absent(&list, i, logs);
  }
  if (status == BT_OK && logs->absent + logs->earlier > 0 && !cli->quiet)
    say_absent(logs);
  want_free(&list);
  free(all);
  free(beside);
  return status;
}

cli_exit evidence_logs_confirm(const cli_context *cli, const evidence_logs *logs) {
  bool asks = false;
  for (size_t i = 0; i < logs->n; i++)
    if (logs->log[i].unread != NULL) {
      bt_text words = {0};
      (void)cli_plain(&words, logs->log[i].unread, SIZE_MAX);
      cli_say(
          "%s goes along whole; what the folder leaves out elsewhere, or the ledger never took, is in "
          "it: %s",
          logs->log[i].path, bt_text_get(&words));
      bt_text_free(&words);
      asks = true;
    }
  return asks ? cli_confirm(cli) : CLI_DONE;
}

/* ---- Copying --------------------------------------------------------------------------------- */

bt_status evidence_log_write(void *context, FILE *stream, bt_error *error) {
  const evidence_logs *logs = context;
  const evidence_log *log = &logs->log[logs->writing];
  char bytes[1 << 14];
  unsigned char sha256[BT_SHA256_BYTES];
  size_t n;
  FILE *file = fopen(log->path, "rbe");
  if (file == NULL)
    return bt_fail(error, BT_SYSTEM, "%s can't be read: %s", log->path, strerror(errno));
  while ((n = fread(bytes, 1, sizeof bytes, file)) > 0)
    (void)fwrite(bytes, 1, n, stream); /* a failure stays with the stream */
  bool whole = ferror(file) == 0;
  (void)fclose(file);
  bt_status status = whole ? bt_emit_file_digest(log->path, sha256, error)
                           : bt_fail(error, BT_SYSTEM, "%s can't be read", log->path);
  if (status == BT_OK && memcmp(sha256, log->sha256, sizeof sha256) != 0)
    status = bt_fail(error, BT_REFUSED, "%s changed meanwhile; do it again", log->path);
  return status;
}

void evidence_logs_free(evidence_logs *logs) {
  for (size_t i = 0; i < logs->n; i++) {
    free(logs->log[i].name);
    free(logs->log[i].path);
    free(logs->log[i].unread);
  }
  free(logs->log);
  *logs = (evidence_logs){0};
}
