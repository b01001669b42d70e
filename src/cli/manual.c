/* The manual page in the man macros of roff, from the commands' help texts.
 *
 * A help text has three kinds of lines. One that opens with blanks and an option, or another short
 * term, is a tagged item, whose words stand from column 27 on and may go on below. Lines of
 * "Example:" and of the usage (they open with "beamtally", and go on indented) are set as typed.
 * All else is prose, and is filled. */
#include "manual.h"

#include "cli.h"
#include "help.h"

#include <ctype.h>
#include <string.h>

enum { WORDS_COLUMN = 27, DEEP = 8 };

/* Text of a line as roff wants it: no escape, no macro, and dashes that can be copied. */
static void add_escaped(bt_text *page, const char *text, size_t n) {
  if (n > 0 && (*text == '.' || *text == '\''))
    bt_text_add(page, "\\&");
  for (size_t i = 0; i < n; i++) {
    if (text[i] == '\\')
      bt_text_add(page, "\\e");
    else if (text[i] == '-')
      bt_text_add(page, "\\-");
    else if (text[i] == '`')
      bt_text_add(page, "\\(ga");
    else if (text[i] == '\'')
      bt_text_add(page, "\\(aq");
    else if (text[i] == '^')
      bt_text_add(page, "\\(ha");
    else if (text[i] == '~')
      bt_text_add(page, "\\(ti");
    else
      bt_text_add_bytes(page, text + i, 1);
  }
  bt_text_add(page, "\n");
}

static size_t blanks_before(const char *line, size_t n) {
  size_t blanks = 0;
  while (blanks < n && line[blanks] == ' ')
    blanks++;
  return blanks;
}

/* Where the words of a tagged item begin: behind two blanks; n where it has none on its line. */
static size_t words_of_item(const char *line, size_t n, size_t from) {
  for (size_t i = from; i + 1 < n; i++)
    if (line[i] == ' ' && line[i + 1] == ' ')
      return i + blanks_before(line + i, n - i);
  return n;
}

typedef enum mode { PROSE, TYPED, ITEM } mode;

/* Sets lines as they are typed from here on, or no longer. */
static void change(bt_text *page, mode *now, mode next) {
  if (*now == next)
    return;
  if (*now == TYPED)
    bt_text_add(page, ".EE\n");
  if (*now == ITEM && next == PROSE)
    bt_text_add(page, ".PP\n");
  if (next == TYPED)
    bt_text_add(page, ".PP\n.EX\n");
  else if (*now == TYPED && next == PROSE)
    bt_text_add(page, ".PP\n");
  *now = next;
}

static void add_item(bt_text *page, const char *line, size_t n, size_t blanks) {
  size_t words = words_of_item(line, n, blanks), end = words;
  while (end > blanks && line[end - 1] == ' ')
    end--;
  bt_text_add(page, ".TP\n.B ");
  add_escaped(page, line + blanks, end - blanks);
  if (words < n)
    add_escaped(page, line + words, n - words);
}

static bool is_typed(const char *line, size_t n, size_t blanks, mode now) {
  if (strncmp(line, "Example:", 8) == 0 || strncmp(line, "beamtally ", 10) == 0)
    return true;
  return n > 0 && now == TYPED && blanks >= DEEP;
}

/* One help text; the lines on the options of every command are left to a section of their own. */
static void add_help(bt_text *page, const char *unfilled) {
  bt_text filled = {0};
  help_fill(unfilled, &filled);
  const char *help = bt_text_ok(&filled) ? bt_text_get(&filled) : "";
  static const char common[] = HELP_COMMON;
  const char *tail = strstr(help, common);
  const char *end = tail == NULL ? help + strlen(help) : tail;
  mode now = PROSE;
  bool verbatim = false;
  for (const char *line = help; line < end;) {
    size_t n = strcspn(line, "\n"), blanks = blanks_before(line, n);
    bool fence = strncmp(line, "```", 3) == 0;
    if (fence) {
      verbatim = !verbatim;
      change(page, &now, verbatim ? TYPED : PROSE);
    } else if (verbatim) {
      add_escaped(page, line, n);
    } else if (n == 0) {
      change(page, &now, PROSE);
      if (line + 1 < end && line[1] != '\n' && line[1] != ' ' && line[1] != '`' &&
          strncmp(line + 1, "beamtally ", 10) != 0)
        bt_text_add(page, ".PP\n");
    } else if (is_typed(line, n, blanks, now)) {
      change(page, &now, TYPED);
      add_escaped(page, line, n);
    } else if (blanks >= WORDS_COLUMN - 2 && now == ITEM) {
      add_escaped(page, line + blanks, n - blanks);
    } else if (blanks == 2) {
      change(page, &now, ITEM);
      add_item(page, line, n, blanks);
    } else {
      change(page, &now, PROSE);
      add_escaped(page, line, n);
    }
    line += n + (line[n] == '\n');
  }
  change(page, &now, PROSE);
  page->failed = page->failed || filled.failed;
  bt_text_free(&filled);
}

/* Two paragraph macros on end, or one before a heading, are an untidiness that a lint names. */
static void add_tidied(bt_text *page, const char *raw) {
  for (const char *line = raw; *line != '\0';) {
    size_t n = strcspn(line, "\n");
    const char *next = line + n + (line[n] == '\n');
    bool empty = n == 3 && strncmp(line, ".PP", 3) == 0;
    bool needless = *next == '\0' || strncmp(next, ".PP\n", 4) == 0 ||
                    strncmp(next, ".S", 2) == 0 || strncmp(next, ".TP\n", 4) == 0;
    bool after_head = false;
    if (empty && line > raw) {
      const char *before = line - 1;
      while (before > raw && before[-1] != '\n')
        before--;
      after_head = strncmp(before, ".S", 2) == 0;
    }
    if (!(empty && (needless || after_head)))
      bt_text_add_bytes(page, line, (size_t)(next - line));
    line = next;
  }
}

void manual_page(bt_text *page) {
  bt_text raw = {0};
  bt_text_add(&raw, ".SH NAME\nbeamtally \\- keeps the calibration history of a 193 nm excimer "
                    "laser\n.SH SYNOPSIS\n.B beamtally\n.I COMMAND\n[options]\n.br\n"
                    ".B beamtally help\n[\\fICOMMAND\\fR|\\-\\-manual]\n");
  for (const manual_section *section = manual_sections; section->title != NULL; section++) {
    bt_text_format(&raw, ".SH %s\n", section->title);
    add_help(&raw, section->text);
    if (strcmp(section->title, "DESCRIPTION") != 0)
      continue;
    bt_text_add(&raw, ".SH COMMANDS\n");
    for (const cli_command *command = cli_commands; command->name != NULL; command++) {
      bt_text_format(&raw, ".SS %s\n", command->name);
      add_help(&raw, command->help);
    }
  }
  bt_text_add(page, ".\\\" Written by `beamtally help --manual`.\n");
  bt_text_add(page, ".TH BEAMTALLY 1 \"\" \"beamtally " BEAMTALLY_VERSION "\" "
                    "\"User commands\"\n");
  if (bt_text_ok(&raw))
    add_tidied(page, bt_text_get(&raw));
  page->failed = page->failed || raw.failed;
  bt_text_free(&raw);
}

static bool is_listed(const bt_text *list, const char *word, size_t n) {
  const char *line = list->length == 0 ? "" : bt_text_get(list);
  for (; *line != '\0'; line += strcspn(line, "\n") + 1)
    if (strncmp(line, word, n) == 0 && line[n] == '\n')
      return true;
  return false;
}

void manual_options(const char *help, bt_text *list) {
  bool others = false; /* between backquotes stands what is typed of another command */
  for (const char *c = help; *c != '\0'; c++) {
    others = others != (*c == '`');
    bool opens = c == help || strchr(" [(|\n", c[-1]) != NULL;
    if (others || !opens || *c != '-' || (c[1] != '-' && !islower((unsigned char)c[1])))
      continue;
    size_t n = c[1] == '-' ? 2 + strspn(c + 2, "abcdefghijklmnopqrstuvwxyz-") : 2;
    bool word = n == 2 ? c[1] != '-' && (c[2] == ' ' || c[2] == ',') : true;
    if (word && !is_listed(list, c, n)) {
      bt_text_add_bytes(list, c, n);
      bt_text_add(list, "\n");
    }
  }
}
