/* A column map to start from, for a log as a survey sees it.
 *
 * A1  What it writes is read by map.c as it stands, and the log by it as the survey read it, where
 *     only one line could be its header.
 * A2  A header that INI can't hold, or that two columns have, is named by its position.
 * A3  No value of the log stands in it: it may hold what a map should not. */
#include "header.h"
#include "likely.h"
#include "match.h"
#include "words.h"

#include <string.h>

/* A value's longest line has a key and " = " before it. */
enum { LINE_MAX_BYTES = 190, VALUE_MAX_BYTES = 140, TEXT_WIDTH = 78, OFFERED_MAX = 32 };

/* True when INI gives the text back as it is: no line end, no comment sign, no blank at an end. */
static bool can_stand(const char *text) {
  size_t length = strlen(text);
  if (length == 0 || length > VALUE_MAX_BYTES || text[0] == '@' || text[0] == ' ' ||
      text[length - 1] == ' ')
    return false;
  for (size_t i = 0; i < length; i++)
    if ((unsigned char)text[i] < ' ' || text[i] == ';' || text[i] == 0x7F)
      return false;
  return bt_utf8_valid(text, length);
}

/* The column as a map names it. */
static void add_column(const bt_survey *survey, size_t i, bt_text *map) {
  const char *header = survey->columns[i].header;
  size_t twins = 0;
  for (size_t k = 0; k < survey->columns_n; k++)
    twins += bt_same_name(survey->columns[k].header, header);
  if (can_stand(header) && twins == 1)
    bt_text_add(map, header);
  else
    bt_text_format(map, "@%zu", i + 1);
}

/* A text for a comment: cut, and on one line. */
static void add_remark(const char *text, bt_text *map) {
  char shown[INTAKE_SHORT_BYTES];
  if (!bt_utf8_valid(text, strlen(text))) /* a file's name can be anything */
    text = "?";
  (void)intake_show(text, shown, sizeof shown);
  for (char *c = shown; *c != '\0'; c++)
    if ((unsigned char)*c < ' ' || *c == 0x7F)
      *c = ' ';
  bt_text_add(map, shown);
}

static void add_delimiter(char delimiter, bt_text *map) {
  switch (delimiter) {
  case ',':
    bt_text_add(map, "delimiter = comma\n");
    return;
  case ';':
    bt_text_add(map, "delimiter = semicolon\n");
    return;
  case '\t':
    bt_text_add(map, "delimiter = tab\n");
    return;
  case '|':
    bt_text_add(map, "delimiter = pipe\n");
    return;
  default:
    if (delimiter > ' ' && delimiter < 0x7F)
      bt_text_format(map, "delimiter = %c\n", delimiter);
  }
}

static void add_format(const bt_survey *survey, bt_text *map) {
  static const char *const orders[] = {
      [BT_DATES_YMD] = "ymd", [BT_DATES_DMY] = "dmy", [BT_DATES_MDY] = "mdy"};
  bt_text_add(map, "[format]\n");
  add_delimiter(survey->delimiter, map);
  if (survey->decimal == BT_DECIMAL_AUTO)
    bt_text_add(map, "# decimal = point or comma\n");
  else
    bt_text_format(map, "decimal = %s\n", survey->decimal == BT_DECIMAL_COMMA ? "comma" : "point");
  if (survey->dates == BT_DATES_AUTO)
    bt_text_add(map, "# dates = dmy, mdy or ymd\n");
  else
    bt_text_format(map, "dates = %s\n", orders[survey->dates]);
  bt_text_format(map, "encoding = %s\n", survey->encoding);
  if (survey->unit != NULL && can_stand(survey->unit))
    bt_text_format(map, "unit = %s\n", survey->unit);
  else if (!intake_has_key(survey, "unit"))
    bt_text_add(map, "# unit = the laser that all rows are of\n");
}

/* The likeliest key that no column above was offered, or the likeliest. */
static const char *offer(const intake_likely *likely, const char **offered, size_t *offered_n) {
  for (size_t k = 0; k < likely->n; k++) {
    bool taken = false;
    for (size_t i = 0; i < *offered_n; i++)
      taken = taken || strcmp(offered[i], likely->key[k]) == 0;
    if (!taken && *offered_n < OFFERED_MAX)
      return offered[(*offered_n)++] = likely->key[k];
  }
  return likely->key[0];
}

/* One column that nothing names, as comments. */
static void add_unnamed(const bt_survey *survey, size_t i, const char **offered, size_t *offered_n,
                        bt_text *map) {
  static const char *const contents[] = {[INTAKE_CONTENT_NONE] = "empty at first",
                                         [INTAKE_CONTENT_DATE] = "dates",
                                         [INTAKE_CONTENT_CLOCK] = "times of day",
                                         [INTAKE_CONTENT_NUMBER] = "numbers",
                                         [INTAKE_CONTENT_TEXT] = "words"};
  const bt_survey_column *column = &survey->columns[i];
  bt_text_format(map, "\n# Column %zu, \"", i + 1);
  add_remark(column->header, map);
  if (column->identity) {
    bt_text_add(map, "\": looks like a patient's identity, never stored\n");
    return;
  }
  intake_likely likely = intake_likely_keys(survey, column);
  bt_text_format(map, "\" (%s)%s", contents[likely.content],
                 likely.n > 0 ? ": perhaps " : ": one of the keys below, or none\n");
  for (size_t k = 0; k < likely.n; k++)
    bt_text_format(map, "%s%s", k == 0 ? "" : k + 1 == likely.n ? " or " : ", ", likely.key[k]);
  if (likely.n > 0) {
    const char *key = offer(&likely, offered, offered_n);
    if (likely.unit[0] != '\0')
      bt_text_format(map, ", with \"%s = %s\" under [units]", key, likely.unit);
    bt_text_format(map, "\n# %s = ", key);
    add_column(survey, i, map);
    bt_text_add(map, "\n");
  }
}

/* The units of columns that are there: a map may name others, of a log that has them. */
static void add_units(const bt_survey *survey, bt_text *map) {
  const bt_reading_choices *choices = survey->choices;
  bool any = false;
  for (size_t i = 0; choices != NULL && i < choices->columns_n; i++) {
    const bt_column_choice *choice = &choices->columns[i];
    if (choice->from_unit == NULL || !intake_has_key(survey, choice->key))
      continue;
    bt_text_format(map, "%s%s = %s\n", any ? "" : "\n[units]\n", choice->key, choice->from_unit);
    any = true;
  }
}

static bool same_meaning(const bt_value_choice *a, const bt_value_choice *b) {
  bool results = a->result == NULL || b->result == NULL ? a->result == b->result
                                                        : strcmp(a->result, b->result) == 0;
  return results && strcmp(a->key, b->key) == 0 && strcmp(a->header, b->header) == 0;
}

/* One line of [values]: all cells that have the meaning of choice i. */
static void add_meaning(const bt_reading_choices *choices, size_t i, const char *blank,
                        bt_text *line) {
  const bt_value_choice *value = &choices->values[i];
  bool is_event = strncmp(value->key, "event.", strlen("event.")) == 0;
  bt_text_add(line, value->key);
  if (!is_event)
    bt_text_format(line, ".%s", value->result);
  bt_text_format(line, "%s=%s%s,%s%s", blank, blank, value->header, blank, value->value);
  for (size_t k = i + 1; k < choices->values_n; k++)
    if (same_meaning(value, &choices->values[k]))
      bt_text_format(line, "%s|%s%s", blank, blank, choices->values[k].value);
  if (is_event && value->result != NULL)
    bt_text_format(line, ",%s%s", blank, value->result);
}

/* The meanings of the map that the log was read by, cells that mean the same on one line. */
static void add_values(const bt_reading_choices *choices, bt_text *map) {
  for (size_t i = 0; choices != NULL && i < choices->values_n; i++) {
    bool before = false;
    for (size_t k = 0; k < i; k++)
      before = before || same_meaning(&choices->values[i], &choices->values[k]);
    if (before)
      continue;
    bt_text line = {0};
    add_meaning(choices, i, " ", &line);
    if (line.length > LINE_MAX_BYTES) { /* it stood on one line of the map: without blanks */
      bt_text_clear(&line);
      add_meaning(choices, i, "", &line);
    }
    bt_text_format(map, "%s%s\n", i == 0 ? "\n[values]\n" : "", bt_text_get(&line));
    map->failed = map->failed || !bt_text_ok(&line);
    bt_text_free(&line);
  }
}

/* All canonical keys, in lines that fit a terminal. */
static void add_keys(bt_text *map) {
  size_t used = TEXT_WIDTH;
  bt_text_add(map, "\n# The keys there are:");
  for (size_t i = 0; intake_key(i) != NULL; i++) {
    size_t length = strlen(intake_key(i)) + 1;
    if (used + length > TEXT_WIDTH) {
      bt_text_add(map, "\n#  ");
      used = 3;
    }
    bt_text_format(map, " %s", intake_key(i));
    used += length;
  }
  bt_text_add(map, "\n");
}

void bt_map_starter(const bt_survey *survey, bt_text *map) {
  const char *offered[OFFERED_MAX];
  size_t unnamed = 0, offered_n = 0;
  bt_text_add(map, "# How the columns of \"");
  add_remark(survey->source.name, map);
  bt_text_add(map, "\" are read.\n# A line behind # says nothing; take the # away to use it.\n\n");
  add_format(survey, map);
  bt_text_add(map, "\n[columns]\n");
  for (size_t i = 0; i < survey->columns_n; i++) {
    if (survey->columns[i].key == NULL) {
      unnamed++;
      continue;
    }
    bt_text_format(map, "%s = ", survey->columns[i].key);
    add_column(survey, i, map);
    bt_text_add(map, "\n");
  }
  for (size_t i = 0; i < survey->columns_n; i++)
    if (survey->columns[i].key == NULL)
      add_unnamed(survey, i, offered, &offered_n, map);
  add_units(survey, map);
  add_values(survey->choices, map);
  if (unnamed > 0)
    add_keys(map);
}
