/* Fields by libcsv.
 *
 * Strict in both of its senses: a quote inside an unquoted field, or text behind a closing quote,
 * would otherwise swallow the rest of the file without an error. After an error the parser is made
 * anew: its own csv_fini would hand out a false row. */
#include "fields.h"
#include "date.h"
#include "words.h"

#include <stdlib.h>
#include <string.h>

static void *bounded_realloc(void *old, size_t size) {
  return size > INTAKE_FIELD_MAX ? NULL : realloc(old, size);
}

static bool start(intake_fields *fields) {
  if (csv_init(&fields->parser, CSV_STRICT | CSV_STRICT_FINI | CSV_APPEND_NULL) != 0)
    return false;
  csv_set_delim(&fields->parser, (unsigned char)fields->delimiter);
  csv_set_realloc_func(&fields->parser, bounded_realloc);
  fields->fresh = true;
  return true;
}

bt_status intake_fields_open(intake_fields *fields, char delimiter, bt_error *error) {
  *fields = (intake_fields){.delimiter = delimiter};
  return start(fields) ? BT_OK : bt_fail_memory(error);
}

void intake_fields_close(intake_fields *fields) {
  csv_free(&fields->parser);
  bt_text_free(&fields->data);
  free(fields->at);
  *fields = (intake_fields){0};
}

bool intake_fields_reset(intake_fields *fields) {
  csv_free(&fields->parser);
  return start(fields);
}

static void take_field(void *text, size_t length, void *context) {
  intake_fields *fields = context;
  if (fields->rows > 0 || fields->too_large)
    return;
  if (fields->data.length + length > INTAKE_RECORD_MAX) {
    fields->too_large = true;
    return;
  }
  if (!bt_grow(&fields->at, &fields->capacity, fields->n + 1, sizeof *fields->at)) {
    fields->no_memory = true;
    return;
  }
  fields->at[fields->n++] = fields->data.length;
  bt_text_add_bytes(&fields->data, text, length + 1); /* with the NUL of CSV_APPEND_NULL */
  fields->no_memory = fields->no_memory || !bt_text_ok(&fields->data);
}

static void take_row(int end, void *context) {
  intake_fields *fields = context;
  (void)end;
  fields->rows++;
}

static intake_fed bad(intake_fields *fields, const char *reason) {
  fields->reason = reason;
  return intake_fields_reset(fields) ? INTAKE_FED_BAD : INTAKE_FED_MEMORY;
}

/* Fields are handed out trimmed. */
static void trim_all(intake_fields *fields) {
  for (size_t i = 0; i < fields->n; i++)
    fields->at[i] = (size_t)(intake_trim(fields->data.data + fields->at[i]) - fields->data.data);
}

intake_fed intake_fields_feed(intake_fields *fields, const char *line, size_t length) {
  if (fields->fresh) {
    fields->n = 0;
    bt_text_clear(&fields->data);
    fields->too_large = false;
    fields->fresh = false;
  }
  fields->rows = 0;
  size_t used = csv_parse(&fields->parser, line, length, take_field, take_row, fields);
  bool ends = length > 0 && (line[length - 1] == '\n' || line[length - 1] == '\r');
  bool whole = used == length;
  if (whole && !ends)
    whole = csv_parse(&fields->parser, "\n", 1, take_field, take_row, fields) == 1;

  /* A field that is too large has filled all that bounded_realloc gives. */
  bool refused = !whole && csv_error(&fields->parser) == CSV_ENOMEM;
  if (fields->no_memory || (refused && fields->parser.entry_size < INTAKE_FIELD_MAX))
    return INTAKE_FED_MEMORY;
  if (!whole && csv_error(&fields->parser) == CSV_EPARSE)
    return bad(fields, "a quotation mark stands where none may; put the field in quotation marks "
                       "and double those inside it");
  if (!whole || fields->too_large)
    return bad(fields, "a field is larger than a log's field can be; look for a quotation mark "
                       "that is not closed");
  if (fields->rows > 1)
    return bad(fields, "the line holds a second line end inside it; save the file with one kind "
                       "of line end");
  if (fields->rows == 1) {
    fields->fresh = true;
    trim_all(fields);
    return INTAKE_FED_ROW;
  }
  if (fields->parser.quoted != 0)
    return INTAKE_FED_OPEN;
  fields->fresh = true;
  return INTAKE_FED_BLANK;
}

char *intake_field(intake_fields *fields, size_t i) {
  return fields->data.data + fields->at[i];
}

bool intake_holds_date(intake_fields *fields) {
  for (size_t i = 0; i < fields->n; i++)
    if (intake_date_of(intake_field(fields, i)) != INTAKE_DATE_NOTHING)
      return true;
  return false;
}
