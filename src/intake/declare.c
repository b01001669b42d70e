/* How a column of numbers could be declared as a characteristic of the clinic's own: a key that
 * settings take, title and unit, all from its header. */
#include "declare.h"
#include "beamtally/intake.h"
#include "convert.h"
#include "letters.h"
#include "unit_readings.h"
#include "words.h"

#include <stdio.h>
#include <string.h>

/* "Door force (N)" parted into its title and the unit in brackets. */
static void part_unit(const char *header, intake_declaration *d) {
  size_t length = strlen(header), open = length;
  bool closed = length > 0 && strchr(")]", header[length - 1]) != NULL;
  while (closed && open > 0 && strchr("([", header[open - 1]) == NULL)
    open--;
  d->unit[0] = '\0';
  if (closed && open > 1 && length - open - 1 < sizeof d->unit) {
    memcpy(d->unit, header + open, length - open - 1);
    d->unit[length - open - 1] = '\0';
    length = open - 1;
  }
  while (length > 0 && header[length - 1] == ' ')
    length--;
  if (length >= sizeof d->title)
    length = 0;
  for (size_t i = 0; i < length; i++) /* a header may have line ends */
    d->title[i] = (unsigned char)header[i] < ' ' ? ' ' : header[i];
  while (length > 0 && d->title[length - 1] == ' ')
    length--;
  d->title[length] = '\0';
}

/* "(% de la consigne)" is no unit, but begins with one; and what the cells have is theirs. The
 * title must be what a header of that name is found by (own.c). */
static void settle_unit(const bt_survey_column *column, intake_declaration *d) {
  char unit[INTAKE_UNIT_BYTES], first[INTAKE_NAME_BYTES];
  size_t word = strcspn(d->unit, " ");
  memcpy(first, d->unit, word);
  first[word] = '\0';
  bool bracket = intake_is_unit(first), cells = intake_unit_of_cells(column, unit);
  bool whole = cells && !intake_same_unit(unit, first);
  if (cells)
    (void)snprintf(d->unit, sizeof d->unit, "%s", bracket && !whole ? first : unit);
  else if (bracket)
    d->unit[word] = '\0';
  whole = whole || bt_canonical_column(d->title) != NULL;
  if (whole && strlen(column->header) < sizeof d->title)
    intake_show(column->header, d->title, sizeof d->title);
}

/* A key that settings take, of a title. */
static void make_key(const char *title, intake_declaration *d) {
  static const struct {
    const char *sign, *letters; /* where a letter isn't simply written without its mark */
  } signs[] = {{"ä", "ae"}, {"ö", "oe"}, {"ü", "ue"}, {"Ä", "ae"},
               {"Ö", "oe"}, {"Ü", "ue"}, {"µ", "u"}};
  size_t used = 0;
  for (const char *at = title; *at != '\0' && used + 3 < sizeof d->key;) {
    char one[2] = {*at, '\0'};
    const char *piece = one;
    size_t step = 1;
    if (*at >= 'A' && *at <= 'Z')
      one[0] = (char)(*at + ('a' - 'A'));
    else if (intake_plain_letter(at, &step) != NULL)
      piece = intake_plain_letter(at, &step);
    else if (!(*at >= 'a' && *at <= 'z') && !(*at >= '0' && *at <= '9'))
      piece = ((unsigned char)*at & 0x80) != 0 ? "" : "_";
    for (size_t i = 0; i < sizeof signs / sizeof *signs; i++)
      if (strncmp(at, signs[i].sign, strlen(signs[i].sign)) == 0) {
        piece = signs[i].letters;
        step = strlen(signs[i].sign);
      }
    if (strcmp(piece, "_") == 0 && (used == 0 || d->key[used - 1] == '_'))
      piece = "";
    memcpy(d->key + used, piece, strlen(piece));
    used += strlen(piece);
    at += step;
  }
  while (used > 0 && d->key[used - 1] == '_')
    used--;
  d->key[used] = '\0';
  bt_characteristic known;
  if (used == 0 || bt_canonical_column(d->key) != NULL || bt_characteristic_of(d->key, &known))
    (void)snprintf(d->key, sizeof d->key, "my_reading");
}

void intake_declare(const bt_survey_column *column, intake_declaration *d) {
  part_unit(column->header, d);
  make_key(d->title, d);
  settle_unit(column, d);
}
