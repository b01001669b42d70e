/* What a column's header says. */
#ifndef INTAKE_HEADER_H
#define INTAKE_HEADER_H

#include "beamtally/record.h"

/* What a column is read as. */
typedef enum intake_role {
  INTAKE_ROLE_NONE,
  INTAKE_ROLE_DATE,
  INTAKE_ROLE_TIME,
  INTAKE_ROLE_UNIT,
  INTAKE_ROLE_READING,
  INTAKE_ROLE_TEXT,
  INTAKE_ROLE_STATE,
  INTAKE_ROLE_REFILL,
  INTAKE_ROLE_EVENT,
  INTAKE_ROLE_NOTE,
  INTAKE_ROLE_NAME,    /* long form: which reading the row holds */
  INTAKE_ROLE_VALUE,   /* long form: the reading */
  INTAKE_ROLE_MEASURE, /* long form: the unit of measurement of the reading */
  INTAKE_ROLE_OWN      /* a characteristic of the clinic's own */
} intake_role;

/* A reading, of the log's instruments or of the clinic's own. */
static inline bool intake_is_number(intake_role role) {
  return role == INTAKE_ROLE_READING || role == INTAKE_ROLE_OWN;
}

/* What a row of a log in long form can hold, but for the clinic's own. */
static inline bool intake_is_held(intake_role role) {
  return role == INTAKE_ROLE_READING || role == INTAKE_ROLE_TEXT || role == INTAKE_ROLE_STATE ||
         role == INTAKE_ROLE_REFILL;
}

/* The role of a canonical key; *item is the bt_reading or bt_text_field of those roles. */
intake_role intake_role_of(const char *key, int *item);

/* True when the header looks like a patient's identity. */
bool intake_header_is_identity(const char *header);

enum { INTAKE_NAME_BYTES = 64 };

/* The letters, in lower case, and digits of a header: "Energy (mJ)" is "energymj"; "µ" is "u", "²"
 * is "2", "%" is "pct". False when there are none, or too many for a name. */
bool intake_simple_name(const char *header, char simple[INTAKE_NAME_BYTES]) BT_MUST_CHECK;

enum { INTAKE_HEADER_LINE_BYTES = 1024 };

/* Makes a header one line, in place: a line end in it, with the blanks about it, is one blank. */
void intake_make_line(char *header);

/* The same of a cell as it stands, into `line`; false where that has no room for it. */
bool intake_line_of(const char *cell, char line[INTAKE_HEADER_LINE_BYTES]) BT_MUST_CHECK;

/* Whether a cell, as it stands, is that header of a survey or a map; one of several lines that is
 * longer than INTAKE_HEADER_LINE_BYTES is none. */
bool intake_is_header(const char *cell, const char *header) BT_MUST_CHECK;

enum { INTAKE_UNIT_BYTES = 16 };

/* "(mJ)" or "[mJ]" at a header's end, or its last word: perhaps its unit; a number of the column
 * may stand behind it. Empty where there is none, or it is too long for one. */
void intake_header_unit(const char *header, char unit[INTAKE_UNIT_BYTES]);

/* Canonical key number i from 0; NULL behind the last. */
const char *intake_key(size_t i);

#endif
