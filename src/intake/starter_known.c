/* The meanings of cells that a log was read by, as lines of a starter map: cells that mean the same
 * together, on as few lines as hold them. */
#include "map_line.h"
#include "starter.h"

#include <string.h>

static bool same_meaning(const bt_value_choice *a, const bt_value_choice *b) {
  bool results = a->result == NULL || b->result == NULL ? a->result == b->result
                                                        : strcmp(a->result, b->result) == 0;
  return results && strcmp(a->key, b->key) == 0 && strcmp(a->header, b->header) == 0;
}

/* The cell of choice k: begins a line of [values] where `line` is empty, else goes on in it. */
static void add_cell(const bt_value_choice *value, const char *blank, bt_text *line) {
  bool is_event = strncmp(value->key, "event.", strlen("event.")) == 0;
  if (line->length == 0) {
    bt_text_add(line, value->key);
    if (!is_event && value->result != NULL)
      bt_text_format(line, ".%s", value->result);
    bt_text_format(line, "%s=%s", blank, blank);
    intake_add_marked(value->header, line);
    bt_text_format(line, ",%s", blank);
  } else {
    bt_text_format(line, "%s|%s", blank, blank);
  }
  intake_add_marked(value->value, line);
}

/* All cells that have the meaning of choice i, on as few lines as hold them. False where a line is
 * too long with these blanks. */
static bool add_meaning(const bt_reading_choices *choices, size_t i, const char *blank,
                        bt_text *lines) {
  const bt_value_choice *value = &choices->values[i];
  bool is_event = strncmp(value->key, "event.", strlen("event.")) == 0, fit = true;
  size_t k = i;
  while (k < choices->values_n) {
    bt_text line = {0}, more = {0};
    for (; k < choices->values_n; k++) {
      if (!same_meaning(value, &choices->values[k]))
        continue;
      bt_text_clear(&more);
      bt_text_add(&more, bt_text_get(&line));
      add_cell(&choices->values[k], blank, &more);
      size_t when = is_event && value->result != NULL ? strlen(value->result) + 2 : 0;
      if (line.length > 0 && more.length + when > INTAKE_MAP_LINE)
        break;
      fit = fit && more.length + when <= INTAKE_MAP_LINE;
      bt_text_clear(&line);
      bt_text_add(&line, bt_text_get(&more));
    }
    if (is_event && value->result != NULL && line.length > 0)
      bt_text_format(&line, ",%s%s", blank, value->result);
    if (line.length > 0)
      bt_text_format(lines, "%s\n", bt_text_get(&line));
    lines->failed = lines->failed || !bt_text_ok(&line) || !bt_text_ok(&more);
    bt_text_free(&line);
    bt_text_free(&more);
  }
  return fit;
}

void intake_add_known(const bt_reading_choices *choices, bt_text *lines) {
  for (size_t i = 0; choices != NULL && i < choices->values_n; i++) {
    bool before = false;
    for (size_t k = 0; k < i; k++)
      before = before || same_meaning(&choices->values[i], &choices->values[k]);
    if (before)
      continue;
    bt_text with_blanks = {0}, without = {0};
    bool fit = add_meaning(choices, i, " ", &with_blanks);
    if (!fit) /* it stood on a line of the map: without blanks */
      (void)add_meaning(choices, i, "", &without);
    bt_text_add(lines, bt_text_get(fit ? &with_blanks : &without));
    lines->failed = lines->failed || !bt_text_ok(&with_blanks) || !bt_text_ok(&without);
    bt_text_free(&with_blanks);
    bt_text_free(&without);
  }
}
