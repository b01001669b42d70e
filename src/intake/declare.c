/* How a column of numbers could be declared as a characteristic of the clinic's own: a key that
 * settings take, title and unit, all from its header. */
#include "declare.h"
#include "beamtally/intake.h"

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

void intake_declare(const char *header, intake_declaration *d) {
  static const struct {
    const char *sign, *letters;
  } signs[] = {{"ä", "ae"}, {"ö", "oe"}, {"ü", "ue"}, {"ß", "ss"}, {"é", "e"}, {"è", "e"},
               {"Ä", "ae"}, {"Ö", "oe"}, {"Ü", "ue"}, {"ñ", "n"},  {"ç", "c"}, {"µ", "u"}};
  size_t used = 0;
  part_unit(header, d);
  for (const char *at = d->title; *at != '\0' && used + 3 < sizeof d->key;) {
    char one[2] = {*at, '\0'};
    const char *piece = one;
    size_t step = 1;
    if (*at >= 'A' && *at <= 'Z')
      one[0] = (char)(*at + ('a' - 'A'));
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
  if (used == 0 || bt_canonical_column(d->key) != NULL)
    (void)snprintf(d->key, sizeof d->key, "my_reading");
}
