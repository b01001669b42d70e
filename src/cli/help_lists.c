/* Lists in help texts that follow from the program's own tables: a text names one between braces,
 * alone or at its line's end, and its words go on in the column where it began, or where the words
 * of an option stand. */
#include "help.h"

#include "cli.h"

#include <stdio.h>
#include <string.h>

enum { WIDTH = 95, WORDS_COLUMN = 27 };

typedef struct list {
  bt_text *out;
  size_t indent, column;
  bool any;
} list;

/* Behind the last word stands a comma, or what the text goes on with. */
static void add(list *to, const char *word) {
  if (to->any)
    bt_text_add(to->out, ",");
  to->column += (to->any ? 2 : 0) + strlen(word);
  if (to->any && to->column + 1 > WIDTH) {
    bt_text_format(to->out, "\n%*s", (int)to->indent, "");
    to->column = to->indent + strlen(word);
  } else if (to->any) {
    bt_text_add(to->out, " ");
  }
  bt_text_add(to->out, word);
  to->any = true;
}

static void add_characteristics(list *to) {
  for (int c = 0; c < BT_CHARACTERISTIC_COUNT; c++)
    add(to, bt_characteristic_key((bt_characteristic)c));
}

/* What the drift is looked for of: no offset that follows from others, no condition of the room. */
static void add_drifting(list *to) {
  for (int c = 0; c < BT_CHARACTERISTIC_COUNT; c++) {
    bt_judging judging = bt_characteristic_judging((bt_characteristic)c);
    bool logged = bt_characteristic_reading((bt_characteristic)c) != BT_READING_NONE;
    if (judging == BT_JUDGING_ALARMS || (judging != BT_JUDGING_NOTHING && logged))
      add(to, bt_characteristic_key((bt_characteristic)c));
  }
}

static void add_columns(list *to) {
  static const char *const others[] = {"date", "time", "unit", "refill", "state"};
  for (size_t i = 0; i < sizeof others / sizeof *others; i++)
    add(to, others[i]);
  for (int r = 0; r < BT_READING_COUNT; r++)
    add(to, bt_reading_key((bt_reading)r));
  for (int f = 0; f < BT_FIELD_COUNT; f++)
    add(to, bt_text_field_key((bt_text_field)f));
}

static void add_zone_rules(list *to) {
  for (size_t r = 0; r < BT_RULE_COUNT; r++)
    if (bt_rule_table[r].kind == BT_RULE_ZONE)
      add(to, bt_rule_table[r].key);
}

static const struct {
  const char *name;
  void (*add)(list *to);
} lists[] = {{"{characteristics}", add_characteristics},
             {"{drifting}", add_drifting},
             {"{columns}", add_columns},
             {"{zone rules}", add_zone_rules}};

void help_fill(const char *help, bt_text *out) {
  const char *line = help;
  for (const char *at = help; *at != '\0';) {
    size_t which = 0, n = sizeof lists / sizeof *lists;
    while (which < n && strncmp(at, lists[which].name, strlen(lists[which].name)) != 0)
      which++;
    if (which < n) {
      size_t column = (size_t)(at - line);
      lists[which].add(&(list){
          .out = out, .column = column, .indent = column < WORDS_COLUMN ? 0 : WORDS_COLUMN});
      at += strlen(lists[which].name);
      continue;
    }
    bt_text_add_bytes(out, at, 1);
    if (*at++ == '\n')
      line = at;
  }
}

cli_exit cli_print_help(const char *help) {
  bt_text filled = {0};
  help_fill(help, &filled);
  cli_exit result = cli_print_text(&filled);
  bt_text_free(&filled);
  return result;
}
