/* `import --rejects`: refused lines as CSV, their texts as those of any table. */
#include "emit_room.h"

/* Nothing where there is none. */
static void write_text(const char *text, FILE *stream) {
  if (text != NULL)
    emit_csv_text(text, stream);
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
