/* What a column that no name recognised might be: a help for the person who writes a map, never a
 * decision.
 *
 * K1  Its first values say whether it holds dates, times of day, numbers or words; 7.45 is a time
 *     where the header's words say so.
 * K2  Numbers whose header, or else a cell, has a unit are readings of that unit, else of one that
 *     it converts to.
 * K3  Words of the header, of several languages, choose among the keys that K1 and K2 leave. */
#include "likely.h"
#include "clock.h"
#include "columns.h"
#include "convert.h"
#include "date.h"
#include "header.h"
#include "letters.h"
#include "likely_words.h"
#include "number.h"
#include "percent.h"
#include "thousands.h"
#include "two_in_cell.h"
#include "words.h"

#include <string.h>

static bool is_number(const char *text) {
  double number;
  const char *unit = NULL;
  bool points = intake_thousands_in(text, BT_DECIMAL_COMMA) == BT_THOUSANDS_POINT;
  bool commas = intake_thousands_in(text, BT_DECIMAL_POINT) == BT_THOUSANDS_COMMA;
  return points || commas || bt_number_parse(text, BT_DECIMAL_POINT, &number) ||
         bt_number_parse(text, BT_DECIMAL_COMMA, &number) ||
         (intake_number_before(text, BT_DECIMAL_POINT, &number, &unit) && intake_is_unit(unit)) ||
         (intake_number_before(text, BT_DECIMAL_COMMA, &number, &unit) && intake_is_unit(unit));
}

/* K1: all first values must agree; a mixture is words. */
static intake_content content_of(const bt_survey_column *column) {
  size_t dates = 0, clocks = 0, dotted = 0, numbers = 0, filled = 0;
  double passed = 0.0, total = 0.0;
  for (size_t i = 0; i < column->first_n; i++) {
    const char *text = column->first[i];
    if (intake_is_missing(text))
      continue;
    filled++;
    dates += intake_date_of(text) != INTAKE_DATE_NOTHING;
    clocks += intake_is_clock(text);
    dotted += intake_is_dotted_clock(text);
    numbers += is_number(text) || intake_pair_of(text, &passed, &total);
  }
  bool times = dotted > 0 && dotted + clocks == filled && intake_hints_at(column->header, "time");
  return filled == 0         ? INTAKE_CONTENT_NONE
         : times             ? INTAKE_CONTENT_CLOCK
         : numbers == filled ? INTAKE_CONTENT_NUMBER
         : dates == filled   ? INTAKE_CONTENT_DATE
         : clocks == filled  ? INTAKE_CONTENT_CLOCK
                             : INTAKE_CONTENT_TEXT;
}

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

/* K2: the readings that a unit allows, one bit each: those that are kept in it, and those that it
 * can be converted to. None where it is no unit. */
typedef struct unit_readings {
  uint32_t same, converted;
} unit_readings;

static unit_readings readings_of_unit(const char *unit) {
  unit_readings of = {0, 0};
  for (int r = 0; r < BT_READING_COUNT; r++) {
    intake_conversion conversion;
    if (unit[0] == '\0' || !intake_conversion_of((bt_reading)r, unit, &conversion))
      continue;
    bool identity =
        conversion.factor == 1.0 && conversion.divisor == 1.0 && conversion.shift == 0.0;
    of.same |= identity ? 1U << r : 0U;
    of.converted |= identity ? 0U : 1U << r;
  }
  return of;
}

/* What is left to guess by the unit alone. */
static uint32_t readings_by_unit(unit_readings of) {
  return of.same != 0 ? of.same : of.converted;
}

/* "Tracker X" is no y: the name's last letter, behind which a unit may stand. */
static bool is_other_axis(const char *simple, const char *key) {
  static const char *const units[] = {"um", "mm"};
  size_t end = strlen(simple);
  for (size_t i = 0; i < sizeof units / sizeof units[0]; i++)
    if (end > 2 && strcmp(simple + end - 2, units[i]) == 0) {
      end -= 2;
      break;
    }
  char other = strcmp(key, "offset_x_um") == 0 ? 'y' : strcmp(key, "offset_y_um") == 0 ? 'x' : '\0';
  return end > 0 && simple[end - 1] == other;
}

/* "Pos. X (mm)": the last word before the unit is an axis. */
static bool names_axis(const char *header) {
  size_t end = strcspn(header, "([");
  while (end > 0 && header[end - 1] == ' ')
    end--;
  return end > 0 && strchr("xXyY", header[end - 1]) != NULL &&
         (end == 1 || strchr(" _-.", header[end - 2]) != NULL);
}

/* No beam is a tenth of a millimetre across, or less, and none below zero: common practice, no
 * source. `unit`: the one that the numbers have, or "". */
static bool can_be_spot(const bt_survey_column *column, const char *unit) {
  static const double least_mm = 0.1;
  intake_conversion conversion = {1, 1, 0};
  if (unit[0] != '\0' && !intake_conversion_of(BT_READING_SPOT_MM, unit, &conversion))
    return false;
  for (size_t i = 0; i < column->first_n; i++) {
    double number = 0.0;
    const char *rest = NULL;
    bool comma = strchr(column->first[i], ',') != NULL;
    bt_decimal_mark mark = comma ? BT_DECIMAL_COMMA : BT_DECIMAL_POINT;
    if ((bt_number_parse(column->first[i], mark, &number) ||
         intake_number_before(column->first[i], mark, &number, &rest)) &&
        intake_convert(&conversion, number) < least_mm)
      return false;
  }
  return true;
}

/* What is known of a column before its words are heard. */
typedef struct heard {
  const bt_survey_column *column;
  unit_readings of;
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
    if (counted || is_other_axis(simple, hint->key) || !fits(likely->content, hint->key) ||
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

const char *intake_hinted_key(const char *written) {
  const intake_hint *hint = NULL;
  char simple[INTAKE_NAME_BYTES];
  if (!intake_plain_name(written, simple))
    return NULL;
  for (size_t i = 0; (hint = intake_hint_at(i)) != NULL; i++) {
    int item = 0;
    if (!intake_has_part(simple, hint->part))
      continue;
    if (intake_is_held(intake_role_of(hint->key, &item)))
      return hint->key;
  }
  return NULL;
}

const char *bt_likely_reading(const bt_survey *survey, const bt_survey_column *column) {
  char unit[INTAKE_UNIT_BYTES];
  int item = 0;
  intake_header_unit(column->header, unit);
  unit_readings of = readings_of_unit(unit);
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

bool intake_hints_at(const char *header, const char *key) {
  const intake_hint *hint = NULL;
  char simple[INTAKE_NAME_BYTES];
  if (!intake_plain_name(header, simple))
    return false;
  for (size_t i = 0; (hint = intake_hint_at(i)) != NULL; i++)
    if (strcmp(hint->key, key) == 0 && intake_has_part(simple, hint->part))
      return true;
  return false;
}

bool intake_is_of_units(const bt_survey *survey, const bt_survey_column *column) {
  static const char *const words[] = {"unit",   "units",    "uom",   "einheit", "einheiten",
                                      "unidad", "unidades", "unite", "unites",  "unita"};
  char simple[INTAKE_NAME_BYTES];
  if (!survey->long_form || column->key != NULL || !intake_plain_name(column->header, simple))
    return false;
  for (size_t i = 0; i < sizeof words / sizeof words[0]; i++)
    if (strcmp(simple, words[i]) == 0)
      return true;
  return false;
}

bool intake_unit_of_cells(const bt_survey_column *column, char unit[INTAKE_UNIT_BYTES]) {
  double number = 0.0;
  const char *rest = NULL;
  for (size_t i = 0; i < column->first_n; i++)
    for (int mark = BT_DECIMAL_POINT; mark <= BT_DECIMAL_COMMA; mark++)
      if (intake_number_before(column->first[i], (bt_decimal_mark)mark, &number, &rest) &&
          intake_is_unit(rest) && strlen(rest) < INTAKE_UNIT_BYTES) {
        memcpy(unit, rest, strlen(rest) + 1);
        return true;
      }
  return false;
}

/* A column of nothing but 0 and 1, of a header that speaks of a refill, says yes and no. */
static bool is_flags(const bt_survey_column *column) {
  if (column->texts_more || column->texts_n == 0 || !intake_hints_at(column->header, "refill"))
    return false;
  for (size_t k = 0; k < column->texts_n; k++)
    if (strcmp(column->texts[k], "0") != 0 && strcmp(column->texts[k], "1") != 0)
      return false;
  return true;
}

/* "Energy (% of the target)": the first word in brackets, where it is a unit. */
static void begins_with_unit(const char *header, char unit[INTAKE_UNIT_BYTES]) {
  char first[INTAKE_UNIT_BYTES];
  const char *open = strpbrk(header, "([");
  size_t word = open == NULL ? 0 : strcspn(open + 1, " )]");
  if (word == 0 || word >= sizeof first)
    return;
  memcpy(first, open + 1, word);
  first[word] = '\0';
  if (intake_is_unit(first))
    memcpy(unit, first, word + 1);
}

/* K2: of numbers, the header's unit, or the cells' where it names none that is known. True where a
 * map has to say it. */
static bool unit_of(const bt_survey_column *column, char unit[INTAKE_UNIT_BYTES]) {
  intake_header_unit(column->header, unit);
  if (!intake_is_unit(unit))
    begins_with_unit(column->header, unit);
  bool in_cell = !intake_is_unit(unit) && intake_unit_of_cells(column, unit);
  return !in_cell; /* a cell's own unit needs no word of the map */
}

/* Where neither words nor unit of a header speak for a key together. */
static void guess(const bt_survey *survey, const heard *h, intake_likely *likely) {
  uint32_t readings = readings_by_unit(h->of);
  bool offset = readings == 1U << BT_READING_SPOT_MM && !h->spot && names_axis(h->column->header);
  char simple[INTAKE_NAME_BYTES];
  likely->guessed = true;
  /* What was measured is logged more often than what was set. */
  if ((readings >> BT_READING_ENERGY_MJ & 1U) != 0)
    add(survey, likely, "energy_mj");
  for (int r = 0; r < BT_READING_COUNT; r++)
    if ((readings >> r & 1U) != 0 && (r != BT_READING_SPOT_MM || h->spot))
      add(survey, likely, bt_reading_key((bt_reading)r));
  if (offset && intake_plain_name(h->column->header, simple))
    add(survey, likely, is_other_axis(simple, "offset_x_um") ? "offset_y_um" : "offset_x_um");
  if (likely->content == INTAKE_CONTENT_DATE)
    add(survey, likely, "date");
  if (likely->content == INTAKE_CONTENT_CLOCK)
    add(survey, likely, "time");
  if (likely->content == INTAKE_CONTENT_TEXT && !intake_holds_two(h->column)) {
    static const char *const words[] = {"remark", "pattern", "operator", "meter", "unit"};
    for (size_t i = 0; i < sizeof words / sizeof words[0]; i++)
      add(survey, likely, words[i]);
  }
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

intake_likely intake_likely_keys(const bt_survey *survey, const bt_survey_column *column) {
  intake_likely likely = {.content = content_of(column)};
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
    told = unit_of(column, unit);
    h.of = readings_of_unit(unit);
  }
  h.spot = can_be_spot(column, intake_is_unit(unit) ? unit : "");
  by_header(survey, &h, events, &likely);
  if (likely.n == 0 && likely.content == INTAKE_CONTENT_NUMBER && is_flags(column)) {
    likely.content = INTAKE_CONTENT_TEXT; /* "Days since gas fill" are none */
    by_header(survey, &h, events, &likely);
  }
  if (events)
    keep_to_events(survey, &likely);
  if (likely.n == 0 && !h.denied) {
    guess(survey, &h, &likely);
    if (events)
      keep_to_events(survey, &likely);
    if (is_energy_beside_target(survey, column, &likely)) {
      likely.key[0] = "energy_mj";
      likely.n = 1;
      likely.guessed = false;
    }
  }
  if (told)
    say_unit(&h, unit, &likely);
  return likely;
}
