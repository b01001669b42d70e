/* What the files that read one cell share. */
#ifndef INTAKE_CELLS_H
#define INTAKE_CELLS_H

#include "row.h"

/* Text as it is kept: one kind of line break, and without the quote of our own export. In place
 * (cell_put.c). */
char *intake_cell_text(const intake_plan *plan, char *text);

/* The cell's number in the column's own unit. False where the row is refused (cell_number.c). */
bool intake_cell_number(const intake_plan *plan, const intake_column *column, const char *text,
                        double *value, intake_row *row) BT_MUST_CHECK;

/* Puts a refill into the row's check; one that is none takes none away. False where the row is
 * refused, since another cell says that it was on the other side of the reading (cell_put.c). */
bool intake_cell_refill(const intake_column *column, bt_refill refill, const char *text,
                        intake_row *row) BT_MUST_CHECK;

/* An event of the row's check, that a map reads out of this text of plan column i: its words are
 * kept where they say more than its kind does. `column` is named where the row is refused: false
 * (cell_event.c). */
bool intake_cell_event(const intake_plan *plan, const intake_column *column,
                       const intake_value *value, const char *text, intake_row *row) BT_MUST_CHECK;

/* The same in long form, of a row whose name is that of an event; `text` is its value. */
bool intake_cell_named_event(const intake_plan *plan, const intake_name *name, const char *text,
                             intake_row *row) BT_MUST_CHECK;

/* In a log of events: the words of the cell of column i that say what was done, as the note, where
 * a map asks for that or they say more than the kind. A note of the row's own stays. */
void intake_cell_keep_words(const intake_plan *plan, size_t i, char *text, intake_row *row);

#endif
