/* A text as it is kept, whether it stood in a cell or was typed: an export must come back as the
 * same text. */
#include "beamtally/intake.h"
#include "words.h"

#include "beamtally/intake.h"

#include <string.h>

static bool blank(char c) {
  return c == ' ' || c == '\t' || c == '\r' || c == '\n';
}

/* A no-break space, as spreadsheets and web pages put beside numbers: U+00A0. */
static bool no_break(const char *text) {
  return text[0] == '\xC2' && text[1] == '\xA0';
}

char *intake_trim(char *text) {
  while (blank(*text) || no_break(text))
    text += blank(*text) ? 1 : 2;
  size_t length = strlen(text);
  for (;;) {
    if (length > 0 && blank(text[length - 1]))
      length--;
    else if (length > 1 && no_break(text + length - 2))
      length -= 2;
    else
      break;
  }
  text[length] = '\0';
  return text;
}

void intake_join_line_ends(char *text) {
  if (strchr(text, '\r') == NULL)
    return;
  char *to = text;
  for (const char *from = text; *from != '\0'; from++) {
    if (from[0] == '\r' && from[1] == '\n')
      continue;
    *to++ = *from == '\r' ? '\n' : *from;
  }
  *to = '\0';
}

char *bt_typed_text(char *text) {
  text = intake_trim(text);
  intake_join_line_ends(text);
  return intake_is_missing(text) ? NULL : text;
}
