/* Tables, row by row, as CSV or as a JSON array of objects; nothing but the names of the columns is
 * held.
 *
 * CSV is RFC 4180: CRLF, fields with a comma, a quotation mark or a line end in quotation marks,
 * these doubled. A text that a spreadsheet would take for a formula gets an apostrophe before it,
 * and so does one that begins so behind apostrophes of its own; an import of such a file removes
 * one. An empty cell is nothing between commas, null in JSON. Bytes that are no UTF-8 become
 * U+FFFD, in JSON because it must be UTF-8, in CSV so that both say the same. */
#include "emit_room.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static const char replacement[] = "\xEF\xBF\xBD"; /* U+FFFD */

static bt_status stream_status(const bt_table_writer *writer, bt_error *error) {
  if (ferror(writer->stream) == 0)
    return BT_OK;
  return bt_fail(error, BT_SYSTEM, "the output could not be written; is the disk full?");
}

/* Bytes of the character that text begins with; 0 where they are no UTF-8. */
static size_t character(const char *text) {
  unsigned char first = (unsigned char)*text;
  size_t length = first < 0x80 ? 1 : first < 0xE0 ? 2 : first < 0xF0 ? 3 : 4;
  return strnlen(text, length) == length && bt_utf8_valid(text, length) ? length : 0;
}

static void put_character(const char *text, size_t length, FILE *stream) {
  if (length == 0)
    (void)fputs(replacement, stream);
  else
    (void)fwrite(text, 1, length, stream);
}

void emit_csv_text(const char *text, FILE *stream) {
  const char *first = text + strspn(text, "'");
  bool formula = *first != '\0' && strchr("=+-@\t\r", *first) != NULL;
  bool quoted = strpbrk(text, ",\"\r\n") != NULL;
  if (quoted)
    (void)fputc('"', stream);
  if (formula)
    (void)fputc('\'', stream);
  while (*text != '\0') {
    size_t length = character(text);
    if (*text == '"')
      (void)fputc('"', stream);
    put_character(text, length, stream);
    text += length == 0 ? 1 : length;
  }
  if (quoted)
    (void)fputc('"', stream);
}

static void put_json_text(const char *text, FILE *stream) {
  (void)fputc('"', stream);
  while (*text != '\0') {
    size_t length = character(text);
    if (*text == '"' || *text == '\\')
      (void)fputc('\\', stream);
    if ((unsigned char)*text < 0x20)
      (void)fprintf(stream, "\\u%04x", (unsigned)*text);
    else
      put_character(text, length, stream);
    text += length == 0 ? 1 : length;
  }
  (void)fputc('"', stream);
}

static void put_text(const bt_table_writer *writer, const char *text) {
  if (writer->json)
    put_json_text(text, writer->stream);
  else
    emit_csv_text(text, writer->stream);
}

/* A time needs no quoting in CSV and is a string in JSON. */
static void put_time(const bt_table_writer *writer, const bt_cell *cell) {
  char buffer[BT_TIME_TEXT];
  bt_time time = cell->integer;
  if (cell->type == BT_CELL_DAY)
    (void)bt_time_day_iso(time, buffer);
  else if (cell->type == BT_CELL_MOMENT)
    (void)bt_time_iso(time, true, buffer);
  else {
    bt_civil civil = bt_civil_of(time);
    int length = snprintf(buffer, sizeof buffer, "%02d:%02d", civil.hour, civil.minute);
    if (civil.second != 0 && length > 0)
      (void)snprintf(buffer + length, sizeof buffer - (size_t)length, ":%02d", civil.second);
  }
  put_text(writer, buffer);
}

/* The fewest digits, 15 or more, that read back as the same number. No minus before a zero. */
static void put_real(double value, FILE *stream) {
  char text[32] = "0";
  for (int digits = 15; digits <= 17 && value != 0; digits++) {
    (void)snprintf(text, sizeof text, "%.*g", digits, value);
    if (strtod(text, NULL) == value)
      break;
  }
  (void)fputs(text, stream);
}

static bool is_empty(const bt_cell *cell) {
  return cell->type == BT_CELL_EMPTY || (cell->type == BT_CELL_TEXT && cell->text == NULL) ||
         (cell->type == BT_CELL_REAL && !isfinite(cell->real));
}

static void put_cell(const bt_table_writer *writer, const bt_cell *cell) {
  if (is_empty(cell)) {
    (void)fputs(writer->json ? "null" : "", writer->stream);
    return;
  }
  switch (cell->type) {
  case BT_CELL_INTEGER:
    (void)fprintf(writer->stream, "%lld", (long long)cell->integer);
    break;
  case BT_CELL_REAL:
    put_real(cell->real, writer->stream);
    break;
  case BT_CELL_TEXT:
    put_text(writer, cell->text);
    break;
  case BT_CELL_EMPTY:
    break;
  case BT_CELL_DAY:
  case BT_CELL_CLOCK:
  case BT_CELL_MOMENT:
    put_time(writer, cell);
    break;
  }
}

static void drop_names(bt_table_writer *writer) {
  for (size_t i = 0; i < writer->n; i++)
    free(writer->names[i]);
  free(writer->names);
  writer->names = NULL;
  writer->n = 0;
}

static bt_status put_columns(void *context, const char *const *names, size_t n, bt_error *error) {
  bt_table_writer *writer = context;
  drop_names(writer);
  writer->names = bt_new(n, sizeof *writer->names);
  if (writer->names == NULL)
    return bt_fail_memory(error);
  for (; writer->n < n; writer->n++) {
    writer->names[writer->n] = bt_copy(names[writer->n]);
    if (writer->names[writer->n] == NULL)
      return bt_fail_memory(error);
  }
  for (size_t i = 0; i < n && !writer->json; i++) {
    (void)fputs(i > 0 ? "," : "", writer->stream);
    put_text(writer, names[i]);
  }
  if (!writer->json)
    (void)fputs("\r\n", writer->stream);
  return stream_status(writer, error);
}

static bt_status put_row(void *context, const bt_cell *cells, size_t n, bt_error *error) {
  bt_table_writer *writer = context;
  if (n != writer->n)
    return bt_fail(error, BT_USAGE, "a row of %zu cells in a table of %zu columns", n, writer->n);
  if (writer->json)
    (void)fputs(writer->rows == 0 ? "[{" : ",\n {", writer->stream);
  for (size_t i = 0; i < n; i++) {
    (void)fputs(i > 0 ? "," : "", writer->stream);
    if (writer->json) {
      put_text(writer, writer->names[i]);
      (void)fputc(':', writer->stream);
    }
    put_cell(writer, &cells[i]);
  }
  (void)fputs(writer->json ? "}" : "\r\n", writer->stream);
  writer->rows++;
  return stream_status(writer, error);
}

bt_table_sink bt_table_writer_open(bt_table_writer *writer, FILE *stream, bool json) {
  *writer = (bt_table_writer){.stream = stream, .json = json};
  return (bt_table_sink){.context = writer, .columns = put_columns, .row = put_row};
}

bt_status bt_table_writer_close(bt_table_writer *writer, bt_error *error) {
  if (writer->json)
    (void)fputs(writer->rows == 0 ? "[]\n" : "]\n", writer->stream);
  drop_names(writer);
  (void)fflush(writer->stream);
  return stream_status(writer, error);
}
