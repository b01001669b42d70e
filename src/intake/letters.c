/* Letters without their marks: a header may be written with them, without, or in capitals.
 * The letters are those of the Latin alphabets of western and central Europe and of Turkish, as
 * Unicode decomposes them; those that it doesn't (ø, ł, ı, ß, æ, œ) as they are written without. */
#include "letters.h"

#include <string.h>

static const struct {
  const char *letters, *plain; /* each of two bytes */
} table[] = {
    {"àáâãäåāăąÀÁÂÃÄÅĀĂĄ", "a"},
    {"çćčÇĆČ", "c"},
    {"ďđĎĐ", "d"},
    {"èéêëēėęěÈÉÊËĒĖĘĚ", "e"},
    {"ğģĞĢ", "g"},
    {"ìíîïīįıÌÍÎÏĪĮİ", "i"},
    {"ķĶ", "k"},
    {"łļľĺŁĻĽĹ", "l"},
    {"ñńňņÑŃŇŅ", "n"},
    {"òóôõöøōőÒÓÔÕÖØŌŐ", "o"},
    {"ŕřŔŘ", "r"},
    {"śšşșŚŠŞȘ", "s"},
    {"ťţțŤŢȚ", "t"},
    {"ùúûüūůűųÙÚÛÜŪŮŰŲ", "u"},
    {"ýÿÝŸ", "y"},
    {"źżžŹŻŽ", "z"},
    {"ß", "ss"},
    {"æÆ", "ae"},
    {"œŒ", "oe"},
};

const char *intake_plain_letter(const char *at, size_t *step) {
  enum { BYTES = 2 };
  if (((unsigned char)at[0] & 0xE0) != 0xC0)
    return NULL;
  for (size_t i = 0; i < sizeof table / sizeof *table; i++)
    for (const char *letter = table[i].letters; *letter != '\0'; letter += BYTES)
      if (strncmp(letter, at, BYTES) == 0) {
        *step = BYTES;
        return table[i].plain;
      }
  return NULL;
}

/* No letter is longer without its mark. */
bool intake_plain_name(const char *header, char plain[INTAKE_NAME_BYTES]) {
  char simple[INTAKE_NAME_BYTES];
  size_t used = 0;
  if (!intake_simple_name(header, simple))
    return false;
  for (const char *at = simple; *at != '\0';) {
    size_t step = 1;
    const char *letter = intake_plain_letter(at, &step);
    if (letter == NULL)
      plain[used++] = *at;
    for (; letter != NULL && *letter != '\0'; letter++)
      plain[used++] = *letter;
    at += step;
  }
  plain[used] = '\0';
  return true;
}
