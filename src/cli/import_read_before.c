/* A log of a kind that came before, and is given without the map that it was read by then. */
#include "import_said.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

/* A ledger knows a map by its name alone: where it lies, in the working folder or beside the log;
 * else as it is called. */
static void add_map(const char *map, const char *path, bt_text *out) {
  bt_text beside = {0};
  const char *slash = strrchr(path, '/');
  if (slash != NULL)
    bt_text_add_bytes(&beside, path, (size_t)(slash - path) + 1);
  bt_text_add(&beside, map);
  bool here = access(map, F_OK) == 0, there = access(bt_text_get(&beside), F_OK) == 0;
  bt_text_add_shell_word(out, !here && there ? bt_text_get(&beside) : map);
  bt_text_free(&beside);
}

/* "log.csv, imported on 2026-09-01, was read by the map log.map.ini". */
static void add_before(const bt_read_before *before, bt_text *out) {
  char day[BT_TIME_TEXT];
  (void)cli_plain(out, before->name, SIZE_MAX);
  bt_text_format(out, ", imported on %s, was read ", bt_time_day_iso(before->at, day));
  if (before->map == NULL) {
    bt_text_add(out, "in another way");
    return;
  }
  bt_text_add(out, "by the map ");
  (void)cli_plain(out, before->map, SIZE_MAX);
}

static void add_command(const bt_read_before *before, const char *path, bt_text *out) {
  bt_text_add(out, "`beamtally import --map ");
  if (before->map == NULL)
    bt_text_add(out, "MAP");
  else
    add_map(before->map, path, out);
  bt_text_add(out, " ");
  bt_text_add_shell_word(out, path);
  bt_text_add(out, "`");
}

static bt_status find(bt_ledger *ledger, const bt_source *source, const bt_survey *survey,
                      bt_read_before *before, bt_error *error) {
  size_t n = survey == NULL ? 0 : survey->columns_n;
  const char **headers = bt_new(n, sizeof *headers);
  if (headers == NULL)
    return bt_fail_memory(error);
  for (size_t i = 0; i < n; i++)
    headers[i] = survey->columns[i].header;
  bt_status status = bt_ledger_read_before(ledger, source, headers, n, before, error);
  free(headers);
  return status;
}

bt_status import_ask_for_map(bt_ledger *ledger, const bt_survey *survey, const char *path,
                             bt_error *error) {
  bt_read_before before;
  bt_text words = {0};
  bt_status status = find(ledger, &survey->source, survey, &before, error);
  if (status != BT_OK || before.name == NULL)
    return status;
  bool same_name = strcmp(before.name, survey->source.name) == 0;
  add_before(&before, &words);
  bt_text_format(&words, "%s, and this file is given without a map (",
                 same_name ? "" : " and has the same columns");
  (void)cli_plain(&words, before.differs, 300);
  bt_text_add(&words, before.map == NULL ? "); if a map was given then: " : "); as then: ");
  add_command(&before, path, &words);
  if (before.map == NULL)
    cli_say("%s: %s", path, bt_text_get(&words));
  else
    status = bt_fail(error, BT_REFUSED,
                     "%s; or say --again, with --by and --why, if it is to be read in another way. "
                     "Nothing was stored",
                     bt_text_get(&words));
  bt_text_free(&words);
  bt_read_before_free(&before);
  return status;
}

bt_status import_add_map(bt_ledger *ledger, const char *path, const bt_reading_choices *choices,
                         bt_error *error) {
  bt_error own = {0};
  bt_read_before before;
  bt_text words = {0};
  const char *slash = strrchr(path, '/');
  const bt_source source = {.name = slash == NULL ? path : slash + 1};
  bt_status cause = error->status;
  bt_survey *preview = NULL;
  struct stat about; /* what isn't a plain file can't be read a second time */
  if (cause != BT_INPUT || stat(path, &about) != 0 || !S_ISREG(about.st_mode) ||
      bt_preview_file(path, choices, &preview, &own) != BT_OK)
    return cause;
  bt_status status = find(ledger, &source, preview, &before, &own);
  bt_survey_free(preview);
  if (status != BT_OK || before.name == NULL)
    return cause;
  add_before(&before, &words);
  if (strcmp(before.name, source.name) != 0)
    bt_text_add(&words, " and has the same columns");
  bt_text_add(&words, ": ");
  add_command(&before, path, &words);
  bt_text first = {0};
  bt_text_add(&first, error->text);
  cause = bt_fail(error, cause, "%s. Without it: %s", bt_text_get(&words), bt_text_get(&first));
  bt_text_free(&first);
  bt_text_free(&words);
  bt_read_before_free(&before);
  return cause;
}
