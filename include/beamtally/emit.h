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

/* ---- Evidence folder ------------------------------------------------------------------------- */

/* checks.csv: one row a check and characteristic from the case's beginning to its end, with what a
 * spreadsheet needs to find the limits anew. A day's point stands in the row of its first check. */
bt_status bt_emit_case_checks(const bt_case *one, FILE *stream, bt_error *error) BT_MUST_CHECK;

/* signals.csv: one row a point and side that signals within the span. */
bt_status bt_emit_case_signals(const bt_case *one, FILE *stream, bt_error *error) BT_MUST_CHECK;

/* limits.json: every baseline that judges points of checks.csv, in full digits. */
bt_status bt_emit_case_limits(const bt_case *one, FILE *stream, bt_error *error) BT_MUST_CHECK;

/* missing.csv: days of the clinic's schedule without a check. */
bt_status bt_emit_case_missing(const bt_case *one, FILE *stream, bt_error *error) BT_MUST_CHECK;

/* README.txt: what each file is, and how to check the folder by hand. */
bt_status bt_emit_case_readme(const bt_case *one, FILE *stream, bt_error *error) BT_MUST_CHECK;

/* ---- An evidence folder, read back ----------------------------------------------------------- */

/* Why no rule judges a point. */
typedef enum bt_told_why {
  BT_TOLD_JUDGED,
  BT_TOLD_NO_BASELINE,
  BT_TOLD_OTHER_TARGET,
  BT_TOLD_TOO_OLD,
  BT_TOLD_UNKNOWN_AGE
} bt_told_why;

/* A row of checks.csv. */
typedef struct bt_told_check {
  int64_t line; /* of the file */
  bt_time at;
  bool has_clock;
  int32_t sequence;
  double reading;
  bool has_low, has_high;
  double low, high; /* tolerance */
  bool retest, as_left;
  int32_t stretch, fill;
  double age_days;
  bool age_known;
  double target_mj;         /* 0: none */
  int64_t source, log_line; /* 0: typed in by hand */
  char digest[BT_DIGEST_TEXT];
  bool is_point;          /* what follows is there */
  int32_t segment;        /* number; 0: none */
  bool used, in_baseline; /* entered its baseline; is of its period */
  uint32_t point_checks;
  double point_reading, point_value;
  bool has_point_age, has_range;
  double point_age_days, moving_range;
  int judged;   /* as in bt_study */
  bool has_why; /* false: a folder of before such reasons were told */
  int why_not;  /* bt_told_why */
} bt_told_check;

/* A row of signals.csv. */
typedef struct bt_told_signal {
  int64_t line;
  bt_time at;
  int32_t sequence;
  bt_side side;
  bt_strength strength;
  unsigned rules;
  double value, z, cusum;
  bool has_z, has_cusum;
  char episode[BT_ID_DIGITS + 1];
} bt_told_signal;

typedef struct bt_told_segment {
  int32_t number;
  bt_segment of; /* state, baseline, chart, vector, radial limit, alarm, refit and target */
} bt_told_segment;

typedef struct bt_told_restart {
  bt_time at; /* of the first point after it */
  int32_t sequence;
} bt_told_restart;

/* One characteristic as limits.json, checks.csv and signals.csv tell it. */
typedef struct bt_told_chart {
  char *key;
  bt_characteristic characteristic; /* BT_CHARACTERISTIC_COUNT: one of the clinic's own */
  int64_t rows, earlier_checks;
  double k, h, headstart;
  size_t checks_n, checks_room, signals_n, signals_room, segments_n, restarts_n;
  bt_told_check *checks;
  bt_told_signal *signals;
  bt_told_segment *segments;
  bt_told_restart *restarts;
} bt_told_chart;

typedef struct bt_told_case {
  char *unit;
  bt_time from, to; /* the span, [from, to) */
  int64_t event;    /* that it is about; 0: all of the span */
  bool with_remarks, with_operator, with_look_back, letter;
  int format;    /* of bt_case */
  int64_t logs;  /* log files that went along */
  char *made_by; /* program and version */
  char state[21];
  size_t charts_n;
  bt_told_chart *charts;
} bt_told_case;

/* BT_DAMAGED names the file and line of what can't be read as such a folder has it. */
bt_status bt_told_read(const char *folder, bt_told_case *told, bt_error *error) BT_MUST_CHECK;

/* Every check of checks.csv is in readings.csv, at the same time and place of the log, with the
 * same readings; else BT_DAMAGED. */
bt_status bt_told_compare_readings(const char *folder, const bt_told_case *told,
                                   bt_error *error) BT_MUST_CHECK;
/* The copies of logs among these files have the SHA-256 of sources.csv; else BT_DAMAGED. */
bt_status bt_told_compare_logs(const char *folder, char *const *names, size_t n,
                               bt_error *error) BT_MUST_CHECK;
void bt_told_free(bt_told_case *told);

#endif
