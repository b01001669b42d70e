/* --with-sources: the log files themselves, where they are still at hand.
 *
 * R1 A file is a source when its name and SHA-256 are; another of that name is left alone.
 * R2 None goes along that has a column which looks like a patient's identity.
 * R3 What nobody has looked at, columns that no map names and rows of other lasers, is said, and
 *    goes along only after a person's yes. */
#include "evidence.h"

#include <errno.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

/* One source of the case as the ledger has it. */
typedef struct wanted {
  int64_t number;
  char *name, *sha256, *reading;
} wanted;

typedef struct wanted_list {
  const bt_case *one;
  wanted *of;
  size_t n, room;
  int number, name, kind, sha256, reading;
} wanted_list;

static bt_status want_columns(void *context, const char *const *names, size_t n, bt_error *error) {
  wanted_list *list = context;
  (void)error;
  for (size_t i = 0; i < n; i++) {
    int at = (int)i;
    list->number = strcmp(names[i], "number") == 0 ? at : list->number;
    list->name = strcmp(names[i], "name") == 0 ? at : list->name;
    list->kind = strcmp(names[i], "kind") == 0 ? at : list->kind;
    list->sha256 = strcmp(names[i], "sha256") == 0 ? at : list->sha256;
    list->reading = strcmp(names[i], "reading") == 0 ? at : list->reading;
  }
  return BT_OK;
}

static bool is_log(const char *kind) {
  return kind != NULL && (strcmp(kind, "checks") == 0 || strcmp(kind, "events") == 0);
}

static bt_status want_source(void *context, const bt_cell *cells, size_t n, bt_error *error) {
  wanted_list *list = context;
  bool ours = false;
  (void)n;
  for (size_t i = 0; i < list->one->sources_n; i++)
    ours = ours || list->one->sources[i].number == cells[list->number].integer;
  if (!ours || !is_log(cells[list->kind].text) || cells[list->sha256].text == NULL)
    return BT_OK;
  if (!bt_grow(&list->of, &list->room, list->n + 1, sizeof *list->of))
    return bt_fail_memory(error);
  wanted *one = &list->of[list->n++];
  one->number = cells[list->number].integer;
  one->name = bt_copy(cells[list->name].text);
  one->sha256 = bt_copy(cells[list->sha256].text);
  one->reading = bt_copy(cells[list->reading].text);
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

/* ---- How it was read ------------------------------------------------------------------------- */

/* The text after `name` in the line of `reading` that begins with it; NULL. */
static const char *line_of(const char *reading, const char *name) {
  size_t length = strlen(name);
  for (const char *at = reading; at != NULL && *at != '\0';) {
    if (strncmp(at, name, length) == 0)
      return at + length;
    at = strchr(at, '\n');
    at = at == NULL ? NULL : at + 1;
  }
  return NULL;
}

/* `column 5 energy_mj "E Ist (mJ)" in J`: key and header, owned. */
static bool read_column(const char *line, bt_column_choice *column) {
  const char *key = strchr(line, ' '), *end = line + strcspn(line, "\n");
  const char *open = key == NULL ? NULL : strchr(key + 1, ' ');
  if (open == NULL || open >= end || open[1] != '"')
    return false;
  const char *close = end - 1;
  while (close > open + 1 && *close != '"')
    close--;
  bt_text key_text = {0}, header = {0};
  bt_text_add_bytes(&key_text, key + 1, (size_t)(open - key - 1));
  bt_text_add_bytes(&header, open + 2, (size_t)(close - open - 2));
  *column = (bt_column_choice){.key = bt_text_take(&key_text), .header = bt_text_take(&header)};
  return column->key != NULL && column->header != NULL;
}

/* What `reading` says of columns, delimiter and encoding, as a map would. */
static bt_status choices_of(const char *reading, bt_reading_choices *choices, bt_error *error) {
  size_t room = 0;
  const char *encoding = line_of(reading, "encoding "), *delimiter = line_of(reading, "delimiter ");
  bt_text word = {0};
  *choices = (bt_reading_choices){.long_form = line_of(reading, "form long") != NULL};
  if (delimiter != NULL)
    choices->delimiter = (char)strtol(delimiter, NULL, 10);
  if (encoding != NULL)
    bt_text_add_bytes(&word, encoding, strcspn(encoding, "\n"));
  choices->encoding = bt_text_take(&word);
  bool whole = choices->encoding != NULL;
  for (const char *at = line_of(reading, "column "); at != NULL && whole;
       at = line_of(strchr(at, '\n'), "column ")) {
    bt_column_choice column = {0};
    whole = bt_grow(&choices->columns, &room, choices->columns_n + 1, sizeof *choices->columns) &&
            read_column(at, &column);
    if (whole)
      choices->columns[choices->columns_n++] = column;
    else {
      free(column.key);
      free(column.header);
    }
    if (strchr(at, '\n') == NULL)
      break;
  }
  return whole ? BT_OK : bt_fail_memory(error);
}

/* R2, R3: columns of a log that was found. */
static bt_status look_at_columns(evidence_log *log, const char *reading, bt_error *error) {
  bt_reading_choices choices = {0};
  bt_survey *survey = NULL;
  bt_text unmapped = {0};
  bt_status status = choices_of(reading, &choices, error);
  if (status == BT_OK)
    status = bt_preview_file(log->path, &choices, &survey, error);
  for (size_t i = 0; status == BT_OK && i < survey->columns_n; i++) {
    const bt_survey_column *column = &survey->columns[i];
    if (column->identity)
      status = bt_fail(error, BT_REFUSED,
                       "%s is not put into the folder: its column \"%s\" looks like a patient's "
                       "identity; leave --with-sources out, the readings go along all the same",
                       log->path, column->header);
    else if (column->key == NULL)
      bt_text_format(&unmapped, "%s\"%s\"", unmapped.length > 0 ? ", " : "", column->header);
  }
  if (status == BT_OK && !bt_text_empty(&unmapped) &&
      (log->unmapped = bt_text_take(&unmapped)) == NULL)
    status = bt_fail_memory(error);
  bt_text_free(&unmapped);
  bt_survey_free(survey);
  bt_reading_choices_free(&choices);
  return status;
}

/* ---- Finding them ---------------------------------------------------------------------------- */

static void hex_of(const unsigned char *sha256, char *text) {
  static const char digits[] = "0123456789abcdef";
  for (size_t i = 0; i < BT_SHA256_BYTES; i++) {
    text[2 * i] = digits[sha256[i] >> 4];
    text[2 * i + 1] = digits[sha256[i] & 15];
  }
  text[(size_t)2 * BT_SHA256_BYTES] = '\0';
}

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
  char hex[2 * BT_SHA256_BYTES + 1];
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
  if (readable)
    hex_of(sha256, hex);
  if (!readable || strcmp(hex, of->sha256) != 0) {
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
  return look_at_columns(&logs->log[logs->n - 1], of->reading, error);
}

/* The ledger's own folder, owned. */
static char *ledger_folder(const cli_context *cli) {
  const char *slash = strrchr(cli->ledger, '/');
  bt_text folder = {0};
  if (slash == NULL)
    bt_text_add(&folder, ".");
  else
    bt_text_add_bytes(&folder, cli->ledger,
                      slash == cli->ledger ? 1 : (size_t)(slash - cli->ledger));
  return bt_text_take(&folder);
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
  bt_text words = {0};
  bt_text_format(&words, "%s%srows of other lasers", log->unmapped == NULL ? "" : log->unmapped,
                 log->unmapped == NULL ? "" : ", and ");
  free(log->unmapped);
  log->unmapped = bt_text_take(&words);
  return log->unmapped != NULL ? BT_OK : bt_fail_memory(error);
}

static bt_status find_one(bt_ledger *ledger, const bt_case *one, const wanted *of,
                          const char *const *folders, size_t n, evidence_logs *logs,
                          bt_error *error) {
  bool found = false;
  for (size_t i = 0; i < logs->n; i++) /* read twice, in two ways */
    if (logs->log[i].path != NULL) {
      char hex[2 * BT_SHA256_BYTES + 1];
      hex_of(logs->log[i].sha256, hex);
      if (strcmp(hex, of->sha256) == 0)
        return BT_OK;
    }
  bt_status status = BT_OK;
  for (size_t f = 0; f < n && status == BT_OK && !found; f++)
    status = try_folder(of, folders[f], logs, &found, error);
  if (status == BT_OK && found)
    status = note_other_units(ledger, one, of, &logs->log[logs->n - 1], error);
  logs->absent += status == BT_OK && !found;
  return status;
}

/* How a log that was read twice was read last: that is what stands. Borrowed. */
static wanted as_read_last(const wanted_list *list, size_t i) {
  wanted of = list->of[i];
  for (size_t k = i + 1; k < list->n; k++)
    if (strcmp(list->of[k].sha256, of.sha256) == 0)
      of.reading = list->of[k].reading;
  return of;
}

bt_status evidence_logs_find(const cli_context *cli, bt_ledger *ledger, const bt_case *one,
                             char *const *folders, size_t folders_n, evidence_logs *logs,
                             bt_error *error) {
  wanted_list list = {.one = one};
  const bt_table_sink sink = {.context = &list, .columns = want_columns, .row = want_source};
  char *beside = ledger_folder(cli);
  const char **all = bt_new(folders_n + 2, sizeof *all);
  bt_status status = beside == NULL || all == NULL
                         ? bt_fail_memory(error)
                         : bt_ledger_table(ledger, BT_TABLE_SOURCES, &sink, error);
  for (size_t f = 0; f < folders_n && status == BT_OK; f++)
    all[f] = folders[f];
  if (status == BT_OK) {
    all[folders_n] = ".";
    all[folders_n + 1] = beside;
  }
  for (size_t i = 0; i < list.n && status == BT_OK; i++) {
    wanted of = as_read_last(&list, i);
    status = find_one(ledger, one, &of, all, folders_n + 2, logs, error);
  }
  if (status == BT_OK && logs->absent > 0 && !cli->quiet)
    cli_say("%zu log file%s not at hand as imported, and so not in the folder; name the folders "
            "where they lie as further words",
            logs->absent, logs->absent == 1 ? " is" : "s are");
  want_free(&list);
  free(all);
  free(beside);
  return status;
}

cli_exit evidence_logs_confirm(const cli_context *cli, const evidence_logs *logs) {
  bool asks = false;
  for (size_t i = 0; i < logs->n; i++)
    if (logs->log[i].unmapped != NULL) {
      bt_text words = {0};
      (void)cli_plain(&words, logs->log[i].unmapped, 400);
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
    free(logs->log[i].unmapped);
  }
  free(logs->log);
  *logs = (evidence_logs){0};
}
