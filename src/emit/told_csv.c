/* Reading a CSV that we wrote: CR LF or LF, quoted fields, quotation marks doubled. */
#include "told_room.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

bt_status emit_told_file(const char *folder, const char *name, char **text, bt_error *error) {
  char bytes[1 << 14];
  bt_text path = {0}, all = {0};
  size_t n;
  bt_text_format(&path, "%s/%s", folder, name);
  FILE *file = bt_text_ok(&path) ? fopen(bt_text_get(&path), "rbe") : NULL;
  bt_text_free(&path);
  if (file == NULL)
    return bt_fail(error, BT_DAMAGED, "%s is not there, or can't be read", name);
  while ((n = fread(bytes, 1, sizeof bytes, file)) > 0)
    bt_text_add_bytes(&all, bytes, n);
  bool whole = ferror(file) == 0;
  (void)fclose(file);
  if (!whole || all.length == 0 || memchr(bt_text_get(&all), '\0', all.length) != NULL) {
    bt_text_free(&all);
    return bt_fail(error, BT_DAMAGED, "%s is empty, or can't be read as text", name);
  }
  *text = bt_text_take(&all);
  return *text != NULL ? BT_OK : bt_fail_memory(error);
}

/* Cuts the field at csv->at out of the text; *more tells of a comma behind it. */
static char *field(emit_csv *csv, bool *more) {
  char *from = csv->at, *to = csv->at, *begun = csv->at;
  bool quoted = *from == '"';
  from += quoted;
  while (*from != '\0') {
    if (quoted && *from == '"') {
      if (from[1] != '"') {
        quoted = false;
        from++;
        continue;
      }
      from++;
    } else if (!quoted && (*from == ',' || *from == '\n' || *from == '\r'))
      break;
    csv->next_line += *from == '\n';
    *to++ = *from++;
  }
  *more = *from == ',';
  if (*from == '\r' && from[1] == '\n')
    from++;
  csv->next_line += *from == '\n';
  csv->at = *from == '\0' ? from : from + 1;
  *to = '\0';
  return begun;
}

static size_t fields(emit_csv *csv, char **cells) {
  size_t n = 0;
  bool more = true;
  csv->line = csv->next_line;
  while (more && n < EMIT_TOLD_COLUMNS)
    cells[n++] = field(csv, &more);
  return more ? 0 : n;
}

bt_status emit_csv_open(const char *folder, const char *name, emit_csv *csv, bt_error *error) {
  *csv = (emit_csv){.file = name, .next_line = 1};
  bt_status status = emit_told_file(folder, name, &csv->text, error);
  if (status != BT_OK)
    return status;
  csv->at = csv->text;
  csv->columns = fields(csv, csv->column);
  return csv->columns > 0 ? BT_OK : bt_fail(error, BT_DAMAGED, "%s has too many columns", name);
}

void emit_csv_close(emit_csv *csv) {
  free(csv->text);
  *csv = (emit_csv){0};
}

bt_status emit_csv_next(emit_csv *csv, bool *row, bt_error *error) {
  *row = *csv->at != '\0';
  if (!*row || fields(csv, csv->cell) == csv->columns)
    return BT_OK;
  return bt_fail(error, BT_DAMAGED, "%s, line %lld: the row doesn't have %zu cells", csv->file,
                 (long long)csv->line, csv->columns);
}

const char *emit_csv_cell(const emit_csv *csv, const char *column) {
  for (size_t i = 0; i < csv->columns; i++)
    if (strcmp(csv->column[i], column) == 0)
      return csv->cell[i];
  return NULL;
}

const char *emit_csv_last_cell(const emit_csv *csv, const char *column) {
  for (size_t i = csv->columns; i > 0; i--)
    if (strcmp(csv->column[i - 1], column) == 0)
      return csv->cell[i - 1];
  return NULL;
}

bool emit_csv_moment(const emit_csv *csv, bt_time *at, bool *has_clock) {
  const char *date = emit_csv_cell(csv, "date"), *clock = emit_csv_cell(csv, "time");
  char text[BT_TIME_TEXT];
  *at = 0;
  *has_clock = clock != NULL && *clock != '\0';
  if (date == NULL || clock == NULL)
    return false;
  int length = snprintf(text, sizeof text, "%s%s%s", date, *has_clock ? "T" : "", clock);
  return length > 0 && (size_t)length < sizeof text && bt_time_parse(text, at, NULL);
}

bt_status emit_csv_wrong(const emit_csv *csv, const char *column, bt_error *error) {
  const char *cell = emit_csv_cell(csv, column);
  return bt_fail(error, BT_DAMAGED, "%s, line %lld: %s can't be \"%.40s\"", csv->file,
                 (long long)csv->line, column, cell == NULL ? "(no such column)" : cell);
}
