/* README.txt of an evidence folder on its rules: the columns of signals.csv, and the notices that
 * step 4 doesn't tell of in its own words. */
#include "case_room.h"

#include <string.h>

enum { WIDTH = 96, WORDS_COLUMN = 18 };

/* Steps 4 and 5 tell of these. */
static const bt_rules told = BT_WE1 | BT_WE2 | BT_WE3 | BT_WE4 | BT_CUSUM_SIGNAL;

static bt_rules further(const bt_case *one) {
  return bt_case_rules(one->format) & (bt_rules) ~(told | BT_ALARM_RULES);
}

void emit_case_further_rules(const bt_case *one, FILE *stream) {
  for (size_t r = 0; r < BT_RULE_COUNT; r++)
    if ((further(one) & bt_rule_table[r].bit) != 0) {
      size_t column = 5 + strlen(bt_rule_table[r].key);
      (void)fprintf(stream, "   %s: ", bt_rule_table[r].key);
      emit_case_wrapped(bt_rule_table[r].words, column, 3, WIDTH, stream);
      (void)fputs(".\n", stream);
    }
}

/* Their keys, with commas between and `last` before the last one. */
static void add_keys(bt_rules rules, const char *last, bt_text *out) {
  for (size_t r = 0; r < BT_RULE_COUNT; r++) {
    bt_rules bit = bt_rule_table[r].bit;
    if ((rules & bit) == 0)
      continue;
    rules &= (bt_rules)~bit;
    bool next_is_last = (rules & (rules - 1)) == 0;
    bt_text_format(out, "%s%s", bt_rule_table[r].key, rules == 0 ? "" : next_is_last ? last : ", ");
  }
}

static bool put_column(const char *name, bt_text *words, FILE *stream) {
  bool made = bt_text_ok(words);
  if (made) {
    (void)fprintf(stream, "%-*s", (int)WORDS_COLUMN, name);
    emit_case_wrapped(bt_text_get(words), WORDS_COLUMN, WORDS_COLUMN, WIDTH, stream);
    (void)fputc('\n', stream);
  }
  bt_text_free(words);
  return made;
}

static bool put_strength(bt_rules alarms, FILE *stream) {
  bt_text words = {0};
  bt_text_add(&words, "alarm: rules has ");
  add_keys(alarms, " or ", &words);
  bt_text_add(&words, "; else notice");
  return put_column("strength", &words, stream);
}

static bool put_rules(const bt_case *one, bt_rules alarms, FILE *stream) {
  bt_text words = {0};
  bt_text_add(&words, "all that it breaks on that side, with blanks between: WE1 to WE4");
  if (further(one) != 0)
    bt_text_add(&words, ", ");
  add_keys(further(one), ", ", &words);
  bt_text_add(&words, " (step 4), CUSUM (step 5), ");
  add_keys(alarms, ", ", &words);
  bt_text_add(&words, " (step 6)");
  return put_column("rules", &words, stream);
}

bool emit_case_signal_columns(const bt_case *one, FILE *stream) {
  bt_rules alarms = bt_case_rules(one->format) & BT_ALARM_RULES;
  (void)fputs(
      "COLUMNS OF signals.csv\n"
      "A row for each point of the span and each side on which it signals.\n"
      "characteristic    as in checks.csv\n"
      "date, time, sequence   of the point: its row of checks.csv has the same\n"
      "side              low: below the centre; high: above it, or beyond a limit that has one "
      "side\n",
      stream);
  if (!put_strength(alarms, stream) || !put_rules(one, alarms, stream))
    return false;
  (void)fputs(
      "value             point_value of checks.csv\n"
      "z                 step 4; empty where no zones are: not judged, tracker_radial, "
      "tracker_vector\n"
      "cusum             the sum of that side at this point (step 5); empty where none runs\n"
      "episode           id of the run of signals that it belongs to; dispositions.csv names it\n\n",
      stream);
  return true;
}
