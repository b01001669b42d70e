/* Lines of a log that are told of: the first of them, and how many there are. */
#include "import_heard.h"

void import_lines_hear(import_lines *of, int64_t line) {
  if (of->n < IMPORT_LINES_SHOWN)
    of->first[of->n] = line;
  of->n++;
}

void import_lines_add(const import_lines *of, bt_text *words) {
  bt_text_add(words, of->n == 1 ? "line " : "lines ");
  for (int64_t i = 0; i < of->n && i < IMPORT_LINES_SHOWN; i++)
    bt_text_format(words, "%s%lld", i == 0 ? "" : ", ", (long long)of->first[i]);
  if (of->n > IMPORT_LINES_SHOWN)
    bt_text_format(words, " and %lld more", (long long)(of->n - IMPORT_LINES_SHOWN));
}
