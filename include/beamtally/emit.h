/* The emit room: findings to JSON and CSV. Numbers have at most 15 significant digits, do not
 * depend on the locale, and what is not there is null (JSON) or empty (CSV). */
#ifndef BEAMTALLY_EMIT_H
#define BEAMTALLY_EMIT_H

#include "beamtally/base.h"
#include "beamtally/finding.h"
#include "beamtally/record.h"
#include "beamtally/setup.h"

#include <stdio.h>

/* `analyse --format json`: one document, "format":1. Points from `from` to before `to` are written
 * one by one, never held as a tree. BT_SYSTEM when the stream fails. */
bt_status bt_emit_analysis_json(const bt_unit_study *study, const bt_study *of, bt_time from,
                                bt_time to, FILE *stream, bt_error *error) BT_MUST_CHECK;

/* `drift --format json`: the drift of one characteristic, or with NULL that of all of the unit. */
bt_status bt_emit_drift_json(const bt_unit_study *unit, const bt_drift *only, FILE *stream,
                             bt_error *error) BT_MUST_CHECK;

/* `analyse --format csv`: a header and one row a point from `from` to before `to`. */
bt_status bt_emit_analysis_csv(const bt_study *of, bt_time from, bt_time to, FILE *stream,
                               bt_error *error) BT_MUST_CHECK;

/* `import --rejects`: refused lines as CSV, first the header, then a row each. `file` is the log's
 * name, in a column of its own where `with_file` asks for one. Never the line or a value of it. A
 * failure stays with the stream. */
void bt_emit_refusals_header(bool with_file, FILE *stream);
void bt_emit_refusal(const bt_refusal *refusal, bool with_file, const char *file, FILE *stream);

/* Writes a table to a stream as its rows come: CSV (a header, a row a line; texts that begin with =
 * + - @ tab or CR get a leading apostrophe, numbers never), or a JSON array of objects. */
typedef struct bt_table_writer {
  FILE *stream;
  bool json;
  char **names; /* of the columns; the writer's own */
  size_t n;
  int64_t rows;
} bt_table_writer;

/* The sink's context is the writer, which must outlive it. */
bt_table_sink bt_table_writer_open(bt_table_writer *writer, FILE *stream, bool json);

/* Ends the document and frees the names; BT_SYSTEM when the stream failed. */
bt_status bt_table_writer_close(bt_table_writer *writer, bt_error *error) BT_MUST_CHECK;

/* SHA-256 of a file. */
bt_status bt_emit_file_digest(const char *path, unsigned char sha256[BT_SHA256_BYTES],
                              bt_error *error) BT_MUST_CHECK;

/* Appends the settings as the INI file that bt_settings_read takes. */
void bt_emit_settings_ini(const bt_settings *settings, bt_text *out);

/* `runlength --format json`: one run length is the document, several stand in "charts". */
bt_status bt_emit_run_lengths_json(const bt_run_table *tables, size_t n, FILE *stream,
                                   bt_error *error) BT_MUST_CHECK;

/* The same with the charts used together: always "charts", and "together". */
bt_status bt_emit_run_set_json(const bt_run_table *tables, size_t n, const bt_run_set *set,
                               FILE *stream, bt_error *error) BT_MUST_CHECK;

/* `runlength --budget --format json`. */
bt_status bt_emit_suggestions_json(const bt_budget *budget, const bt_suggestion *suggestions,
                                   size_t n, FILE *stream, bt_error *error) BT_MUST_CHECK;

#endif
