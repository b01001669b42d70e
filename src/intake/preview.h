/* What a survey does for a person who wants to look before anything is settled. */
#ifndef INTAKE_PREVIEW_H
#define INTAKE_PREVIEW_H

#include "beamtally/intake.h"
#include "evidence.h"
#include "records.h"

/* In a preview, a status that the file's content is to blame for (BT_INPUT) is noted as a question
 * and becomes BT_OK; any other, and any in a plain survey, is passed on. */
bt_status intake_ask(bt_survey *survey, bt_status status, bt_error *error) BT_MUST_CHECK;

/* Keeps the cells of a row that are among the first of their columns, but for column `secret`. */
bt_status intake_keep_first_cells(bt_survey *survey, intake_fields *fields, size_t secret,
                                  bt_error *error) BT_MUST_CHECK;

/* Keeps a text where it is among the first of its column. */
bt_status intake_keep_first_cell(bt_survey_column *column, const char *text,
                                 bt_error *error) BT_MUST_CHECK;

/* Hears a row's columns that nothing names yet: they may hold the dates and the numbers. */
void intake_suspect(const bt_survey *survey, intake_records *records, intake_evidence *hunch);

/* Takes their order of dates and decimal mark where no named column decided; no question comes of
 * it. */
void intake_follow(bt_survey *survey, const intake_evidence *hunch);

/* Asks for what they leave open: once a map names them, the import would. */
bt_status intake_ask_by(bt_survey *survey, const intake_evidence *hunch,
                        bt_error *error) BT_MUST_CHECK;

/* Asks for the mark of thousands that numbers of columns which are read seem to have; a hint where
 * only others have it. */
bt_status intake_ask_thousands(bt_survey *survey, const intake_evidence *named,
                               const intake_evidence *hunch, bt_error *error) BT_MUST_CHECK;

void intake_forget_questions(bt_survey *survey);

/* Adds a hint, in any survey; takes the sentence, which is empty then. */
bt_status intake_add_hint(bt_survey *survey, bt_text *sentence, bt_error *error) BT_MUST_CHECK;
void intake_forget_hints(bt_survey *survey);

#endif
