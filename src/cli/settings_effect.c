/* What changes when settings take the place of others, by sections of their INI form. */
#include "cli.h"

#include "beamtally/emit.h"

#include <string.h>

/* Sections stand between empty lines. Their numbers only tell them apart within one file, so they
 * are compared from behind the first line's number. */
typedef struct section {
  const char *text;
  size_t n, kind_n; /* all of it; and "[tolerance" of its first line */
  const char *body; /* behind the first line */
} section;

static const char *next_section(const char *at, section *found) {
  while (*at == '\n')
    at++;
  const char *end = strstr(at, "\n\n");
  size_t n = end == NULL ? strlen(at) : (size_t)(end - at) + 1;
  *found = (section){.text = at, .n = n, .kind_n = strcspn(at, " ]\n")};
  found->body = at + strcspn(at, "\n");
  return at + n;
}

static bool has_section(const char *all, const section *wanted) {
  section each;
  size_t body_n = wanted->n - (size_t)(wanted->body - wanted->text);
  for (const char *at = next_section(all, &each); each.n > 0; at = next_section(at, &each))
    if (each.kind_n == wanted->kind_n && strncmp(each.text, wanted->text, each.kind_n) == 0 &&
        each.n - (size_t)(each.body - each.text) == body_n &&
        strncmp(each.body, wanted->body, body_n) == 0)
      return true;
  return false;
}

/* Sections that `other` lacks, each line behind the sign. */
static size_t add_lacking(bt_text *lines, const char *all, const char *other, const char *sign) {
  size_t n = 0;
  section each;
  for (const char *at = next_section(all, &each); each.n > 0; at = next_section(at, &each)) {
    if (has_section(other, &each))
      continue;
    n++;
    for (const char *line = each.text; line < each.text + each.n;) {
      size_t length = strcspn(line, "\n");
      bt_text_add(lines, sign);
      bt_text_add_bytes(lines, line, length);
      bt_text_add(lines, "\n");
      line += length + 1;
    }
  }
  return n;
}

size_t cli_describe_settings_changes(bt_text *lines, const bt_settings *before,
                                     const bt_settings *after) {
  bt_text old = {0}, new = {0};
  bt_emit_settings_ini(before, &old);
  bt_emit_settings_ini(after, &new);
  size_t n = 0;
  if (bt_text_ok(&old) && bt_text_ok(&new)) {
    n += add_lacking(lines, bt_text_get(&old), bt_text_get(&new), "- ");
    n += add_lacking(lines, bt_text_get(&new), bt_text_get(&old), "+ ");
  } else {
    lines->failed = true;
  }
  bt_text_free(&old);
  bt_text_free(&new);
  return n;
}
