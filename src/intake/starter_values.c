/* What a starter map says of the texts of cells. The texts themselves never stand in it, but for
 * those of A3 and names of readings in long form, which are what headers are elsewhere. */
#include "columns.h"
#include "declare.h"
#include "done.h"
#include "likely.h"
#include "map.h"
#include "map_line.h"
#include "noted.h"
#include "starter.h"
#include "two_in_cell.h"

#include <stdio.h>
#include <string.h>

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
    intake_add_refill(survey, i, lines);
  } else if (is_likely(likely, "selftest_passed")) {
    intake_add_selftest(survey, i, lines);
  } else if (!likely->guessed && is_likely(likely, "pattern")) {
    bt_text_add(lines, "\": is kept as written; to keep one word for several, put them for\n"
                       "# ONE and OTHER:\n");
    intake_add_example(survey, i, "pattern.pass", "ONE | OTHER", lines);
  } else {
    intake_declaration d;
    intake_declare(&survey->columns[i], &d);
    bt_text_format(lines,
                   "\": to chart it, declare [characteristic %zu] with key = %s in the\n"
                   "# settings, and put its words for YES and NO:\n",
                   ++*declared, d.key);
    char key[INTAKE_NAME_BYTES + 3];
    (void)snprintf(key, sizeof key, "%s.1", d.key);
    intake_add_example(survey, i, key, "YES", lines);
    (void)snprintf(key, sizeof key, "%s.0", d.key);
    intake_add_example(survey, i, key, "NO", lines);
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

/* In a log of days without a reading: words that may tell what was done. Which of them do, nobody
 * has said. */
static void add_diary(const bt_survey *survey, size_t i, bt_text *lines) {
  bt_text_format(lines, "\n# Column %zu, \"", i + 1);
  intake_add_remark(survey->columns[i].header, lines);
  bt_text_add(lines,
              "\": if it says what was done to the laser, a line for each of its texts. The\n"
              "# kinds are gas_refill, gas_bottle, optics_cleaned, service, recalibration,\n"
              "# moved, meter_changed, other.\n");
  intake_add_example(survey, i, "event.gas_refill", "THE CELL'S TEXT", lines);
}

static void add_columns_of_words(const bt_survey *survey, size_t declared, bt_text *lines) {
  size_t diaries = 0;
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
    if (!refill && words && survey->no_readings && likely.guessed && !intake_notes_yes(column)) {
      if (diaries++ == 0)
        add_diary(survey, i, lines);
      continue;
    }
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
        intake_add_example(survey, of, likely.key[k], bt_text_get(&text), lines);
    intake_add_example(survey, of, INTAKE_NOT_STORED, bt_text_get(&text), lines);
    lines->failed = lines->failed || !bt_text_ok(&text);
    bt_text_free(&text);
  }
}

void intake_add_values(const bt_survey *survey, size_t declared, bt_text *map) {
  bt_text lines = {0};
  intake_add_known(survey->choices, &lines);
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
