/* Keys that a log's columns can be read as. */
#include "own.h"
#include "beamtally/intake.h"

#include <stdlib.h>
#include <string.h>

static bool is_ascii(const char *text) {
  for (; *text != '\0'; text++)
    if (((unsigned char)*text & 0x80) != 0)
      return false;
  return true;
}

/* Letters and digits count, as for canonical columns; but letters beyond ASCII must be the same. */
static bool names(const char *header, const char *name) {
  char a[INTAKE_NAME_BYTES], b[INTAKE_NAME_BYTES];
  if (bt_same_name(header, name))
    return true;
  return is_ascii(header) && is_ascii(name) && intake_simple_name(header, a) &&
         intake_simple_name(name, b) && strcmp(a, b) == 0;
}

/* Whether the header's first `length` bytes, without what parts a name from its unit, are the name.
 */
static bool names_before(const char *header, size_t length, const char *name) {
  char before[INTAKE_NAME_BYTES * 2];
  while (length > 0 && strchr(" ([,", header[length - 1]) != NULL)
    length--;
  if (length == 0 || length >= sizeof before)
    return false;
  memcpy(before, header, length);
  before[length] = '\0';
  return names(before, name);
}

/* True when header is the name with its unit behind it, in round or square brackets or bare; in
 * brackets more may follow: "Energy (% of the target)". */
static bool names_with_unit(const char *header, const char *name, const char *unit) {
  size_t length = strlen(header), tail = strlen(unit);
  if (tail == 0)
    return false;
  size_t open = length;
  bool closed = length > 0 && strchr(")]", header[length - 1]) != NULL;
  while (closed && open > 0 && strchr("([", header[open - 1]) == NULL)
    open--;
  if (closed && strncmp(header + open, unit, tail) == 0 && header[open + tail] == ' ' &&
      names_before(header, open, name))
    return true;
  length -= closed ? 1 : 0;
  return length > tail && strncmp(header + length - tail, unit, tail) == 0 &&
         names_before(header, length - tail, name);
}

bool intake_own_of(const char *header, const bt_own_characteristic *own, size_t n, size_t *item) {
  for (size_t i = 0; i < n; i++)
    if (names(header, own[i].key) || names(header, own[i].title) ||
        names_with_unit(header, own[i].title, own[i].unit)) {
      *item = i;
      return true;
    }
  return false;
}

/* The clinic's own come first: one that was declared before the program had a reading of its key
 * stays what its log means by it. */
intake_role intake_role_in(const bt_reading_choices *choices, const char *key, int *item) {
  for (size_t i = 0; key != NULL && choices != NULL && i < choices->own_n; i++)
    if (strcmp(key, choices->own[i].key) == 0) {
      *item = (int)i;
      return INTAKE_ROLE_OWN;
    }
  return key == NULL ? INTAKE_ROLE_NONE : intake_role_of(key, item);
}

const char *intake_key_of_header(const bt_reading_choices *choices, const char *header) {
  size_t item = 0;
  const char *key = bt_canonical_column(header);
  if (key == NULL && choices != NULL && intake_own_of(header, choices->own, choices->own_n, &item))
    key = choices->own[item].key;
  return key;
}
