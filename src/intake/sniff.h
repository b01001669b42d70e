/* What a file is, from its first bytes and lines. */
#ifndef INTAKE_SNIFF_H
#define INTAKE_SNIFF_H

#include "beamtally/intake.h"
#include "records.h"

/* A header is looked for among so many lines, and no further than so many bytes: rubbish without a
 * line end must not be read to its end. */
enum { INTAKE_HEADER_LINES = 100, INTAKE_HEADER_BYTES = 32 << 20 };

/* From the first bytes: is it a log at all, in which encoding, with which line ends. Sets encoding
 * and line_end of the survey. *marked: a byte-order mark or a person settled the encoding. */
bt_status intake_sniff_bytes(bt_survey *survey, bool *marked, bt_error *error) BT_MUST_CHECK;

/* Where the file's mark (NULL: none), or all of its bytes, contradict the encoding that somebody
 * said: puts what the file is in its place, and a hint that says so. */
bt_status intake_contradict_encoding(bt_survey *survey, const char *mark, const char **encoding,
                                     bt_error *error) BT_MUST_CHECK;

/* What the lines showed of the file's encoding while it was taken for UTF-8. */
typedef struct intake_seen {
  bool not_utf8;  /* a line isn't UTF-8 */
  bool multibyte; /* another is, with characters beyond ASCII */
} intake_seen;

/* From the first lines: delimiter, header line, columns. Where the encoding isn't settled and a
 * line isn't UTF-8, only *seen is told. *header is false where no line names a known column. */
bt_status intake_sniff_header(bt_survey *survey, bool settled, intake_seen *seen, bool *header,
                              bt_error *error) BT_MUST_CHECK;

/* The delimiter and the header line of a file none of whose lines names a known column: the number
 * of fields, two or more, that most of the first lines have, and the first line that has it
 * (shape.c). */
bt_status intake_guess_header(bt_survey *survey, bt_error *error) BT_MUST_CHECK;

/* A line of units behind the header becomes part of it (units_line.c). */
bt_status intake_take_units(bt_survey *survey, bt_error *error) BT_MUST_CHECK;

/* BT_INPUT where a file that would be parted at its commas is a diary of sentences (prose.c). */
bt_status intake_refuse_sentences(const bt_survey *survey, bt_error *error) BT_MUST_CHECK;

/* BT_INPUT: why such a file can't be read as it is, with the header that was guessed. */
bt_status intake_not_recognised(const bt_survey *survey, bt_error *error) BT_MUST_CHECK;

/* Copies the record's fields as the survey's columns; without a header (headed false) they are
 * called @1, @2 ... */
bt_status intake_keep_columns(bt_survey *survey, intake_fields *fields, bool headed,
                              bt_error *error) BT_MUST_CHECK;

/* The records of the survey's file from its start, in its encoding and with its line ends. Closed
 * by the caller, after a failure too (intake_records_close). */
bt_status intake_open_log(const bt_survey *survey, char delimiter, intake_records *records,
                          bt_error *error) BT_MUST_CHECK;

/* The delimiters that are tried, one after the other, where nobody said one. */
extern const char intake_delimiters[4];

#endif
