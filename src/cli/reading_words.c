/* How a log was read, for people. The ledger keeps the delimiter as the number of its byte, and
 * that text decides whether a file is the same; where it is written out the delimiter is a word, as
 * maps and --delimiter have it. */
#include "reading.h"

#include <stdlib.h>
#include <string.h>

static const char key[] = "\ndelimiter ";

const char *cli_delimiter_words(char delimiter, char one[2]) {
  one[0] = delimiter;
  one[1] = '\0';
  return delimiter == ','    ? "comma"
         : delimiter == ';'  ? "semicolon"
         : delimiter == '\t' ? "tab"
         : delimiter == '|'  ? "pipe"
                             : one;
}

/* `reading` with its delimiter as a word, into `words`; as it is where it has no such number. */
static void add_words(bt_text *words, const char *reading) {
  char one[2], *end = NULL;
  const char *number = strstr(reading, key);
  number = number == NULL ? NULL : number + sizeof key - 1;
  long delimiter = number == NULL ? 0 : strtol(number, &end, 10);
  if (delimiter <= 0 || delimiter > 127 || *end != '\n') {
    bt_text_add(words, reading);
    return;
  }
  bt_text_add_bytes(words, reading, (size_t)(number - reading));
  bt_text_add(words, cli_delimiter_words((char)delimiter, one));
  bt_text_add(words, end);
}

static bt_status put_columns(void *context, const char *const *names, size_t n, bt_error *error) {
  cli_worded *of = context;
  of->column = n;
  for (size_t i = 0; i < n; i++)
    if (strcmp(names[i], "reading") == 0)
      of->column = i;
  if (of->column == n)
    return bt_fail(error, BT_DAMAGED, "the table of sources lacks a column");
  return of->to->columns(of->to->context, names, n, error);
}

static bt_status put_row(void *context, const bt_cell *cells, size_t n, bt_error *error) {
  const cli_worded *of = context;
  bt_text words = {0};
  if (cells[of->column].type != BT_CELL_TEXT || cells[of->column].text == NULL)
    return of->to->row(of->to->context, cells, n, error); /* what was typed in was not read */
  bt_cell *row = bt_new(n, sizeof *row);
  add_words(&words, cells[of->column].text);
  bool whole = row != NULL && bt_text_ok(&words);
  if (whole) {
    memcpy(row, cells, n * sizeof *row);
    row[of->column].text = bt_text_get(&words);
  }
  bt_status status = whole ? of->to->row(of->to->context, row, n, error) : bt_fail_memory(error);
  bt_text_free(&words);
  free(row);
  return status;
}

bt_table_sink cli_in_words(cli_worded *of, const bt_table_sink *to) {
  *of = (cli_worded){.to = to};
  return (bt_table_sink){.context = of, .columns = put_columns, .row = put_row};
}
