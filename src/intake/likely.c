/* What a column that no name recognised might be: a help for the person who writes a map, never a
 * decision.
 *
 * K1  Its first values say whether it holds dates, times of day, numbers or words.
 * K2  Numbers whose header, or else a cell, has a unit are readings of that unit, else of one that
 *     it converts to.
 * K3  Words of the header, of several languages, choose among the keys that K1 and K2 leave. */
#include "likely.h"
#include "columns.h"
#include "convert.h"
#include "header.h"
#include "moment.h"
#include "number.h"
#include "words.h"

#include <string.h>

static const struct {
  const char *part, *key; /* the likeliest key of a part first; "=wert": the whole name */
} hints[] = {
    {"parameter", "characteristic"},
    {"=what", "characteristic"},
    {"=was", "characteristic"},
    {"=item", "characteristic"},
    {"=measurement", "characteristic"},
    {"messgr", "characteristic"},
    {"kenngr", "characteristic"},
    {"grandeur", "characteristic"},
    {"magnitud", "characteristic"},
    {"energyset", "target_mj"},
    {"setenergy", "target_mj"},
    {"setpoint", "target_mj"},
    {"soll", "target_mj"},
    {"target", "target_mj"},
    {"nominal", "target_mj"},
    {"measured", "energy_mj"},
    {"gemessen", "energy_mj"},
    {"energ", "energy_mj"},
    {"énerg", "energy_mj"},
    {"energ", "target_mj"},
    {"streu", "energy_sd_pct"},
    {"spread", "energy_sd_pct"},
    {"stdev", "energy_sd_pct"},
    {"spot", "spot_mm"},
    {"diamet", "spot_mm"},
    {"durchmesser", "spot_mm"},
    {"fluen", "fluence_mj_cm2"},
    {"fluen", "fluence_setting"},
    {"depth", "plate_depth_um"},
    {"tiefe", "plate_depth_um"},
    {"profond", "plate_depth_um"},
    {"puls", "pulses"},
    {"puls", "plate_pulses"},
    {"impuls", "pulses"},
    {"shot", "pulses"},
    {"passed", "selftest_passed"},
    {"bestanden", "selftest_passed"},
    {"total", "selftest_total"},
    {"gesamt", "selftest_total"},
    {"selftest", "selftest_passed"},
    {"selbsttest", "selftest_passed"},
    {"selftest", "selftest_total"},
    {"selbsttest", "selftest_total"},
    {"=of", "selftest_total"},
    {"failed", "selftest_failed"},
    {"fehler", "selftest_failed"},
    {"volt", "hv_kv"},
    {"spannung", "hv_kv"},
    {"tension", "hv_kv"},
    {"hv", "hv_kv"},
    {"age", "fill_age_days"},
    {"dayssince", "fill_age_days"},
    {"alter", "fill_age_days"},
    {"temp", "temp_c"},
    {"humid", "rh_pct"},
    {"feucht", "rh_pct"},
    {"=rh", "rh_pct"},
    {"roomrh", "rh_pct"},
    {"pressure", "pressure_mbar"},
    {"druck", "pressure_mbar"},
    {"xum", "offset_x_um"},
    {"yum", "offset_y_um"},
    {"offset", "offset_x_um"},
    {"offset", "offset_y_um"},
    {"track", "offset_x_um"},
    {"track", "offset_y_um"},
    {"versatz", "offset_x_um"},
    {"versatz", "offset_y_um"},
    {"decalage", "offset_x_um"},
    {"decalage", "offset_y_um"},
    {"desv", "offset_x_um"},
    {"desv", "offset_y_um"},
    {"pattern", "pattern"},
    {"muster", "pattern"},
    {"meter", "meter"},
    {"operator", "operator"},
    {"prüfer", "operator"},
    {"bediener", "operator"},
    {"user", "operator"},
    {"=who", "operator"},
    {"=by", "operator"},
    {"checkedby", "operator"},
    {"=wer", "operator"},
    {"initial", "operator"},
    {"remark", "remark"},
    {"comment", "remark"},
    {"bemerk", "remark"},
    {"kommentar", "remark"},
    {"observ", "remark"},
    {"note", "remark"},
    {"laser", "unit"},
    {"device", "unit"},
    {"machine", "unit"},
    {"system", "unit"},
    {"gerät", "unit"},
    {"geraet", "unit"},
    {"unit", "unit"},
    {"room", "unit"},
    {"state", "state"},
    {"found", "state"},
    {"refill", "refill"},
    {"gas", "refill"},
    {"event", "event"},
    {"ereignis", "event"},
    {"=wert", "value"},
    {"=messwert", "value"},
    {"=valeur", "value"},
    {"=valor", "value"},
    {"=result", "value"},
    {"=ergebnis", "value"},
};

static bool is_number(const char *text) {
  double number;
  const char *unit = NULL;
  return bt_number_parse(text, BT_DECIMAL_POINT, &number) ||
         bt_number_parse(text, BT_DECIMAL_COMMA, &number) ||
         (intake_number_before(text, BT_DECIMAL_POINT, &number, &unit) && intake_is_unit(unit)) ||
         (intake_number_before(text, BT_DECIMAL_COMMA, &number, &unit) && intake_is_unit(unit));
}

/* K1: all first values must agree; a mixture is words. */
static intake_content content_of(const bt_survey_column *column) {
  size_t dates = 0, clocks = 0, numbers = 0, filled = 0;
  double passed = 0.0, total = 0.0;
  for (size_t i = 0; i < column->first_n; i++) {
    const char *text = column->first[i];
    if (intake_is_missing(text))
      continue;
    filled++;
    dates += intake_date_of(text) != INTAKE_DATE_NOTHING;
    clocks += intake_is_clock(text);
    numbers += is_number(text) || intake_pair_of(text, &passed, &total);
  }
  return filled == 0         ? INTAKE_CONTENT_NONE
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

/* K2: the readings that the header's unit allows, one bit each; all where it names none. */
static uint32_t readings_of_unit(const char *unit, bool *own) {
  uint32_t same = 0, converted = 0;
  for (int r = 0; r < BT_READING_COUNT; r++) {
    intake_conversion conversion;
    if (unit[0] == '\0' || !intake_conversion_of((bt_reading)r, unit, &conversion))
      continue;
    bool identity =
        conversion.factor == 1.0 && conversion.divisor == 1.0 && conversion.shift == 0.0;
    same |= identity ? 1U << r : 0U;
    converted |= identity ? 0U : 1U << r;
  }
  *own = same != 0 || converted == 0;
  return same != 0 ? same : converted;
}

static bool has_part(const char *simple, const char *part) {
  return part[0] == '=' ? strcmp(simple, part + 1) == 0 : strstr(simple, part) != NULL;
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

/* K3, of the keys that content and unit leave. */
static void add_hinted(const bt_survey *survey, const char *simple, uint32_t readings,
                       intake_likely *likely) {
  for (size_t i = 0; i < sizeof hints / sizeof hints[0]; i++) {
    int item = 0;
    if (!has_part(simple, hints[i].part)) /* nearly always: what a key is need not be asked */
      continue;
    bool reading = intake_role_of(hints[i].key, &item) == INTAKE_ROLE_READING;
    /* "Pulse energy" counts no pulses. */
    bool counted = strstr(hints[i].part, "puls") != NULL && strstr(simple, "nerg") != NULL;
    if (!counted && !is_other_axis(simple, hints[i].key) && fits(likely->content, hints[i].key) &&
        (!reading || readings == 0 || (readings >> item & 1U) != 0))
      add(survey, likely, hints[i].key);
  }
}

/* A refill or self-test told in words: what they mean must be said, or it would be kept as a text.
 */
static void by_words(const bt_survey *survey, const char *simple, intake_likely *likely) {
  if (likely->content != INTAKE_CONTENT_TEXT)
    return;
  bool test = likely->n == 0 && (has_part(simple, "selftest") || has_part(simple, "selbsttest"));
  if (test)
    add(survey, likely, "selftest_passed");
  likely->by_words = test || (likely->n > 0 && strcmp(likely->key[0], "refill") == 0);
}

/* Words for passed, then for failed. */
static const char *const passes[] = {"passed", "pass", "ok",     "bestanden", "i.o.",
                                     "io",     "good", "réussi", "correcto"};
static const char *const fails[] = {"failed",        "fail",   "nok", "not ok", "nicht bestanden",
                                    "durchgefallen", "n.i.o.", "nio", "bad",    "échoué",
                                    "fallido"};

static bool is_among(const char *const *words, size_t n, const char *text) {
  bool among = false;
  for (size_t i = 0; i < n && !among; i++)
    among = bt_same_name(words[i], text);
  return among;
}

bool intake_says_passed(const char *text) {
  return is_among(passes, sizeof passes / sizeof *passes, text);
}

bool intake_says_failed(const char *text) {
  return is_among(fails, sizeof fails / sizeof *fails, text);
}

/* A self-test that says "passed" or "failed", in a column whose header speaks of a test or a
 * result; one that speaks of the pattern on the test plate is another test. */
static bool is_passed_or_failed(const bt_survey_column *column, const char *simple,
                                const intake_likely *likely) {
  static const char *const parts[] = {"test",   "check",  "prüf",     "pruef",
                                      "result", "status", "ergebnis", "control"};
  bool other = !likely->guessed && likely->n > 0 && strcmp(likely->key[0], "unit") != 0 &&
               strncmp(likely->key[0], "selftest", strlen("selftest")) != 0;
  bool of_a_test = false;
  for (size_t i = 0; i < sizeof parts / sizeof *parts; i++)
    of_a_test = of_a_test || has_part(simple, parts[i]);
  other = other || !of_a_test;
  if (other || column->texts_more || column->texts_n == 0)
    return false;
  for (size_t k = 0; k < column->texts_n; k++)
    if (!intake_says_passed(column->texts[k]) && !intake_says_failed(column->texts[k]))
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
  char simple[INTAKE_NAME_BYTES];
  if (!intake_simple_name(written, simple))
    return NULL;
  for (size_t i = 0; i < sizeof hints / sizeof hints[0]; i++) {
    int item = 0;
    if (!has_part(simple, hints[i].part))
      continue;
    if (intake_is_held(intake_role_of(hints[i].key, &item)))
      return hints[i].key;
  }
  return NULL;
}

const char *bt_likely_reading(const bt_survey *survey, const bt_survey_column *column) {
  char unit[INTAKE_UNIT_BYTES];
  bool own = true;
  int item = 0;
  intake_header_unit(column->header, unit);
  uint32_t readings = readings_of_unit(unit, &own);
  if (readings == 0 || intake_has_meanings(survey, (size_t)(column - survey->columns)))
    return NULL;
  intake_likely likely = intake_likely_keys(survey, column);
  for (size_t i = 0; i < likely.n && !likely.guessed; i++)
    if (intake_role_of(likely.key[i], &item) == INTAKE_ROLE_READING && (readings >> item & 1U) != 0)
      return likely.key[i];
  return NULL;
}

bool intake_hints_at(const char *header, const char *key) {
  char simple[INTAKE_NAME_BYTES];
  if (!intake_simple_name(header, simple))
    return false;
  for (size_t i = 0; i < sizeof hints / sizeof hints[0]; i++)
    if (strcmp(hints[i].key, key) == 0 && has_part(simple, hints[i].part))
      return true;
  return false;
}

bool intake_is_of_units(const bt_survey *survey, const bt_survey_column *column) {
  static const char *const words[] = {"unit",   "units",    "uom",   "einheit", "einheiten",
                                      "unidad", "unidades", "unite", "unites",  "unita"};
  char simple[INTAKE_NAME_BYTES];
  if (!survey->long_form || column->key != NULL || !intake_simple_name(column->header, simple))
    return false;
  for (size_t i = 0; i < sizeof words / sizeof words[0]; i++)
    if (strcmp(simple, words[i]) == 0)
      return true;
  return false;
}

/* K2: the unit behind the first number that has one. */
static bool unit_of_cells(const bt_survey_column *column, char unit[INTAKE_UNIT_BYTES]) {
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

intake_likely intake_likely_keys(const bt_survey *survey, const bt_survey_column *column) {
  intake_likely likely = {.content = content_of(column)};
  char simple[INTAKE_NAME_BYTES], unit[INTAKE_UNIT_BYTES];
  bool own = true;
  uint32_t readings = 0;
  if (likely.content == INTAKE_CONTENT_NUMBER) {
    intake_header_unit(column->header, unit);
    bool in_cell = unit[0] == '\0' && unit_of_cells(column, unit);
    readings = readings_of_unit(unit, &own);
    if (!own && !in_cell) /* a cell's own unit needs no word of the map */
      memcpy(likely.unit, unit, sizeof unit);
  }
  bool events = survey->source.kind == BT_SOURCE_EVENTS || survey->has_done;
  if (intake_simple_name(column->header, simple)) {
    intake_conversion conversion;
    /* An offset in mm is no spot's diameter, though that is what is kept in mm. */
    if (readings == 1U << BT_READING_SPOT_MM && !intake_hints_at(column->header, "spot_mm") &&
        intake_hints_at(column->header, "offset_x_um") &&
        intake_conversion_of(BT_READING_OFFSET_X_UM, unit, &conversion)) {
      readings = 1U << BT_READING_OFFSET_X_UM | 1U << BT_READING_OFFSET_Y_UM;
      memcpy(likely.unit, unit, sizeof unit);
    }
    add_hinted(survey, simple, readings, &likely);
    by_words(survey, simple, &likely);
    if (!events && likely.content == INTAKE_CONTENT_TEXT &&
        is_passed_or_failed(column, simple, &likely)) {
      likely = (intake_likely){.content = INTAKE_CONTENT_TEXT, .by_words = true};
      add(survey, &likely, "selftest_passed");
    }
  }
  if (events)
    keep_to_events(survey, &likely);
  if (likely.n > 0)
    return likely;
  likely.guessed = true;
  /* What was measured is logged more often than what was set. */
  if ((readings >> BT_READING_ENERGY_MJ & 1U) != 0)
    add(survey, &likely, "energy_mj");
  for (int r = 0; r < BT_READING_COUNT; r++)
    if ((readings >> r & 1U) != 0)
      add(survey, &likely, bt_reading_key((bt_reading)r));
  if (likely.content == INTAKE_CONTENT_DATE)
    add(survey, &likely, "date");
  if (likely.content == INTAKE_CONTENT_CLOCK)
    add(survey, &likely, "time");
  if (likely.content == INTAKE_CONTENT_TEXT) {
    static const char *const words[] = {"remark", "pattern", "operator", "meter", "unit"};
    for (size_t i = 0; i < sizeof words / sizeof words[0]; i++)
      add(survey, &likely, words[i]);
  }
  if (events)
    keep_to_events(survey, &likely);
  if (is_energy_beside_target(survey, column, &likely)) {
    likely.key[0] = "energy_mj";
    likely.n = 1;
    likely.guessed = false;
  }
  return likely;
}
