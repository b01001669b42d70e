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

/* A map stands in another file than its log: the name is borrowed until the next call. */
const char *map_of_text(const char *text);

/* The choices of that map, and the clinic's own characteristics that it may name. */
bt_status read_map(const char *map, const bt_own_characteristic *own, size_t own_n,
                   bt_reading_choices *choices, bt_error *error) BT_MUST_CHECK;

/* Surveys and loads; everything that came, or the error, is in *kept. `latest` is the end of 2026.
 */
void gather(const char *path, const bt_reading_choices *choices, kept *kept);
/* The same by that map, whose choices are freed by the caller. */
void gather_by_map(const char *map, const char *log, kept *kept, bt_reading_choices *choices);
void gather_free(kept *kept);

/* A reading that check must have. */
double reading(const kept *kept, size_t check, bt_reading reading);

/* Settings, or a map, that are refused at that line, with these words behind it; nothing of them is
 * left. */
void settings_must_be_refused(const char *text, int line, const char *says);
void map_must_be_refused(const char *text, const bt_own_characteristic *own, size_t own_n, int line,
                         const char *says);

/* A log without a column for the laser is of this one. */
extern const bt_reading_choices one_room;

/* The starter map of a preview of the log, read so (NULL: nothing is chosen); that map with the #
 * off each line that offers something, of alternatives under [format] the first. Owned. */
char *starter_of(const bt_reading_choices *choices, const char *log);
char *offers_taken(const char *map);

/* "2026-08-17T08:05" */
bt_time at(const char *iso);

#endif
