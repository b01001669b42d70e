/* Plain text in 80 columns, for a terminal. What a reader copies, a command or an option between
 * “ and ”, is not broken: it goes to a line of its own where the rest of this one is too short,
 * further left where it is too long behind the indent; and one that no line holds is broken before
 * an option, with the backslash by which a shell reads on. */
#include "report_words.h"

#include <string.h>

/* Lines are ended here alone: an end in a name or a note is a blank. */
static const char blanks[] = " \n\r\t\v\f";

enum { COLUMNS = 80, LEAST_INDENT = 2 };

/* A line that is being set. */
typedef struct setting {
  bt_text *out;
  size_t indent, used;
  bool fresh; /* nothing on this line but the indent */
} setting;

static size_t columns_of(const char *text, size_t length) {
  size_t columns = 0;
  for (size_t i = 0; i < length; i++)
    columns += ((unsigned char)text[i] & 0xC0) != 0x80;
  return columns;
}

/* Bytes of the first `columns` characters, or of all. */
static size_t bytes_of(const char *text, size_t length, size_t columns) {
  size_t at = 0;
  while (at < length) {
    size_t next = at + 1;
    while (next < length && ((unsigned char)text[next] & 0xC0) == 0x80)
      next++;
    if (columns-- == 0)
      break;
    at = next;
  }
  return at;
}

/* Unbreakable blanks have done their work once the line is set: on a terminal they are blanks. So
 * is a line's end inside a command. */
static void add_plain(bt_text *out, const char *text, size_t length) {
  for (size_t i = 0; i < length; i++)
    if (i + 1 < length && memcmp(text + i, REPORT_JOIN, 2) == 0) {
      bt_text_add(out, " ");
      i++;
    } else
      bt_text_add_bytes(out, strchr(blanks, text[i]) != NULL ? " " : text + i, 1);
}

static void new_line(setting *on, size_t indent) {
  bt_text_format(on->out, "\n%*s", (int)indent, "");
  on->used = indent;
  on->fresh = true;
}

/* Bytes of the next word; of a command or an option with what stands before and behind it. */
static size_t next_piece(const char *text, bool *command) {
  static const char *const begins[] = {"“beamtally ", "“--"};
  size_t word = strcspn(text, blanks);
  *command = false;
  for (size_t k = 0; k < sizeof begins / sizeof *begins; k++) {
    const char *at = strstr(text, begins[k]);
    const char *end = at == NULL || at >= text + word ? NULL : strstr(at, "”");
    if (end == NULL)
      continue;
    *command = true;
    return (size_t)(end - text) + strcspn(end, blanks);
  }
  return word;
}

static void put_word(setting *on, const char *text, size_t length) {
  size_t columns = columns_of(text, length);
  if (!on->fresh && on->used + 1 + columns > COLUMNS)
    new_line(on, on->indent);
  if (!on->fresh) {
    bt_text_add(on->out, " ");
    on->used++;
  }
  /* A word longer than a line is broken where the line ends. */
  for (size_t taken; length > 0; text += taken, length -= taken) {
    if (on->used >= COLUMNS)
      new_line(on, on->indent);
    taken = bytes_of(text, length, COLUMNS - on->used);
    add_plain(on->out, text, taken);
    on->used += columns_of(text, taken);
  }
  on->fresh = false;
}

/* Bytes up to the next " --" that is not inside a word in single quotes. */
static size_t next_option(const char *text, size_t length) {
  bool quoted = false;
  for (size_t i = 1; i + 2 < length; i++) {
    quoted ^= text[i] == '\'';
    if (!quoted && memcmp(text + i, " --", 3) == 0)
      return i;
  }
  return length;
}

/* Of a name that no line holds the parts are words as any others. */
static bool has_long_part(const char *text, size_t length) {
  for (size_t taken; length > 0; text += taken, length -= taken) {
    taken = next_option(text, length);
    if (columns_of(text, taken) + LEAST_INDENT + 2 > COLUMNS)
      return true;
  }
  return false;
}

static void put_words(setting *on, const char *text, size_t length) {
  for (size_t taken; length > 0; text += taken, length -= taken) {
    for (taken = 0; taken < length && text[taken] != ' ';)
      taken++;
    put_word(on, text, taken);
    while (taken < length && text[taken] == ' ')
      taken++;
  }
}

static void put_parts(setting *on, const char *text, size_t length) {
  size_t indent = on->indent < LEAST_INDENT ? on->indent : LEAST_INDENT;
  new_line(on, indent);
  while (length > 0) {
    size_t taken = next_option(text, length), columns = columns_of(text, taken);
    size_t room = COLUMNS - (taken < length ? 2 : 0);
    if (!on->fresh && on->used + columns > room) {
      bt_text_add(on->out, " \\");
      new_line(on, indent + 2);
      text++; /* the blank before the option */
      length--;
      taken--;
      columns--;
    }
    add_plain(on->out, text, taken);
    on->used += columns;
    on->fresh = false;
    text += taken;
    length -= taken;
  }
}

static void put_command(setting *on, const char *text, size_t length) {
  size_t columns = columns_of(text, length);
  bool here = on->used + (on->fresh ? 0 : 1) + columns <= COLUMNS;
  if (!here && columns + LEAST_INDENT > COLUMNS) {
    if (has_long_part(text, length))
      put_words(on, text, length);
    else
      put_parts(on, text, length);
    return;
  }
  if (!here)
    new_line(on, on->indent + columns > COLUMNS ? COLUMNS - columns : on->indent);
  bt_text_add(on->out, on->fresh ? "" : " ");
  add_plain(on->out, text, length);
  on->used += columns + (on->fresh ? 0 : 1);
  on->fresh = false;
}

void report_wrap_plain(bt_text *out, const char *head, const char *text) {
  setting on = {
      .out = out, .indent = report_columns(head), .used = report_columns(head), .fresh = true};
  bt_text_add(out, head);
  while (*text != '\0') {
    bool command;
    size_t length = next_piece(text, &command);
    if (command)
      put_command(&on, text, length);
    else
      put_word(&on, text, length);
    text += length;
    text += strspn(text, blanks);
  }
  bt_text_add(out, "\n");
}
