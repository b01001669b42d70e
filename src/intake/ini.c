/* INI files, read strictly.
 *
 * inih alone would take an indented line for more of the value above, cut sections at 49 and lines
 * at 199 bytes, and let keys repeat, all without a word. So it reads through this line reader:
 *
 * I1  Leading blanks are dropped: no line continues another.
 * I2  A line over 190 bytes and a section name over 48 are refused.
 * I3  A repeated section and a repeated key are refused.
 * I4  A line must be UTF-8 without NUL.
 * I5  What stands before any section is told what such a file looks like: the text of a person who
 *     has not seen one.
 * I6  Standard input that holds nothing, as that of a pipeline that failed, is refused: it would
 *     stand for a file without any setting. */
#include "ini.h"
#include "beamtally/intake.h"

#include <errno.h>
#include <fcntl.h>
#include <ini.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

enum { LINE_MAX_BYTES = 190, SECTION_MAX_BYTES = 48, ROOM_FOR_REASON = 128 };

typedef struct strict_reader {
  FILE *file;
  int line, first_section; /* lines; the latter 0: none came */
  bool any;                /* a line came */
  char written[LINE_MAX_BYTES + 1];
  char **seen; /* "[section]" and "[section]key" of all that came */
  size_t seen_n, seen_capacity;
  const char *lists; /* the section in which a key may come again, or NULL */
  const char *form;
  intake_take_pair take;
  void *context;
  bt_status status;
  bt_error *error;
} strict_reader;

bt_status intake_ini_keep(char **to, const char *text, bt_error *error) {
  *to = bt_copy(text);
  return *to == NULL ? bt_fail_memory(error) : BT_OK;
}

/* Remembers a name; refuses one that came before. */
static bt_status note(strict_reader *reader, const char *section, const char *key) {
  bt_text text = {0};
  bt_text_format(&text, "[%s]%s", section, key);
  char *name = bt_text_take(&text);
  if (name == NULL ||
      !bt_grow(&reader->seen, &reader->seen_capacity, reader->seen_n + 1, sizeof *reader->seen)) {
    free(name);
    return bt_fail_memory(reader->error);
  }
  reader->seen[reader->seen_n++] = name;
  for (size_t i = 0; i + 1 < reader->seen_n; i++)
    if (strcmp(reader->seen[i], name) == 0)
      return key[0] == '\0' ? bt_fail(reader->error, BT_INPUT,
                                      "the section [%s] came before; write it once", section)
                            : bt_fail(reader->error, BT_INPUT,
                                      "\"%s\" came before in [%s]; write it once", key, section);
  return BT_OK;
}

/* Notes a "[section]" line, whose name inih would cut. */
static bt_status note_section(strict_reader *reader, const char *line) {
  const char *end = strchr(line, ']');
  if (line[0] != '[' || end == NULL)
    return BT_OK;
  size_t length = (size_t)(end - line) - 1;
  if (length > SECTION_MAX_BYTES)
    return bt_fail(reader->error, BT_INPUT,
                   "a section name is longer than %d bytes; names stand in values",
                   SECTION_MAX_BYTES);
  char section[SECTION_MAX_BYTES + 1];
  memcpy(section, line + 1, length);
  section[length] = '\0';
  if (reader->first_section == 0)
    reader->first_section = reader->line;
  return note(reader, section, "");
}

/* One line of the file into reader->written; false at its end or after a refusal. */
static bool read_line(strict_reader *reader) {
  size_t length = 0;
  int c;
  bool any = false, leading = true;
  reader->line++;
  while ((c = getc(reader->file)) != EOF && c != '\n') {
    any = true;
    if (leading && (c == ' ' || c == '\t' || c == '\r'))
      continue;
    leading = false;
    if (length == LINE_MAX_BYTES) {
      reader->status = bt_fail(reader->error, BT_INPUT,
                               "the line is longer than %d bytes; for a column with a long header "
                               "use its position (energy_mj = @5)",
                               LINE_MAX_BYTES);
      return false;
    }
    reader->written[length++] = (char)c;
  }
  if (c == EOF && ferror(reader->file)) {
    reader->status = bt_fail(reader->error, BT_SYSTEM, "the file can't be read");
    return false;
  }
  if (c == EOF && !any)
    return false;
  reader->any = true;
  while (length > 0 && strchr(" \t\r", reader->written[length - 1]) != NULL)
    length--;
  reader->written[length] = '\0';
  size_t from = reader->line == 1 && memcmp(reader->written, "\xEF\xBB\xBF", 3) == 0 ? 3 : 0;
  memmove(reader->written, reader->written + from, length - from + 1);
  if (!bt_utf8_valid(reader->written, length - from))
    reader->status =
        bt_fail(reader->error, BT_INPUT, "the line is not UTF-8; save the file as UTF-8");
  else
    reader->status = note_section(reader, reader->written);
  return reader->status == BT_OK;
}

/* inih's ini_reader: as fgets. */
static char *give_line(char *text, int size, void *stream) {
  strict_reader *reader = stream;
  if (reader->status != BT_OK || !read_line(reader))
    return NULL;
  (void)snprintf(text, (size_t)size, "%s\n", reader->written);
  return text;
}

/* I5. */
static bt_status before_any_section(const strict_reader *reader) {
  return bt_fail(reader->error, BT_INPUT, "this line stands before any heading in brackets. %s",
                 reader->form);
}

static int take_pair(void *user, const char *section, const char *key, const char *value) {
  strict_reader *reader = user;
  if (reader->status != BT_OK)
    return 0;
  intake_pair pair = {section, key, value, reader->written, reader->line};
  bool again = reader->lists != NULL && strcmp(section, reader->lists) == 0;
  reader->status = section[0] == '\0' ? before_any_section(reader)
                   : again            ? BT_OK
                                      : note(reader, section, key);
  if (reader->status == BT_OK)
    reader->status = reader->take(reader->context, &pair, reader->error);
  return reader->status == BT_OK;
}

/* Standard input as a stream of its own: at a terminal a question may follow. */
static FILE *open_input(void) {
  int descriptor = fcntl(STDIN_FILENO, F_DUPFD_CLOEXEC, 0);
  FILE *stream = descriptor < 0 ? NULL : fdopen(descriptor, "r");
  if (stream == NULL && descriptor >= 0)
    (void)close(descriptor);
  return stream;
}

/* The first line that inih could not read, which is neither a section nor a key. */
static bt_status refuse_line(const strict_reader *reader, const char *path, int line) {
  bt_status status = BT_INPUT;
  if (reader->first_section == 0 || line < reader->first_section)
    status = before_any_section(reader);
  else
    status = bt_fail(reader->error, BT_INPUT, "expected \"[section]\" or \"key = value\"");
  bt_error_prefix(reader->error, "%s, line %d", path, line);
  return status;
}

bt_status intake_ini_read(const char *path, const char *lists, const char *form,
                          intake_take_pair take, void *context, bt_error *error) {
  strict_reader reader = {
      .lists = lists, .form = form, .take = take, .context = context, .error = error};
  bool standard_input = strcmp(path, "-") == 0;
  path = bt_input_name(path);
  reader.file = standard_input ? open_input() : fopen(path, "re");
  if (reader.file == NULL) {
    char reason[ROOM_FOR_REASON];
    if (strerror_r(errno, reason, sizeof reason) != 0)
      reason[0] = '\0';
    return bt_fail(error, BT_SYSTEM, "%s: the file can't be opened: %s", path, reason);
  }
  int bad_line = ini_parse_stream(give_line, &reader, take_pair, &reader);
  /* inih reads on behind a line that it can't read: the first mistake is the one to tell. */
  if (bad_line > 0 && (reader.status == BT_OK || bad_line < reader.line))
    reader.status = refuse_line(&reader, path, bad_line);
  else if (reader.status != BT_OK)
    bt_error_prefix(error, "%s, line %d", path, reader.line);
  else if (bad_line < 0)
    reader.status = bt_fail_memory(error);
  if (standard_input && reader.status == BT_OK && !reader.any) /* I6 */
    reader.status = bt_fail(error, BT_INPUT, "%s is empty; nothing was changed", path);
  (void)fclose(reader.file);
  for (size_t i = 0; i < reader.seen_n; i++)
    free(reader.seen[i]);
  free(reader.seen);
  return reader.status;
}
