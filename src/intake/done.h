/* What was done to a laser, as a log of events or a diary says it in words of its own. */
#ifndef INTAKE_DONE_H
#define INTAKE_DONE_H

#include "beamtally/intake.h"
#include "fields.h"
#include "plan.h"

/* Keeps the row's texts that are new to their columns: those that no event is called by, and in a
 * preview those of columns that nothing reads; and the remarks of a log without readings. */
bt_status intake_keep_texts(bt_survey *survey, const intake_plan *plan, intake_fields *fields,
                            bt_error *error) BT_MUST_CHECK;
void intake_forget_texts(bt_survey_column *column);

/* Finds the column that seems to say what was done, where none is read as events: few different
 * texts, one of which tells of a kind of event, in a log of days without a column of numbers. In no
 * preview, where an unread column may hold anything, only where all columns are read. */
void intake_find_done(bt_survey *survey);

/* Whether a preview holds no readings at all, and what it may be then. */
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
