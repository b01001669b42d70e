/* Canonical columns by their names. Only letters and digits count: "Energy (mJ)", "energy_mj" and
 * "Energy mJ" are one name; "µ" is "u", "²" is "2", "%" is "pct"; a no-break
 * space is a space. */
#include "header.h"
#include "beamtally/intake.h"

#include <string.h>
#include <strings.h>

static const struct {
  const char *key;
  intake_role role;
  int item;
} columns[] = {{"date", INTAKE_ROLE_DATE, 0},
               {"time", INTAKE_ROLE_TIME, 0},
               {"unit", INTAKE_ROLE_UNIT, 0},
               {"state", INTAKE_ROLE_STATE, 0},
               {"refill", INTAKE_ROLE_REFILL, 0},
               {"event", INTAKE_ROLE_EVENT, 0},
               {"note", INTAKE_ROLE_NOTE, 0},
               {"characteristic", INTAKE_ROLE_NAME, 0},
               {"value", INTAKE_ROLE_VALUE, 0},
               {"value_unit", INTAKE_ROLE_MEASURE, 0},
#define X(ID, key, ...) {#key, INTAKE_ROLE_READING, BT_READING_##ID},
               BT_READINGS(X)
#undef X
#define X(ID, key) {#key, INTAKE_ROLE_TEXT, BT_FIELD_##ID},
                   BT_TEXTS(X)
#undef X
};

enum { COLUMNS = sizeof columns / sizeof columns[0] };

/* Plain words that can mean nothing else in a log. */
static const struct {
  const char *plain, *key;
} synonyms[] = {{"datetime", "date"},
                {"dateandtime", "date"},
                {"timestamp", "date"},
                {"timeofday", "time"},
                {"laser", "unit"},
                {"remarks", "remark"},
                {"notes", "note"},
                {"parameter", "characteristic"},
                {"quantity", "characteristic"},
                {"measurand", "characteristic"},
                {"measurement", "characteristic"},
                {"reading", "characteristic"},
                {"variable", "characteristic"},
                {"result", "value"},
                {"units", "value_unit"},
                {"uom", "value_unit"},
                {"unitofmeasure", "value_unit"},
                {"unitofmeasurement", "value_unit"},
                {"measuredvalue", "value"},
                {"readingvalue", "value"}};

bool intake_simple_name(const char *header, char simple[INTAKE_NAME_BYTES]) {
  static const struct {
    const char *from, *to;
  } signs[] = {{"%", "pct"}, {"µ", "u"}, {"μ", "u"}, {"²", "2"}, {"°", ""}, {"\xC2\xA0", ""}};
  size_t used = 0;
  for (const char *at = header; *at != '\0';) {
    size_t step = 1;
    char one[2] = {*at, '\0'};
    const char *piece = one;
    if (*at >= 'A' && *at <= 'Z')
      one[0] = (char)(*at + ('a' - 'A'));
    else if ((*at & 0x80) == 0 && !(*at >= 'a' && *at <= 'z') && !(*at >= '0' && *at <= '9'))
      one[0] = '\0';
    bool sign = *at == '%' || (*at & 0x80) != 0;
    for (size_t i = 0; sign && i < sizeof signs / sizeof signs[0]; i++)
      if (strncmp(at, signs[i].from, strlen(signs[i].from)) == 0) {
        step = strlen(signs[i].from);
        piece = signs[i].to;
      }
    size_t length = strlen(piece);
    if (used + length >= INTAKE_NAME_BYTES)
      return false;
    memcpy(simple + used, piece, length);
    used += length;
    at += step;
  }
  simple[used] = '\0';
  return used > 0;
}

void intake_make_line(char *header) {
  static const char blanks[] = " \t\r\n";
  char *to = header;
  for (const char *at = header; *at != '\0';) {
    size_t between = strspn(at, blanks);
    bool line_end = strcspn(at, "\r\n") < between;
    size_t piece = between > 0 ? between : strcspn(at, blanks), kept = line_end ? 1 : piece;
    memmove(to, line_end ? " " : at, kept);
    to += kept;
    at += piece;
  }
  *to = '\0';
}

bool intake_line_of(const char *cell, char line[INTAKE_HEADER_LINE_BYTES]) {
  size_t length = strlen(cell);
  if (length >= INTAKE_HEADER_LINE_BYTES)
    return false;
  memcpy(line, cell, length + 1);
  intake_make_line(line);
  return true;
}

bool intake_is_header(const char *cell, const char *header) {
  char line[INTAKE_HEADER_LINE_BYTES];
  if (strpbrk(cell, "\r\n") == NULL)
    return bt_same_name(cell, header);
  return intake_line_of(cell, line) && bt_same_name(line, header);
}

/* Whether that is the simple form of a key, which has small letters, digits and _. */
static bool is_key(const char *simple, const char *key) {
  for (; *key != '\0'; key++)
    if (*key != '_' && *key != *simple++)
      return false;
  return *simple == '\0';
}

const char *bt_canonical_column(const char *header) {
  char simple[INTAKE_NAME_BYTES];
  if (!intake_simple_name(header, simple))
    return NULL;
  for (size_t i = 0; i < COLUMNS; i++)
    if (is_key(simple, columns[i].key))
      return columns[i].key;
  for (size_t i = 0; i < sizeof synonyms / sizeof synonyms[0]; i++)
    if (strcmp(simple, synonyms[i].plain) == 0)
      return synonyms[i].key;
  return NULL;
}

const char *intake_key(size_t i) {
  return i < COLUMNS ? columns[i].key : NULL;
}

intake_role intake_role_of(const char *key, int *item) {
  for (size_t i = 0; i < COLUMNS; i++)
    if (strcmp(key, columns[i].key) == 0) {
      *item = columns[i].item;
      return columns[i].role;
    }
  return INTAKE_ROLE_NONE;
}

/* The header's length without a number of the column behind it: "E (mJ) 2", "Energy 2". */
static size_t unnumbered(const char *header) {
  size_t length = strlen(header), end = length;
  while (end > 0 && header[end - 1] >= '0' && header[end - 1] <= '9')
    end--;
  bool numbered = end > 0 && end < length && strchr(" _", header[end - 1]) != NULL;
  return numbered ? end - 1 : length;
}

void intake_header_unit(const char *header, char unit[INTAKE_UNIT_BYTES]) {
  static const char breaks[] = " ([_";
  size_t end = unnumbered(header);
  unit[0] = '\0';
  while (end > 0 && strchr(" )]", header[end - 1]) != NULL)
    end--;
  size_t start = end;
  while (start > 0 && strchr(breaks, header[start - 1]) == NULL)
    start--;
  if (start == 0 || end - start >= INTAKE_UNIT_BYTES)
    return;
  memcpy(unit, header + start, end - start);
  unit[end - start] = '\0';
}

/* Parts of a header that no column of a calibration log has, in letters that have no simple form.
 */
static bool names_identity_elsewhere(const char *header) {
  static const char *const parts[] = {"患者",    "病人",  "病历",    "姓名",    "生年月日",
                                      "出生",    "환자",  "Пациент", "пациент", "Фамилия",
                                      "фамилия", "ασθεν", "Ασθεν"};
  for (size_t i = 0; i < sizeof parts / sizeof parts[0]; i++)
    if (strstr(header, parts[i]) != NULL)
      return true;
  return false;
}

bool intake_header_is_identity(const char *header) {
  static const char *const parts[] = {
      "patient",   "pacient",       "paziente",       "surname",        "firstname", "lastname",
      "birth",     "geburt",        "naissance",      "nacimiento",     "nascita",   "nachname",
      "vorname",   "medicalrecord", "hospitalnumber", "socialsecurity", "apellido",  "cognome",
      "chartno",   "chartnr",       "chartnumber",    "chartid",        "caseno",    "casenumber",
      "dossiernr", "fallnummer",    "hospitalid",     "hospitalno",     "nhsnumber", "passport",
      "versichert"};
  static const char *const wholes[] = {
      "mrn",      "dob",    "ssn",     "nhs",       "nhsno",     "pat",    "patid",     "patno",
      "patnr",    "patnum", "patname", "patnummer", "ptid",      "ptno",   "ptname",    "gebdat",
      "gebdatum", "gebd",   "mrnno",   "mrnnr",     "mrnnumber", "fallnr", "ptinitials"};
  char simple[INTAKE_NAME_BYTES];
  if (names_identity_elsewhere(header))
    return true;
  if (!intake_simple_name(header, simple))
    return false;
  for (size_t i = 0; i < sizeof parts / sizeof parts[0]; i++)
    if (strstr(simple, parts[i]) != NULL)
      return true;
  for (size_t i = 0; i < sizeof wholes / sizeof wholes[0]; i++)
    if (strcmp(simple, wholes[i]) == 0)
      return true;
  return false;
}

bool bt_is_bookkeeping(const char *header) {
  return strncasecmp(header, "beamtally_", strlen("beamtally_")) == 0;
}
