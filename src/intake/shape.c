/* The header of a log whose words are unknown, by the shape of its first lines.
 *
 * H1  The delimiter is the one under which most of the first lines have the same number of fields,
 *     two or more; of two such, the one with more fields, then the one that parts a date from
 *     the rest ("2026-08-17;1,61" has two fields between commas as well).
 * H2  The header is the fullest line of that shape, the first of such, before the first that holds
 *     a date: a spreadsheet writes its title lines as wide as the table, and almost empty. Where
 *     the first line of that shape holds a date, the log has no header.
 * H3  Where no delimiter parts the lines, the log has one column. */
#include "records.h"
#include "sniff.h"

#include <stdio.h>
#include <string.h>

enum { MOST_WIDTH = 1024 };

typedef struct shape {
  size_t lines, width;
  char delimiter;
  bool dated;
} shape;

/* Counts the records of each width under one delimiter, and betters *best. */
static bt_status try_shape(const bt_survey *survey, char delimiter, shape *best, bt_error *error) {
  uint8_t count[MOST_WIDTH + 1] = {0};
  bool dated = false;
  intake_records records;
  bt_status status = intake_open_log(survey, delimiter, &records, error);
  records.lines.most = INTAKE_HEADER_BYTES;
  while (status == BT_OK) {
    status = intake_records_next(&records, error);
    if (status != BT_OK || records.at_end || records.last_line > INTAKE_HEADER_LINES)
      break;
    if (records.bad != NULL || records.fields.n > MOST_WIDTH)
      continue;
    count[records.fields.n]++;
    dated = dated || intake_holds_date(&records.fields);
  }
  intake_records_close(&records);
  for (size_t width = 1; width <= MOST_WIDTH; width++) {
    size_t lines = width == 1 ? 0 : count[width]; /* H3: any line is one field wide */
    bool same = lines == best->lines && width == best->width;
    bool better = lines > best->lines || (lines == best->lines && width > best->width) ||
                  (same && dated && !best->dated);
    if (count[width] > 0 && better)
      *best = (shape){lines, width, delimiter, dated};
  }
  return status;
}

static size_t filled(intake_fields *fields) {
  size_t n = 0;
  for (size_t i = 0; i < fields->n; i++)
    n += intake_field(fields, i)[0] != '\0';
  return n;
}

/* H2. */
static bt_status take_header(bt_survey *survey, const shape *found, bt_error *error) {
  intake_records records;
  size_t most = 0;
  bool headed = true, taken = false;
  bt_status status = intake_open_log(survey, found->delimiter, &records, error);
  records.lines.most = INTAKE_HEADER_BYTES;
  survey->delimiter = found->delimiter;
  while (status == BT_OK && headed) {
    status = intake_records_next(&records, error);
    if (status != BT_OK || records.at_end || records.last_line > INTAKE_HEADER_LINES)
      break;
    if (records.bad != NULL || records.fields.n != found->width)
      continue;
    headed = !intake_holds_date(&records.fields);
    size_t here = filled(&records.fields);
    if (taken && (!headed || here <= most))
      continue;
    most = here;
    taken = true;
    survey->header_line = headed ? records.last_line : records.first_line - 1;
    survey->header_first = headed ? records.first_line : 0;
    status = intake_keep_columns(survey, &records.fields, headed, error);
  }
  intake_records_close(&records);
  return status;
}

bt_status intake_guess_header(bt_survey *survey, bt_error *error) {
  char stated = survey->choices == NULL ? '\0' : survey->choices->delimiter;
  shape best = {0};
  bt_status status = BT_OK;
  if (stated != '\0')
    status = try_shape(survey, stated, &best, error);
  for (size_t i = 0; i < sizeof intake_delimiters && stated == '\0' && status == BT_OK; i++)
    status = try_shape(survey, intake_delimiters[i], &best, error);
  if (status == BT_OK && best.width == 0)
    return bt_fail(error, BT_INPUT, "none of the first %d lines can be read as a row of fields",
                   INTAKE_HEADER_LINES);
  bool by_map = survey->choices != NULL && survey->choices->columns_n > 0;
  if (status == BT_OK && stated == '\0' && !by_map && best.delimiter == ',')
    status = intake_refuse_sentences(survey, error);
  return status == BT_OK ? take_header(survey, &best, error) : status;
}

/* The map's headers, as many as a sentence bears. */
static void add_headers(const bt_reading_choices *choices, bt_text *headers) {
  for (size_t i = 0; choices != NULL && i < choices->columns_n && headers->length < 160; i++)
    if (choices->columns[i].header != NULL)
      bt_text_format(headers, "%s\"%s\"", headers->length > 0 ? ", " : "",
                     choices->columns[i].header);
}

bt_status intake_not_recognised(const bt_survey *survey, bt_error *error) {
  bool headed = strcmp(survey->columns[0].header, "@1") != 0;
  char line[24] = "";
  bt_text headers = {0};
  bt_status status = BT_OK;
  add_headers(survey->choices, &headers);
  (void)snprintf(line, sizeof line, "line %lld", (long long)survey->header_line);
  if (!bt_text_ok(&headers))
    status = bt_fail_memory(error);
  else if (headers.length > 0)
    status =
        bt_fail(error, BT_INPUT,
                "none of this map's columns is in the file: %s%s none of %s or the map's other "
                "headers; is it the map of another log? `beamtally columns FILE` shows how "
                "the file is headed",
                headed ? line : "it seems to have no header line",
                headed ? ", its header as it seems, has" : ", and its first lines have",
                bt_text_get(&headers));
  else
    status = bt_fail(error, BT_INPUT,
                     "%s%s, so a column map must say which column is which%s; `beamtally columns "
                     "--write MAP FILE` writes one to complete, `import --map MAP` uses it",
                     headed ? line : "the file has no header line, it seems",
                     headed ? " is the header, it seems, and has no name that is known by itself "
                              "(date, energy_mj, event ...)"
                            : "",
                     headed ? "" : ", by its place (date = @1)");
  bt_text_free(&headers);
  return status;
}
