/* One record's fields, split by libcsv, which is fed one physical line at a time. */
#ifndef INTAKE_FIELDS_H
#define INTAKE_FIELDS_H

#include "beamtally/base.h"

#include <csv.h>

/* Larger fields and records are refused: an unclosed quote must not swallow a file. */
enum { INTAKE_FIELD_MAX = 65536, INTAKE_RECORD_MAX = 262144 };

typedef enum intake_fed {
  INTAKE_FED_BLANK, /* nothing on the line */
  INTAKE_FED_ROW,   /* a record is complete */
  INTAKE_FED_OPEN,  /* a quoted field goes on in the next line */
  INTAKE_FED_BAD,   /* `reason` says why; the parser is ready for the next line */
  INTAKE_FED_MEMORY
} intake_fed;

typedef struct intake_fields {
  struct csv_parser parser;
  char delimiter;
  bt_text data; /* all fields, each with its NUL */
  size_t *at;   /* where each begins */
  size_t n, capacity;
  int rows; /* rows that ended in this line */
  bool fresh, too_large, no_memory;
  const char *reason;
} intake_fields;

bt_status intake_fields_open(intake_fields *fields, char delimiter, bt_error *error) BT_MUST_CHECK;
void intake_fields_close(intake_fields *fields);
intake_fed intake_fields_feed(intake_fields *fields, const char *line, size_t length) BT_MUST_CHECK;

/* Forgets a record that is open. False without memory. */
bool intake_fields_reset(intake_fields *fields) BT_MUST_CHECK;

/* Field i of the complete record, trimmed and writable; borrowed until the next feed. */
char *intake_field(intake_fields *fields, size_t i);

/* True when a field of the record is a date, or begins with one. */
bool intake_holds_date(intake_fields *fields);

#endif
