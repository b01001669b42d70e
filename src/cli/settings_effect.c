/* What changes when settings take the place of others, by sections of their INI form. */
#include "settings.h"

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

/* How many first lines of the body say what a section is of: its unit, key, or both. */
static size_t named_lines(const section *of) {
  static const struct {
    const char *kind;
    size_t lines;
  } kinds[] = {{"[unit", 1}, {"[characteristic", 1}, {"[tolerance", 2}};
  for (size_t i = 0; i < sizeof kinds / sizeof *kinds; i++)
    if (of->kind_n == strlen(kinds[i].kind) && strncmp(of->text, kinds[i].kind, of->kind_n) == 0)
      return kinds[i].lines;
  return 0;
}

/* Bytes of the body that name the section, from the end of its first line on. */
static size_t name_bytes(const section *of) {
  const char *at = of->body + 1;
  for (size_t i = named_lines(of); i > 0 && at < of->text + of->n; i--)
    at += strcspn(at, "\n") + 1;
  return (size_t)(at - of->body);
}

static bool same_name(const section *a, const section *b) {
  size_t n = name_bytes(a);
  return a->kind_n == b->kind_n && strncmp(a->text, b->text, a->kind_n) == 0 &&
         n == name_bytes(b) && strncmp(a->body, b->body, n) == 0;
}

/* The section of that name in `all`, among those that `other` lacks, with `skip` passed over. */
static bool find_mate(const char *all, const char *other, const section *of, size_t skip,
                      section *mate) {
  for (const char *at = next_section(all, mate); mate->n > 0; at = next_section(at, mate))
    if (same_name(mate, of) && !has_section(other, mate) && skip-- == 0)
      return true;
  return false;
}

/* How many sections of that name come before it in `all`, of those that `other` lacks. */
static size_t place_among(const char *all, const char *other, const section *of) {
  size_t n = 0;
  section each;
  for (const char *at = next_section(all, &each); each.n > 0 && each.text < of->text;
       at = next_section(at, &each))
    n += same_name(&each, of) && !has_section(other, &each);
  return n;
}

static bool has_line(const section *of, const char *line, size_t length) {
  for (const char *at = of->body + 1; at < of->text + of->n; at += strcspn(at, "\n") + 1)
    if (strcspn(at, "\n") == length && strncmp(at, line, length) == 0)
      return true;
  return false;
}

/* Lines from `from` to the section's end, behind the sign; without those that `but` has. */
static void add_lines(bt_text *lines, const section *of, const char *from, const char *sign,
                      const section *but) {
  for (const char *line = from; line < of->text + of->n;) {
    size_t length = strcspn(line, "\n");
    if (but == NULL || !has_line(but, line, length)) {
      bt_text_add(lines, sign);
      bt_text_add_bytes(lines, line, length);
      bt_text_add(lines, "\n");
    }
    line += length + 1;
  }
}

/* A section that stays: its name, and the lines that go and come. */
static void add_changed(bt_text *lines, const section *old, const section *new) {
  section name = *new;
  name.n = (size_t)(new->body - new->text) + name_bytes(new);
  add_lines(lines, &name, name.text, "  ", NULL);
  add_lines(lines, old, old->body + name_bytes(old), "- ", new);
  add_lines(lines, new, new->body + name_bytes(new), "+ ", old);
}

/* Sections of `old` that `new` lacks: changed, or gone. */
static size_t add_old(bt_text *lines, const char *old, const char *new) {
  size_t n = 0;
  section each, mate;
  for (const char *at = next_section(old, &each); each.n > 0; at = next_section(at, &each)) {
    if (has_section(new, &each))
      continue;
    n++;
    if (find_mate(new, old, &each, place_among(old, new, &each), &mate))
      add_changed(lines, &each, &mate);
    else
      add_lines(lines, &each, each.text, "- ", NULL);
  }
  return n;
}

/* Sections of `new` that `old` has under no such name. */
static size_t add_new(bt_text *lines, const char *old, const char *new) {
  size_t n = 0;
  section each, mate;
  for (const char *at = next_section(new, &each); each.n > 0; at = next_section(at, &each)) {
    if (has_section(old, &each) || find_mate(old, new, &each, place_among(new, old, &each), &mate))
      continue;
    n++;
    add_lines(lines, &each, each.text, "+ ", NULL);
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
    n += add_old(lines, bt_text_get(&old), bt_text_get(&new));
    n += add_new(lines, bt_text_get(&old), bt_text_get(&new));
  } else {
    lines->failed = true;
  }
  bt_text_free(&old);
  bt_text_free(&new);
  return n;
}
