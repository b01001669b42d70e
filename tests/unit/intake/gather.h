/* Helps of the intake tests: files with given bytes, and a sink that keeps what it gets. */
#ifndef GATHER_H
#define GATHER_H

#include "beamtally/intake.h"

#include <stdio.h>

enum { KEPT_MAX = 64, KEPT_TEXT = 128 };

typedef struct kept {
  size_t checks_n, events_n, refusals_n;
  bt_check checks[KEPT_MAX];
  char units[KEPT_MAX][KEPT_TEXT], remarks[KEPT_MAX][KEPT_TEXT], failed[KEPT_MAX][KEPT_TEXT];
  char patterns[KEPT_MAX][KEPT_TEXT], operators[KEPT_MAX][KEPT_TEXT];
  char own[KEPT_MAX][KEPT_TEXT]; /* own readings, as "door 1, key 2.5" */
  bt_event events[KEPT_MAX];
  char notes[KEPT_MAX][KEPT_TEXT];
  bt_refusal refusals[KEPT_MAX];
  char columns[KEPT_MAX][KEPT_TEXT], fields[KEPT_MAX][KEPT_TEXT], values[KEPT_MAX][KEPT_TEXT];
  char reasons[KEPT_MAX][512];
  bt_error error;
  bt_status status;
  bt_survey *survey;
} kept;

/* Writes bytes to a file of the temporary folder; its name is borrowed until the next call. */
const char *file_of(const void *bytes, size_t length);
const char *file_of_text(const char *text);

/* Surveys and loads; everything that came, or the error, is in *kept. `latest` is the end of 2026.
 */
void gather(const char *path, const bt_reading_choices *choices, kept *kept);
void gather_free(kept *kept);

/* "2026-08-17T08:05" */
bt_time at(const char *iso);

#endif
