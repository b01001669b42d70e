/* A diary of sentences, which has no columns: between the commas of its sentences a map of nonsense
 * would be read.
 *
 * D1  Of the lines with a date (where there are fewer than two, of all) at most half have the same
 *     number of fields between commas; or not all have, and more than half have words behind a date
 *     in its own field.
 * D2  Fewer than a third of them hold a number or a time of day alone in a field.
 * The shares are common practice, no source. */
#include "beamtally/intake.h"
#include "clock.h"
#include "moment.h"
#include "number.h"
#include "records.h"
#include "sniff.h"
#include "words.h"

#include <string.h>

enum { MOST_WIDTH = 64, LEAST_DATED = 2, LEAST_LINES = 3 };

/* What was counted of some lines. */
typedef struct counts {
  size_t lines, with_numbers, with_words;
  size_t width[MOST_WIDTH + 1];
} counts;

static bool holds_number(intake_fields *fields) {
  for (size_t i = 0; i < fields->n; i++) {
    const char *text = intake_field(fields, i);
    double number = 0.0, total = 0.0;
    if (intake_mark_of(text) != INTAKE_MARK_NONE || intake_is_clock(text) ||
        bt_number_parse(text, BT_DECIMAL_POINT, &number) || intake_pair_of(text, &number, &total))
      return true;
  }
  return false;
}

static bool has_words_behind(intake_fields *fields) {
  for (size_t i = 0; i < fields->n; i++)
    if (intake_has_words_behind(intake_field(fields, i)))
      return true;
  return false;
}

static void count(counts *of, intake_fields *fields) {
  of->lines++;
  of->width[fields->n < MOST_WIDTH ? fields->n : MOST_WIDTH]++;
  of->with_numbers += holds_number(fields);
  of->with_words += has_words_behind(fields);
}

static size_t most_alike(const counts *of) {
  size_t most = 0;
  for (size_t width = 0; width <= MOST_WIDTH; width++)
    most = of->width[width] > most ? of->width[width] : most;
  return most;
}

/* D1, D2. */
static bool are_sentences(const counts *of) {
  size_t alike = most_alike(of);
  bool ragged = 2 * alike <= of->lines || (alike < of->lines && 2 * of->with_words > of->lines);
  return ragged && 3 * of->with_numbers < of->lines;
}

bt_status intake_refuse_sentences(const bt_survey *survey, bt_error *error) {
  counts all = {0}, dated = {0};
  intake_records records;
  bt_status status = intake_open_log(survey, ',', &records, error);
  records.lines.most = INTAKE_HEADER_BYTES;
  while (status == BT_OK) {
    status = intake_records_next(&records, error);
    if (status != BT_OK || records.at_end || records.last_line > INTAKE_HEADER_LINES)
      break;
    if (records.bad != NULL)
      continue;
    count(&all, &records.fields);
    if (intake_holds_date(&records.fields))
      count(&dated, &records.fields);
  }
  intake_records_close(&records);
  const counts *of = dated.lines >= LEAST_DATED ? &dated : &all;
  if (status != BT_OK || (of == &all && all.lines < LEAST_LINES) || !are_sentences(of))
    return status;
  return bt_fail(
      error, BT_INPUT,
      "this seems to be a diary of sentences, not a table: its lines have different "
      "numbers of commas, and hardly a number stands alone between them. To import what "
      "was done, write one thing a line, the date and the words parted by a semicolon "
      "(2026-08-17;gas changed), with date;event above them, and look again with "
      "`beamtally columns`; or note each with `beamtally event`. If it is a table all the "
      "same, say how it is parted with --delimiter");
}
