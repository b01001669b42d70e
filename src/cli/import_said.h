/* What import says of a log and of what became of it. */
#ifndef IMPORT_SAID_H
#define IMPORT_SAID_H

#include "import.h"
#include "import_heard.h"

/* Columns and rows that look like a patient's identity. */
void import_say_identity(const bt_survey *survey, const char *path);

/* What speaks against how the log is read. */
void import_say_hints(const bt_survey *survey, const char *path);

/* Columns that are not stored and perhaps should be. */
void import_say_left_out(const bt_survey *survey, const char *path);

/* Of a log that is given without a map: where one of its name or with its columns came before, and
 * a map read of it what would not be read now, BT_REFUSED with that map and the command; where it
 * isn't known whether that was a map's doing, it is said alone (import_read_before.c). */
bt_status import_ask_for_map(bt_ledger *ledger, const bt_survey *survey, const char *path,
                             bt_error *error) BT_MUST_CHECK;

/* Puts before the sentence of a log that can't be read as it is which map one of its name, or with
 * its columns, was read by, if any was; its status stays. */
bt_status import_add_map(bt_ledger *ledger, const char *path, const bt_reading_choices *choices,
                         bt_error *error) BT_MUST_CHECK;

/* What an import that reads a file again means for the rest of the record. */
void import_say_again(bt_ledger *ledger, const bt_survey *survey, const char *path);

/* That its checks stand twice, since another log has them with a time of day, or without one. */
void import_say_doubled(bt_ledger *ledger, const bt_survey *survey, const char *path,
                        bt_time oldest, bt_time newest);

/* How many lines that were refused of earlier logs of that name still count, and the command that
 * settles them; nothing where none do. */
void import_say_still_refused(bt_ledger *ledger, const bt_survey *survey, const char *path,
                              const bt_import_counts *counts);

/* What a file's rows are. */
typedef struct import_made {
  int64_t rows;           /* of data in the file */
  int64_t checks, events; /* records that they make */
  int64_t alone;          /* rows that are events and no check */
  bool of_events;         /* the file is a log of events: each row is one */
  char *laser;            /* that all its checks are of, owned; NULL where there are several */
  bool lasers;            /* there are several, or there was no memory for the name */
} import_made;

/* Counts a check, and keeps which laser it is of. */
void import_made_hear(import_made *made, const bt_check *check);

/* Appends " (186 checks, 1 of events alone), 3 events" where not each row is a check, or refused:
 * rows are checks, those of events alone and refused ones; records are checks and events. */
void import_add_made(const import_made *made, int64_t refused, bt_text *words);

/* Appends ", by the map log.map.ini" where the log was read by one. */
void import_add_by_map(const import_request *request, bt_text *out);

/* Rows, new, known, conflicts, refused, and which map the log was read by; on standard output.
 * `request->by.instead_of`: the log whose place it took; NULL: none. */
void import_say_summary(const cli_context *cli, const char *path, const import_request *request,
                        const bt_import_counts *counts, const import_made *made,
                        const import_refusals *refusals);

#endif
