/* `import --rejects`: refused lines as CSV (RFC 4180: CRLF, fields with a comma, a quotation mark
 * or a line end in quotation marks, these doubled). A text that a spreadsheet would take for a
 * formula gets an apostrophe before it. */
#include "beamtally/emit.h"

#include <string.h>

static void write_text(const char *text, FILE *stream) {
  if (text == NULL)
    return;
  bool formula = text[0] != '\0' && strchr("=+-@\t\r", text[0]) != NULL;
  bool quoted = strpbrk(text, ",\"\r\n") != NULL;
  if (quoted)
    (void)fputc('"', stream);
  if (formula)
    (void)fputc('\'', stream);
  for (const char *c = text; *c != '\0'; c++) {
    if (*c == '"')
      (void)fputc('"', stream);
    (void)fputc(*c, stream);
  }
  if (quoted)
    (void)fputc('"', stream);
}

void bt_emit_refusals_header(bool with_file, FILE *stream) {
  (void)fprintf(stream, "%sline,column,field,reason\r\n", with_file ? "file," : "");
}

void bt_emit_refusal(const bt_refusal *refusal, bool with_file, const char *file, FILE *stream) {
  if (with_file) {
    write_text(file, stream);
    (void)fputc(',', stream);
  }
  (void)fprintf(stream, "%lld,", (long long)refusal->line);
  write_text(refusal->column, stream);
  (void)fputc(',', stream);
  write_text(refusal->field, stream);
  (void)fputc(',', stream);
  write_text(refusal->reason, stream);
  (void)fputs("\r\n", stream);
}
