/* A case for the manufacturer's engineer. */
#ifndef BEAMTALLY_FINDING_CASE_H
#define BEAMTALLY_FINDING_CASE_H

#include "beamtally/finding/unit.h"
#include "beamtally/record.h"

/* A log file, or a check typed in, that rows of a case come from. */
typedef struct bt_case_source {
  int64_t number; /* the ledger's */
  char *name;     /* owned; NULL for what was typed in */
} bt_case_source;

enum { BT_DIGEST_TEXT = 33 }; /* 32 hex digits of a check's digest */

/* Formats of an evidence folder; the older ones are still written, to hold such folders against the
 * ledger. 1: tolerances without a day from 1970-01-01, delimiters as numbers, README.txt silent on
 * what is adjusted. 2: README.txt without the columns of signals.csv, and without what the log
 * lacks and what can't be found again; readings.csv and its like without energy_pct. 3:
 * refused_lines.csv without who left out a line by decision. The PDF is that of the last format
 * alone. */
enum { BT_CASE_FORMAT = 4 };

/* Whether folders of that format have a column for a reading and a chart of a characteristic (the
 * clinic's own: always), and the rules that judge in them: src/values/case_formats.c. */
bool bt_case_knows_reading(int format, bt_reading reading);
bool bt_case_knows_characteristic(int format, bt_characteristic characteristic);
bt_rules bt_case_rules(int format);

/* A span of a unit's record as an evidence folder tells it. Names and texts that are not to be told
 * were taken out of the study before. */
typedef struct bt_case {
  const bt_unit_study *unit; /* of the log up to `to`; borrowed */
  bt_time from, to;          /* the span, [from, to) */
  bt_time begins; /* rows are given from here on: no later than the first day of each baseline that
                     judges the span, so that limits follow from the rows alone */
  const bt_event *event;            /* that it is about; NULL: all of the span. Borrowed */
  bool with_look_back;              /* the days that a change may have affected are listed */
  bool with_remarks, with_operator; /* free texts, names of people */
  bool letter;                      /* the PDF's paper; false: A4 */
  int format;                       /* that it is written in, 1 to BT_CASE_FORMAT */
  const char *made_by;              /* program and version; borrowed */
  size_t logs;                      /* log files that go along */
  const char *const *log_names;     /* of their copies, in order of strcmp; borrowed */
  char (*digest)[BT_DIGEST_TEXT];   /* of each check of the history */
  /* Of each check of the history, for the slope inside the fills: its group, its fill age (counted
     from the fill's first check where its refill is not known), and whether that is known. */
  int32_t *stretch;
  double *age_days;
  uint8_t *age_known;
  size_t sources_n;
  bt_case_source *sources; /* in order of their number */
  size_t missing_n;
  bt_time *missing; /* days of the schedule in the span without a check, from the log's first check
                       to its last check or event */
} bt_case;

void bt_case_free(bt_case *one);

/* Name of the log file with that number; NULL: none of the case's. Borrowed. */
const char *bt_case_file(const bt_case *one, int64_t source);

/* Appends what no check of the case's rows holds, each with its column, with commas between; false,
 * and nothing, where there is none. */
bool bt_case_not_held(const bt_case *one, bt_text *out);

/* The energy meter that the newest check of the case to name one names, and *since, the first check
 * from which on all that name a meter name that one; NULL where none is named. Borrowed. */
const char *bt_case_meter(const bt_case *one, bt_time *since);

/* What the log holds of the gas; whether the fluence depends on the energy meter, NULL without
 * fluence. A sentence each. */
const char *bt_case_gas_words(const bt_case *one);
const char *bt_case_meter_words(const bt_case *one);

#endif
