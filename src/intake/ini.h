/* INI files, read strictly through inih. */
#ifndef INTAKE_INI_H
#define INTAKE_INI_H

#include "beamtally/base.h"

typedef struct intake_pair {
  const char *section, *key, *value; /* borrowed; value trimmed, without a comment behind it */
  const char *written;               /* the line as it stands in the file, leading blanks dropped */
  int line;
} intake_pair;

/* Hands each key to `take`, which refuses it by its status; the file's name and the line are then
 * put before its sentence. A key that came before is refused, but in the section `lists` (NULL:
 * in all). A line before any section is refused with `form`, a sentence on what such a file looks
 * like. */
typedef bt_status (*intake_take_pair)(void *context, const intake_pair *pair, bt_error *error);

/* Puts an owned copy of a text at *to. */
bt_status intake_ini_keep(char **to, const char *text, bt_error *error) BT_MUST_CHECK;

bt_status intake_ini_read(const char *path, const char *lists, const char *form,
                          intake_take_pair take, void *context, bt_error *error) BT_MUST_CHECK;

#endif
