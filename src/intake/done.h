/* What was done to a laser, as a log of events or a diary says it in words of its own. */
#ifndef INTAKE_DONE_H
#define INTAKE_DONE_H

#include "beamtally/intake.h"
#include "fields.h"
#include "plan.h"

/* Keeps the row's texts that are new to their columns: those that no event is called by; in a
 * preview those of columns that nothing reads, and remarks; in a log of checks without readings all
 * texts, read or not. */
bt_status intake_keep_texts(bt_survey *survey, const intake_plan *plan, intake_fields *fields,
                            bt_error *error) BT_MUST_CHECK;
void intake_forget_texts(bt_survey_column *column);

/* Finds the column that seems to say what was done, where none is read as events: diary.c. */
void intake_find_done(bt_survey *survey);

/* Whether column i holds readings of a check, as far as its key, its first values and its header
 * tell: numbers, a pattern, a self-test. */
bool intake_holds_readings(const bt_survey *survey, size_t i);

/* Hints at a log that holds no readings at all, and what it may be: a preview of a diary or a list
 * of days; a log whose rows become checks with a remark alone. */
bt_status intake_hint_no_readings(bt_survey *survey, bt_error *error) BT_MUST_CHECK;

/* "event.gas_refill = Event, gas changed": the line of a map for text k of the column. */
void intake_add_event_line(const bt_survey *survey, size_t column, size_t k, bt_text *out);

/* Such lines for all texts of the column, each behind "# ": those of one kind on one line, parted
 * by bars, as far as a line holds them. */
void intake_add_event_lines(const bt_survey *survey, size_t column, bt_text *out);

/* Hints at events whose texts a map has to say: of a column of events, and (in a preview) of the
 * one that was found. */
bt_status intake_hint_events(bt_survey *survey, bt_error *error) BT_MUST_CHECK;

#endif
