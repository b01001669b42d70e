/* Words of README.txt, broken into lines. */
#include "case_room.h"

#include <string.h>

void emit_case_wrapped(const char *words, size_t column, size_t indent, size_t width,
                       FILE *stream) {
  bool begins = true;
  for (const char *at = words; *at != '\0';) {
    size_t length = strcspn(at, " ");
    if (column + !begins + length > width) {
      (void)fprintf(stream, "\n%*s", (int)indent, "");
      column = indent;
      begins = true;
    }
    (void)fprintf(stream, "%s%.*s", begins ? "" : " ", (int)length, at);
    column += !begins + length;
    begins = false;
    at += length + (at[length] == ' ');
  }
}
