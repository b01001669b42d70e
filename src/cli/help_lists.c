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

/* What a characteristic is made of, where that isn't one reading as logged. */
static const char *const made_of[BT_CHARACTERISTIC_COUNT] = {
    [BT_ENERGY_RATIO] = "energy_mj / target_mj, else energy_pct / 100: near 1, not in percent",
    [BT_FLUENCE] = "fluence_mj_cm2; or from pulse energy and spot, or the test plate, as [unit] "
                   "says",
    [BT_TRACKER_RADIAL] = "length of the offset x, y",
    [BT_TRACKER_VECTOR] = "Hotelling's T-squared of x and y together"};

/* Units as a keyboard has them. */
static void add_unit(const char *unit, bt_text *out) {
  static const struct {
    const char *sign, *plain;
  } plain[] = {{"µ", "u"}, {"²", "2"}, {"°", ""}, {"%", "percent"}};
  while (*unit != '\0') {
    size_t s = 0, n = sizeof plain / sizeof *plain;
    while (s < n && strncmp(unit, plain[s].sign, strlen(plain[s].sign)) != 0)
      s++;
    if (s < n)
      bt_text_add(out, plain[s].plain);
    else
      bt_text_add_bytes(out, unit, 1);
    unit += s < n ? strlen(plain[s].sign) : 1;
  }
}

static const char *made(bt_characteristic characteristic, const char *title) {
  bt_reading reading = bt_characteristic_reading(characteristic);
  if (reading != BT_READING_NONE)
    return bt_reading_key(reading);
  return made_of[characteristic] != NULL ? made_of[characteristic] : title;
}

/* A line each: the key, what it is, and its unit. */
static void add_charted(list *to) {
  static const bt_settings none;
  for (int c = 0; c < BT_CHARACTERISTIC_COUNT; c++) {
    bt_quantity quantity = bt_settings_quantity(&none, (bt_characteristic)c);
    bt_text_format(to->out, "%s  %-*s%s", c == 0 ? "" : "\n", WORDS_COLUMN - 2, quantity.key,
                   made((bt_characteristic)c, quantity.title));
    if (*quantity.unit != '\0') {
      bt_text_add(to->out, ", in ");
      add_unit(quantity.unit, to->out);
    }
    if (bt_characteristic_is_covariate((bt_characteristic)c))
      bt_text_add(to->out, ": of the room, shown, not judged");
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

/* A line each: the key, and what such an event is. */
static void add_events(list *to) {
  for (int kind = 0; kind < BT_EVENT_COUNT; kind++)
    bt_text_format(to->out, "%s  %-*s%s", kind == 0 ? "" : "\n", WORDS_COLUMN - 2,
                   bt_event_key((bt_event_kind)kind), bt_event_meaning((bt_event_kind)kind));
}

static const struct {
  const char *name;
  void (*add)(list *to);
} lists[] = {{"{characteristics}", add_characteristics},
             {"{charted}", add_charted},
             {"{drifting}", add_drifting},
             {"{columns}", add_columns},
             {"{events}", add_events},
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
