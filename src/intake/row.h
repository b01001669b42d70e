/* One record of a log as a check, an event or a refusal. */
#ifndef INTAKE_ROW_H
#define INTAKE_ROW_H

#include "plan.h"
#include "records.h"

typedef enum intake_row_kind {
  INTAKE_ROW_EMPTY, /* delimiters only: not a row */
  INTAKE_ROW_CHECK,
  INTAKE_ROW_EVENT,
  INTAKE_ROW_NOTHING, /* long form: the row holds nothing that is kept */
  INTAKE_ROW_REFUSED,
  INTAKE_ROW_MEMORY
} intake_row_kind;

enum { INTAKE_VALUE_SHOWN = 80, INTAKE_WORDS_MOST = 1000 };

typedef struct intake_row {
  intake_row_kind kind;
  bt_check check; /* in long form what this row brings to its check */
  bt_own_reading own[BT_OWN_MOST];
  uint32_t implied; /* bit r set: reading r came with another one, "17/18" */
  bt_event event;
  unsigned
      also; /* bit k set: the row notes an event of kind k, of a check's row, or by a meaning */
  unsigned worded; /* bit k set: words[k] holds what its cells say of it, as the log has it */
  char words[BT_EVENT_COUNT][INTAKE_WORDS_MOST + 1];
  /* Long form: what the row is there for, not what a column repeats. */
  unsigned named_texts; /* bit f set: text field f */
  bool named_state, named_refill;
  bt_refusal refusal;
  char value[INTAKE_VALUE_SHOWN + 1];
  char reason[512];
} intake_row;

/* Texts of the row live until the next record is read. */
void intake_row_read(intake_plan *plan, intake_records *records, intake_row *row);

/* The text of the date's column, and of the clock's (NULL: none, or missing). */
void intake_row_moment(const intake_plan *plan, intake_fields *fields, const char **date,
                       const char **clock);

/* True when every field of the record is blank. */
bool intake_row_is_empty(intake_fields *fields);

/* Says of a refused row what is lost with it. */
void intake_row_weigh(intake_plan *plan, intake_fields *fields, intake_row *row);

/* Reads the name and the value of a row in long form whose date, laser and other columns were
 * taken. */
void intake_row_read_named(intake_plan *plan, intake_fields *fields, intake_row *row);

/* Makes the row a refusal of that column's value (NULL: of the row as a whole). The reason is kept
 * in the ledger: the value must not stand in it. */
void intake_row_refuse(intake_row *row, const intake_column *column, const char *value,
                       const char *format, ...) BT_PRINTF(4, 5);

/* Whether a number of that role may have that unit behind it in its cell: "46 %" by its own, "1.61
 * J" by one that converts; *conversion is set for those of a reading alone. */
bool intake_unit_in_cell(const bt_reading_choices *choices, intake_role role, int item,
                         const char *unit, intake_conversion *conversion) BT_MUST_CHECK;

/* Takes one filled cell, but for date and time. False where the row is refused. */
bool intake_row_take_cell(const intake_plan *plan, size_t i, char *text,
                          intake_row *row) BT_MUST_CHECK;

/* Takes the value of a row in long form, which that name says how to read. */
bool intake_row_take_named(const intake_plan *plan, const intake_name *name, char *text,
                           intake_row *row) BT_MUST_CHECK;

#endif
