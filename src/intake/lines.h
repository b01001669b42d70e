/* The physical lines of a log, in UTF-8, with their numbers; the file is never held whole. */
#ifndef INTAKE_LINES_H
#define INTAKE_LINES_H

#include "bytes.h"

/* Longer lines are skipped and shown as a problem: no log of checks has them. */
enum { INTAKE_LINE_MAX = 262144 };

typedef enum intake_line_problem {
  INTAKE_LINE_FINE,
  INTAKE_LINE_LONG,
  INTAKE_LINE_NUL,
  INTAKE_LINE_NOT_UTF8
} intake_line_problem;

typedef struct intake_line {
  const char *text; /* borrowed until the next line is read; not NUL-terminated */
  size_t length;    /* with its line end; 0 at the end of the file */
  int64_t number;   /* from 1 */
  intake_line_problem problem;
} intake_line;

typedef struct intake_lines {
  intake_bytes bytes;
  bt_decoder *decoder; /* NULL: the file is UTF-8 */
  char end;            /* '\n', or '\r' where that alone ends lines */
  char *buffer;
  size_t start, scanned, filled, capacity;
  char *piece; /* bytes before they are decoded */
  bt_text decoded;
  bool ended;
  bool multibyte; /* a character beyond ASCII was seen */
  int64_t number;
  int64_t most; /* bytes behind which the file counts as ended; 0: none. Set once it is open */
} intake_lines;

bt_status intake_lines_open(intake_lines *lines, const char *path, int spool, const char *encoding,
                            char end, bt_error *error) BT_MUST_CHECK;
void intake_lines_close(intake_lines *lines);
bt_status intake_lines_next(intake_lines *lines, intake_line *line, bt_error *error) BT_MUST_CHECK;

/* "utf8", "UTF-8" ... */
bool intake_is_utf8(const char *encoding);

#endif
