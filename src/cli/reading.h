/* How a log is read: what import and columns are told, and in which words it is told. */
#ifndef CLI_READING_H
#define CLI_READING_H

#include "cli.h"

/* ---- reading.c ------------------------------------------------------------------------------- */

/* What import and columns are told about reading a log; NULL where unsaid. */
typedef struct cli_reading {
  const char *map, *unit, *dates, *decimal, *encoding, *delimiter;
} cli_reading;

/* The lines of an option table that fill them. */
#define CLI_READING_OPTIONS(reading)                                                               \
  {"map", &(reading).map, NULL, 0}, {"unit", &(reading).unit, NULL, 0},                            \
      {"dates", &(reading).dates, NULL, 0}, {"decimal", &(reading).decimal, NULL, 0},              \
      {"encoding", &(reading).encoding, NULL, 0}, {                                                \
    "delimiter", &(reading).delimiter, NULL, 0                                                     \
  }

/* False, after a sentence, where "-" (standard input) stands more than once among the map and the
 * files: it can be read once. */
bool cli_reads_input_once(const char *map, int n, char *const *paths) BT_MUST_CHECK;

/* Reads the map, and puts the options over what it says. The settings, whose own characteristics
 * columns may hold, must outlive the choices. False after a sentence; *result is the exit status.
 * The choices are owned either way (bt_reading_choices_free). */
bool cli_reading_choices(const cli_reading *options, const bt_settings *settings,
                         bt_reading_choices *choices, cli_exit *result) BT_MUST_CHECK;

/* ---- reading_words.c ------------------------------------------------------------------------- */

/* "semicolon"; else the character itself, in `one`. */
const char *cli_delimiter_words(char delimiter, char one[2]);

/* What cli_in_words passes the table of sources through. */
typedef struct cli_worded {
  const bt_table_sink *to; /* borrowed */
  size_t column;           /* "reading" */
} cli_worded;

/* A sink for the table of sources, which hands the rows on to `to` with delimiters as words. `of`
 * and `to` are borrowed until the table is through. */
bt_table_sink cli_in_words(cli_worded *of, const bt_table_sink *to);

#endif
