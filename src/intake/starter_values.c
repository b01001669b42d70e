/* What a starter map says of the texts of cells. The texts themselves never stand in it, but for
 * those of A3 and names of readings in long form, which are what headers are elsewhere. */
#include "columns.h"
#include "declare.h"
#include "done.h"
#include "event_words.h"
#include "likely.h"
#include "map.h"
#include "map_line.h"
#include "noted.h"
#include "says_who.h"
#include "starter.h"
#include "two_in_cell.h"
#include "words.h"

#include <stdio.h>
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

/* The meanings of the map that the log was read by, cells that mean the same together. */
static void add_known(const bt_reading_choices *choices, bt_text *lines) {
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

/* "# KEY = COLUMN, TEXT"; the column by its position where its header makes the line too long. */
static void add_example(const bt_survey *survey, size_t i, const char *key, const char *text,
                        bt_text *lines) {
  bt_text line = {0};
  bt_text_format(&line, "# %s = ", key);
  intake_add_column(survey, i, ",\"", &line);
  bt_text_format(&line, ", %s", text);
  if (line.length > INTAKE_MAP_LINE)
    bt_text_format(lines, "# %s = @%zu, %s\n", key, i + 1, text);
  else
    bt_text_format(lines, "%s\n", bt_text_get(&line));
  lines->failed = lines->failed || !bt_text_ok(&line);
  bt_text_free(&line);
}

/* The first text of the column that `is` takes, or `other`. */
static const char *text_of(const bt_survey_column *column, bool (*is)(const char *),
                           const char *other) {
  for (size_t k = 0; k < column->texts_n; k++)
    if (is(column->texts[k]))
      return column->texts[k];
  return other;
}

static void add_gas_line(const bt_survey *survey, size_t i, bt_event_kind kind, const char *text,
                         bt_text *lines) {
  char key[48];
  bt_text cell = {0};
  (void)snprintf(key, sizeof key, "event.%s", bt_event_key(kind));
  intake_add_marked(text, &cell);
  bt_text_add(&cell, kind == BT_EVENT_GAS_REFILL ? ", before" : "");
  add_example(survey, i, key, bt_text_get(&cell), lines);
  lines->failed = lines->failed || !bt_text_ok(&cell);
  bt_text_free(&cell);
}

/* A text in a column about the gas: of the kind that its words tell of, a refill where they don't.
 * Who notes a new bottle there may have filled from it. */
static void add_gas_text(const bt_survey *survey, size_t i, const char *text, bt_text *lines) {
  bt_event_kind kind = intake_event_guess(text);
  kind = kind == BT_EVENT_OTHER ? BT_EVENT_GAS_REFILL : kind;
  add_gas_line(survey, i, kind, text, lines);
  if (kind == BT_EVENT_GAS_BOTTLE)
    add_gas_line(survey, i, BT_EVENT_GAS_REFILL, text, lines);
}

/* By its own words it says that there was a refill or a new bottle, and nobody's name, and can
 * stand in a map. */
static bool tells_of_gas(const char *text) {
  bt_refill refill = BT_REFILL_NONE;
  bool when = intake_refill_of(text, &refill) && refill != BT_REFILL_NONE;
  bool tells = when || intake_says_yes(text) || intake_says_changed(text) ||
               intake_event_guess(text) != BT_EVENT_OTHER;
  return tells && !intake_says_who(text) && intake_can_stand(text);
}

/* A refill that the column notes, and how to tell on which side of the reading it was; a line for
 * each of its texts that tells of gas, as of a diary (A3). What other texts say nobody knows: they
 * may be names. More texts, or longer ones, are remarks, and where the header says who, even "J" is
 * a person. */
static void add_refill(const bt_survey *survey, size_t i, bt_text *lines) {
  const bt_survey_column *column = &survey->columns[i];
  bool people = intake_says_who(column->header);
  const char *yes = people ? NULL : text_of(column, intake_says_yes, NULL);
  size_t others = 0;
  for (size_t k = 0; k < column->texts_n && !column->texts_more && !people; k++)
    others += column->texts[k] != yes && tells_of_gas(column->texts[k]);
  bt_text_add(lines, "\": if it notes a gas refill, ");
  if (yes == NULL && others == 0)
    bt_text_add(lines, "put its word for yes for YES, and ");
  bt_text_add(lines, "say whether the refill\n"
                     "# came before or after the reading of that row. If nobody knows, compare: "
                     "where the row\n"
                     "# with the refill has the higher energy, or the lower voltage, of the days "
                     "about it, it\n# was read on the fresh gas: before; where the row behind it "
                     "has, after:\n");
  if (yes != NULL)
    add_gas_text(survey, i, yes, lines);
  else if (others == 0)
    add_example(survey, i, "event.gas_refill", "YES, before", lines);
  if (others > 0)
    bt_text_add(lines, yes != NULL
                           ? "# Its other texts, as far as their words tell: look it over.\n"
                           : "# Its texts, as far as their words tell: look it over.\n");
  for (size_t k = 0; k < column->texts_n && others > 0; k++)
    if (column->texts[k] != yes && tells_of_gas(column->texts[k]))
      add_gas_text(survey, i, column->texts[k], lines);
}

double intake_counted_of(const bt_survey_column *column) {
  double passed = 0.0, total = 0.0;
  for (size_t k = 0; k < column->texts_n; k++)
    if (intake_pair_of(column->texts[k], &passed, &total))
      return total;
  return 0.0;
}

static bool names_part(const bt_survey_column *column) {
  for (size_t k = 0; k < column->texts_n; k++)
    if (intake_failed_part(column->texts[k]) != NULL)
      return true;
  return false;
}

/* Texts that say which part failed: as failed, with the part's name. */
static void add_failed_parts(const bt_survey *survey, size_t i, double total, bt_text *lines) {
  const bt_survey_column *column = &survey->columns[i];
  for (size_t k = 0; k < column->texts_n; k++) {
    const char *part = intake_failed_part(column->texts[k]);
    char key[96];
    bt_text cell = {0};
    if (part == NULL || !intake_can_stand(column->texts[k]))
      continue;
    intake_add_marked(column->texts[k], &cell);
    add_example(survey, i, "selftest_passed.0", bt_text_get(&cell), lines);
    (void)snprintf(key, sizeof key, "selftest_total.%.0f", total);
    add_example(survey, i, key, bt_text_get(&cell), lines);
    (void)snprintf(key, sizeof key, "selftest_failed.%s", part);
    if (strpbrk(part, "=:[]#;\"|,") == NULL) /* INI's */
      add_example(survey, i, key, bt_text_get(&cell), lines);
    lines->failed = lines->failed || !bt_text_ok(&cell);
    bt_text_free(&cell);
  }
}

/* A self-test in words: a count of one, or of as many as stand beside it in numbers. */
static void add_selftest(const bt_survey *survey, size_t i, bt_text *lines) {
  const bt_survey_column *column = &survey->columns[i];
  bt_text both = {0};
  char key[48];
  double counted = intake_counted_of(column), total = counted > 0.0 ? counted : 1.0;
  bool told = counted > 0.0 || names_part(column);
  const char *passed = text_of(column, intake_says_passed, "PASSED"),
             *failed = text_of(column, intake_says_failed, told ? NULL : "FAILED");
  bt_text_format(lines,
                 "\": if it says in words whether the self-test passed: %.0f of %.0f is\n"
                 "# passed, 0 of %.0f failed%s",
                 total, total, total, counted > 0.0 ? "" : " (or count the parts)");
  if (strcmp(passed, "PASSED") == 0 || (failed != NULL && strcmp(failed, "FAILED") == 0))
    bt_text_add(lines, "; put its words for those in capitals");
  bt_text_add(lines, ":\n");
  (void)snprintf(key, sizeof key, "selftest_passed.%.0f", total);
  add_example(survey, i, key, passed, lines);
  if (failed != NULL)
    add_example(survey, i, "selftest_passed.0", failed, lines);
  bt_text_format(&both, "%s%s%s", passed, failed == NULL ? "" : " | ",
                 failed == NULL ? "" : failed);
  (void)snprintf(key, sizeof key, "selftest_total.%.0f", total);
  add_example(survey, i, key, bt_text_get(&both), lines);
  add_failed_parts(survey, i, total, lines);
  lines->failed = lines->failed || !bt_text_ok(&both);
  bt_text_free(&both);
}

/* What was done to the laser: a line for each text, with its likeliest kind. */
static void add_done(const bt_survey *survey, bt_text *lines) {
  size_t i = 0;
  while (i < survey->columns_n &&
         (survey->has_done
              ? i != survey->done_column
              : survey->columns[i].key == NULL || strcmp(survey->columns[i].key, "event") != 0))
    i++;
  if (i == survey->columns_n || survey->columns[i].texts_n == 0)
    return;
  const bt_survey_column *column = &survey->columns[i];
  bt_text_format(lines, "\n# What each text of column %zu, \"", i + 1);
  intake_add_remark(column->header, lines);
  bt_text_add(lines, "\", means, as far as its words tell: look it over.\n# The kinds are "
                     "gas_refill, gas_bottle, optics_cleaned, service, recalibration,\n"
                     "# moved, meter_changed, other.\n");
  intake_add_event_lines(survey, i, lines);
  if (column->texts_more)
    bt_text_add(lines, "# It has more texts, or longer ones, than stand here.\n");
}

static bool is_likely(const intake_likely *likely, const char *key) {
  for (size_t k = 0; k < likely->n; k++)
    if (strcmp(likely->key[k], key) == 0)
      return true;
  return false;
}

/* A column of words that nothing reads: what its texts may be given as. */
static void add_words(const bt_survey *survey, size_t i, const intake_likely *likely,
                      size_t *declared, bt_text *lines) {
  bt_text_format(lines, "\n# Column %zu, \"", i + 1);
  intake_add_remark(survey->columns[i].header, lines);
  if (is_likely(likely, "refill")) {
    add_refill(survey, i, lines);
  } else if (is_likely(likely, "selftest_passed")) {
    add_selftest(survey, i, lines);
  } else if (!likely->guessed && is_likely(likely, "pattern")) {
    bt_text_add(lines, "\": is kept as written; to keep one word for several, put them for\n"
                       "# ONE and OTHER:\n");
    add_example(survey, i, "pattern.pass", "ONE | OTHER", lines);
  } else {
    intake_declaration d;
    intake_declare(&survey->columns[i], &d);
    bt_text_format(lines,
                   "\": to chart it, declare [characteristic %zu] with key = %s in the\n"
                   "# settings, and put its words for YES and NO:\n",
                   ++*declared, d.key);
    char key[INTAKE_NAME_BYTES + 3];
    (void)snprintf(key, sizeof key, "%s.1", d.key);
    add_example(survey, i, key, "YES", lines);
    (void)snprintf(key, sizeof key, "%s.0", d.key);
    add_example(survey, i, key, "NO", lines);
  }
}

/* True where the words are kept or read as they stand. */
static bool is_elsewhere(const intake_likely *likely) {
  static const char *const keys[] = {"remark", "operator", "meter",          "unit",
                                     "state",  "event",    "characteristic", "value"};
  for (size_t i = 0; i < sizeof keys / sizeof *keys && !likely->guessed; i++)
    if (is_likely(likely, keys[i]))
      return true;
  return is_likely(likely, "selftest_failed");
}

static void add_columns_of_words(const bt_survey *survey, size_t declared, bt_text *lines) {
  for (size_t i = 0; i < survey->columns_n; i++) {
    const bt_survey_column *column = &survey->columns[i];
    if (column->identity || bt_is_bookkeeping(column->header) || intake_has_meanings(survey, i) ||
        column->first_n == 0)
      continue;
    bool refill = column->key != NULL && strcmp(column->key, "refill") == 0;
    intake_likely likely = {.n = 1, .key = {"refill"}};
    if (!refill && column->key != NULL)
      continue;
    if (!refill)
      likely = intake_likely_keys(survey, column);
    bool words = likely.content == INTAKE_CONTENT_TEXT && !intake_holds_two(column);
    if (refill || (words && !is_elsewhere(&likely)))
      add_words(survey, i, &likely, &declared, lines);
  }
}

/* Names of readings, in long form, that nothing reads. */
static void add_names(const bt_survey *survey, bt_text *lines) {
  size_t of = 0;
  while (of < survey->columns_n && (survey->columns[of].key == NULL ||
                                    strcmp(survey->columns[of].key, "characteristic") != 0))
    of++;
  for (size_t i = 0; i < survey->names_n && of < survey->columns_n; i++) {
    const bt_survey_column *name = &survey->names[i];
    if (name->key != NULL || name->identity || !intake_can_stand(name->header))
      continue;
    int item = 0;
    bt_text text = {0};
    intake_add_marked(name->header, &text);
    intake_likely likely = intake_likely_keys(survey, name);
    bt_text_add(lines, "\n# \"");
    intake_add_remark(name->header, lines);
    bt_text_format(
        lines, "\" is no reading that is known; take the # off one line, or not_stored%s:\n",
        likely.n > 0 && likely.unit[0] != '\0' ? ",\n# and off its line under [units]" : "");
    for (size_t k = 0; k < likely.n; k++)
      if (intake_is_held(intake_role_of(likely.key[k], &item)))
        add_example(survey, of, likely.key[k], bt_text_get(&text), lines);
    add_example(survey, of, INTAKE_NOT_STORED, bt_text_get(&text), lines);
    lines->failed = lines->failed || !bt_text_ok(&text);
    bt_text_free(&text);
  }
}

void intake_add_values(const bt_survey *survey, size_t declared, bt_text *map) {
  bt_text lines = {0};
  add_known(survey->choices, &lines);
  if (survey->long_form) {
    add_names(survey, &lines);
  } else if (survey->has_done || survey->source.kind == BT_SOURCE_EVENTS) {
    add_done(survey, &lines);
  } else if (survey->source.kind == BT_SOURCE_CHECKS) {
    add_columns_of_words(survey, declared, &lines);
    intake_add_noted(survey, &lines);
  }
  if (lines.length > 0)
    bt_text_format(map, "\n[values]\n%s", bt_text_get(&lines));
  map->failed = map->failed || !bt_text_ok(&lines);
  bt_text_free(&lines);
}
