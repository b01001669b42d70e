/* One record of a log as a check, an event or a refusal. */
#ifndef INTAKE_ROW_H
#define INTAKE_ROW_H

#include "plan.h"
#include "records.h"

typedef enum intake_row_kind {
  INTAKE_ROW_EMPTY, /* delimiters only: not a row */
  INTAKE_ROW_CHECK,
  INTAKE_ROW_EVENT,
  INTAKE_ROW_REFUSED,
  INTAKE_ROW_MEMORY
} intake_row_kind;

enum { INTAKE_VALUE_SHOWN = 80 };

typedef struct intake_row {
  intake_row_kind kind;
  bt_check check;
  bt_event event;
  unsigned also; /* bit k set: the check's row notes an event of kind k */
  bt_refusal refusal;
  char value[INTAKE_VALUE_SHOWN + 1];
  char reason[512];
} intake_row;

/* Texts of the row live until the next record is read. */
void intake_row_read(const intake_plan *plan, intake_records *records, intake_row *row);

/* True when every field of the record is blank. */
bool intake_row_is_empty(intake_fields *fields);

/* Makes the row a refusal of that column's value (NULL: of the row as a whole). The reason is kept
 * in the ledger: the value must not stand in it. */
void intake_row_refuse(intake_row *row, const intake_column *column, const char *value,
                       const char *format, ...) BT_PRINTF(4, 5);

/* Takes one filled cell, but for date and time. False where the row is refused. */
bool intake_row_take_cell(const intake_plan *plan, size_t i, char *text,
                          intake_row *row) BT_MUST_CHECK;

#endif
