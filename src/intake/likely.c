/* What a column that no name recognised might be: a help for the person who writes a map, never a
 * decision.
 *
 * K1  Its first values say whether it holds dates, times of day, numbers or words (content.c).
 * K2  Numbers whose header, or else a cell, has a unit are readings of that unit, else of one that
 *     it converts to (unit_readings.c).
 * K3  Words of the header, of several languages, choose among the keys that K1 and K2 leave.
 * K4  Of two columns of energies that they don't tell apart the steadier one is the target. */
#include "likely.h"
#include "axis.h"
#include "columns.h"
#include "convert.h"
#include "header.h"
#include "hinted.h"
#include "letters.h"
#include "likely_words.h"
#include "percent.h"
#include "steadier.h"
#include "two_in_cell.h"
#include "unit_readings.h"
#include "words.h"

#include <string.h>

static void add(const bt_survey *survey, intake_likely *likely, const char *key) {
  for (size_t i = 0; i < likely->n; i++)
    if (strcmp(likely->key[i], key) == 0)
      return;
  if (likely->n < INTAKE_LIKELY_MAX && !intake_has_key(survey, key))
    likely->key[likely->n++] = key;
}

/* Whether a column of that content can be read as that key. */
static bool fits(intake_content content, const char *key) {
  int item = 0;
  intake_role role = intake_role_of(key, &item);
  bool words = role != INTAKE_ROLE_DATE && role != INTAKE_ROLE_TIME && role != INTAKE_ROLE_READING;
  switch (content) {
  case INTAKE_CONTENT_DATE:
    return role == INTAKE_ROLE_DATE;
  case INTAKE_CONTENT_CLOCK:
    return role == INTAKE_ROLE_TIME;
  case INTAKE_CONTENT_NUMBER:
    return role == INTAKE_ROLE_READING || role == INTAKE_ROLE_VALUE;
  case INTAKE_CONTENT_TEXT:
    return words;
  default:
    return true;
  }
}

/* What is known of a column before its words are heard. */
typedef struct heard {
  const bt_survey_column *column;
  intake_unit_readings of;
  bool spot;   /* can be a beam's diameter */
  bool denied; /* its words speak for a reading that its unit isn't one of */
} heard;

/* K3, of the keys that content and unit leave. */
static void add_hinted(const bt_survey *survey, const char *simple, heard *h,
                       intake_likely *likely) {
  const intake_hint *hint = NULL;
  uint32_t readings = h->of.same | h->of.converted;
  for (size_t i = 0; (hint = intake_hint_at(i)) != NULL; i++) {
    int item = 0;
    if (!intake_has_part(simple, hint->part)) /* nearly always: what a key is need not be asked */
      continue;
    bool reading = intake_role_of(hint->key, &item) == INTAKE_ROLE_READING;
    /* "Pulse energy" counts no pulses. */
    bool counted = strstr(hint->part, "puls") != NULL && strstr(simple, "nerg") != NULL;
    bool spot = reading && item == BT_READING_SPOT_MM;
    if (counted || intake_is_other_axis(simple, hint->key) || !fits(likely->content, hint->key) ||
        (spot && !h->spot))
      continue;
    bool of_unit = !reading || readings == 0 || (readings >> item & 1U) != 0;
    h->denied = h->denied || !of_unit;
    if (of_unit)
      add(survey, likely, hint->key);
  }
}

/* A refill or self-test told in words: what they mean must be said, or it would be kept as a text.
 */
static void by_words(const bt_survey *survey, const char *simple, intake_likely *likely) {
  if (likely->content != INTAKE_CONTENT_TEXT)
    return;
  bool test = likely->n == 0 && intake_speaks_of_selftest(simple);
  if (test)
    add(survey, likely, "selftest_passed");
  likely->by_words = test || (likely->n > 0 && strcmp(likely->key[0], "refill") == 0);
}

/* A self-test that says "passed" or "failed", in a column whose header speaks of a test or a
 * result; one that speaks of the pattern on the test plate is another test. */
static bool is_passed_or_failed(const bt_survey_column *column, const char *simple,
                                const intake_likely *likely) {
  static const char *const parts[] = {"test",   "check",  "pruf",     "pruef",
                                      "result", "status", "ergebnis", "control"};
  bool other = !likely->guessed && likely->n > 0 && strcmp(likely->key[0], "unit") != 0 &&
               strncmp(likely->key[0], "selftest", strlen("selftest")) != 0;
  bool of_a_test = false;
  for (size_t i = 0; i < sizeof parts / sizeof *parts; i++)
    of_a_test = of_a_test || intake_has_part(simple, parts[i]);
  other = other || !of_a_test;
  if (other || column->texts_more || column->texts_n == 0)
    return false;
  for (size_t k = 0; k < column->texts_n; k++)
    if (!intake_says_passed(column->texts[k]) && !intake_says_failed(column->texts[k]) &&
        intake_failed_part(column->texts[k]) == NULL)
      return false;
  return true;
}

/* In a log of events a text is its note, and nothing is a reading. */
static void keep_to_events(const bt_survey *survey, intake_likely *likely) {
  size_t n = 0;
  bool text = likely->content == INTAKE_CONTENT_TEXT;
  for (size_t k = 0; k < likely->n; k++) {
    int item = 0;
    const char *key = likely->key[k];
    intake_role role = intake_role_of(key, &item);
    if (role == INTAKE_ROLE_DATE || role == INTAKE_ROLE_TIME || role == INTAKE_ROLE_UNIT ||
        role == INTAKE_ROLE_NOTE)
      likely->key[n++] = key;
    else if (n == 0 && text && strcmp(key, "remark") == 0 && !intake_has_key(survey, "note"))
      likely->key[n++] = "note";
  }
  likely->n = n;
  likely->by_words = false;
}

/* An event has no place for who did it, and a name is no note of it. */
static bool is_of_people(const intake_likely *likely) {
  return likely->n > 0 && strcmp(likely->key[0], "operator") == 0;
}

/* "Ist mJ" beside "Soll mJ": what one column is the target of is the other's energy. */
static bool is_energy_beside_target(const bt_survey *survey, const bt_survey_column *column,
                                    const intake_likely *likely) {
  if (likely->n != 2 || strcmp(likely->key[0], "energy_mj") != 0 ||
      strcmp(likely->key[1], "target_mj") != 0)
    return false;
  for (size_t i = 0; i < survey->columns_n; i++)
    if (&survey->columns[i] != column && survey->columns[i].key == NULL &&
        intake_hints_at(survey->columns[i].header, "target_mj") &&
        !intake_hints_at(survey->columns[i].header, "energy_mj"))
      return true;
  return false;
}

const char *bt_likely_reading(const bt_survey *survey, const bt_survey_column *column) {
  char unit[INTAKE_UNIT_BYTES];
  int item = 0;
  intake_header_unit(column->header, unit);
  intake_unit_readings of = intake_readings_of_unit(unit);
  uint32_t readings = of.same | of.converted;
  intake_likely likely = intake_likely_keys(survey, column);
  if (likely.n > 0 && !likely.guessed && strcmp(likely.key[0], "energy_pct") == 0)
    return likely.key[0]; /* whatever follows its percent sign */
  if (readings == 0 || intake_has_meanings(survey, (size_t)(column - survey->columns)))
    return NULL;
  for (size_t i = 0; i < likely.n && !likely.guessed; i++)
    if (intake_role_of(likely.key[i], &item) == INTAKE_ROLE_READING && (readings >> item & 1U) != 0)
      return likely.key[i];
  return NULL;
}

/* Words of which nothing says what they are: what was done, most likely, where a log has days and
 * no reading. Who notes yes and no tells of something else. */
static void guess_words(const bt_survey *survey, const bt_survey_column *column,
                        intake_likely *likely) {
  static const char *const words[] = {"remark", "pattern", "operator", "meter", "unit"};
  static const char *const of_diary[] = {"event", "note", "operator", "unit"};
  bool diary = survey->no_readings && !intake_notes_yes(column);
  size_t n = diary ? sizeof of_diary / sizeof *of_diary : sizeof words / sizeof *words;
  for (size_t i = 0; i < n; i++)
    add(survey, likely, diary ? of_diary[i] : words[i]);
}

/* Where neither words nor unit of a header speak for a key together. */
static void guess(const bt_survey *survey, const heard *h, intake_likely *likely) {
  uint32_t readings = intake_readings_by_unit(h->of);
  bool offset =
      readings == 1U << BT_READING_SPOT_MM && !h->spot && intake_names_axis(h->column->header);
  char simple[INTAKE_NAME_BYTES];
  likely->guessed = true;
  /* What was measured is logged more often than what was set. */
  if ((readings >> BT_READING_ENERGY_MJ & 1U) != 0)
    add(survey, likely, "energy_mj");
  for (int r = 0; r < BT_READING_COUNT; r++)
    if ((readings >> r & 1U) != 0 && (r != BT_READING_SPOT_MM || h->spot))
      add(survey, likely, bt_reading_key((bt_reading)r));
  if (offset && intake_plain_name(h->column->header, simple))
    add(survey, likely,
        intake_is_other_axis(simple, "offset_x_um") ? "offset_y_um" : "offset_x_um");
  if (likely->content == INTAKE_CONTENT_DATE)
    add(survey, likely, "date");
  if (likely->content == INTAKE_CONTENT_CLOCK)
    add(survey, likely, "time");
  if (likely->content == INTAKE_CONTENT_TEXT && !intake_holds_two(h->column))
    guess_words(survey, h->column, likely);
}

/* The unit that a map has to say of the likeliest key. */
static void say_unit(const heard *h, const char *unit, intake_likely *likely) {
  int item = 0;
  if (likely->n > 0 && intake_role_of(likely->key[0], &item) == INTAKE_ROLE_READING &&
      (h->of.converted >> item & 1U) != 0)
    memcpy(likely->unit, unit, INTAKE_UNIT_BYTES);
}

/* K3. */
static void by_header(const bt_survey *survey, heard *h, bool events, intake_likely *likely) {
  char simple[INTAKE_NAME_BYTES];
  if (!intake_plain_name(h->column->header, simple))
    return;
  add_hinted(survey, simple, h, likely);
  by_words(survey, simple, likely);
  if (!events && likely->content == INTAKE_CONTENT_TEXT &&
      is_passed_or_failed(h->column, simple, likely)) {
    *likely = (intake_likely){.content = INTAKE_CONTENT_TEXT, .by_words = true};
    add(survey, likely, "selftest_passed");
  }
}

/* K4. */
static void by_steadiness(const bt_survey *survey, const bt_survey_column *column,
                          intake_likely *likely) {
  if (likely->n < 2 || strcmp(likely->key[0], "energy_mj") != 0 ||
      strcmp(likely->key[1], "target_mj") != 0 || !intake_is_steadier_energy(survey, column))
    return;
  const char *energy = likely->key[0];
  likely->key[0] = likely->key[1];
  likely->key[1] = energy;
}

intake_likely intake_likely_keys(const bt_survey *survey, const bt_survey_column *column) {
  intake_likely likely = {.content = intake_content_of(column)};
  heard h = {.column = column};
  char unit[INTAKE_UNIT_BYTES] = "";
  bool told = true, events = survey->source.kind == BT_SOURCE_EVENTS || survey->has_done;
  bool ratio = false;
  if (!events && !intake_has_key(survey, "energy_pct") &&
      intake_is_energy_percent(column, survey->decimal, &ratio)) {
    memcpy(likely.unit, ratio ? "1" : "", ratio ? 2 : 1);
    add(survey, &likely, "energy_pct");
    return likely;
  }
  if (likely.content == INTAKE_CONTENT_NUMBER) {
    told = intake_unit_of_column(column, unit);
    h.of = intake_readings_of_unit(unit);
  }
  h.spot = intake_can_be_spot(column, intake_is_unit(unit) ? unit : "");
  by_header(survey, &h, events, &likely);
  if (likely.n == 0 && likely.content == INTAKE_CONTENT_NUMBER && intake_is_flags(column)) {
    likely.content = INTAKE_CONTENT_TEXT; /* "Days since gas fill" are none */
    by_header(survey, &h, events, &likely);
  }
  bool people = events && is_of_people(&likely);
  if (events)
    keep_to_events(survey, &likely);
  if (likely.n == 0 && !h.denied && !people) {
    guess(survey, &h, &likely);
    if (events)
      keep_to_events(survey, &likely);
    if (is_energy_beside_target(survey, column, &likely)) {
      likely.key[0] = "energy_mj";
      likely.n = 1;
      likely.guessed = false;
    }
  }
  by_steadiness(survey, column, &likely);
  if (told)
    say_unit(&h, unit, &likely);
  return likely;
}
