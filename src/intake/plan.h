/* How each column of a surveyed log is read, worked out once before its rows are. */
#ifndef INTAKE_PLAN_H
#define INTAKE_PLAN_H

#include "beamtally/intake.h"
#include "convert.h"
#include "header.h"
#include "own.h"
#include "words.h"

typedef struct intake_column {
  intake_role role;
  int item; /* bt_reading, bt_text_field or index of an own characteristic, of those roles */
  const char *header, *key;
  intake_conversion conversion;
  bool meanings;        /* the map's [values] look into the column */
  bool must_mean;       /* and nothing else reads it: a text without a meaning there is refused */
  bool events;          /* in a log of checks, not in long form: some of them are events */
  int64_t unmeant_more; /* rows with a text without a meaning that could not be kept */
} intake_column;

/* What one text in one column means. */
typedef struct intake_value {
  size_t column;
  const bt_value_choice *choice;
  intake_role role;  /* EVENT, TEXT, STATE, READING, OWN, REFILL; NONE: a name that is not stored */
  int item;          /* bt_event_kind, bt_text_field, bt_state, bt_reading ... */
  bool name;         /* long form: the text is the name of that reading */
  double number;     /* of a reading */
  bt_refill refill;  /* of a gas refill in a log of checks */
  bool seen;         /* by the survey, in some row */
  int64_t near_line; /* of the first row that has a text near to it, without a meaning; 0: none */
  char near[INTAKE_SHORT_BYTES];
} intake_value;

/* A name in the characteristic column of a log in long form, once it was looked up. */
typedef struct intake_name {
  char *text;
  bool known;           /* false: no reading is called so */
  const char *nearest;  /* and the key that comes nearest */
  intake_column column; /* how the value is read; role NONE: the row is passed over. EVENT: the row
                           notes that event */
  bt_refill refill;     /* of a gas refill */
} intake_name;

enum { INTAKE_NAMES_KEPT = 64, INTAKE_UNMEANT_MOST = 24, INTAKE_UNMEANT_LINES = 5 };

/* A text without a meaning, of a column that the map reads events out of (unmeant.c). */
typedef struct intake_unmeant {
  size_t column;
  char *text;
  int64_t rows, lines[INTAKE_UNMEANT_LINES];
} intake_unmeant;

typedef struct intake_plan {
  bt_source_kind kind;
  size_t columns_n, values_n;
  size_t least_n; /* fields that a row needs: the header may end in delimiters that rows lack */
  intake_column *columns;
  intake_value *values;
  const bt_reading_choices *choices; /* may be NULL */
  bt_decimal_mark decimal;
  bt_thousands thousands;
  bt_date_order dates;
  bool dates_stated;
  bool days_alone;     /* no row has a time of day */
  bool own_export;     /* a table that Beamtally wrote: its texts may have a guarding apostrophe */
  bool words_are_note; /* what says what was done is kept as the event's note, whatever it is */
  bool long_form;
  const intake_column *date, *clock;        /* among the columns, or NULL */
  size_t name_column, value_column;         /* in long form */
  size_t measure_column;                    /* likewise; SIZE_MAX: it has none */
  intake_name names[INTAKE_NAMES_KEPT + 1]; /* the last one is looked up anew each time */
  size_t names_n;
  intake_unmeant *unmeant; /* room for INTAKE_UNMEANT_MOST; NULL while there is none */
  size_t unmeant_n;
  const char *unit;
  bt_time latest;
} intake_plan;

/* `choices` must outlive the plan, as must the survey. BT_INPUT for a choice that the log or a
 * column can't follow; the plan is then good for the columns before it. */
bt_status intake_plan_make(const bt_survey *survey, intake_plan *plan,
                           bt_error *error) BT_MUST_CHECK;
void intake_plan_free(intake_plan *plan);

/* The next meaning of the text in that column, from *next on; NULL behind the last. */
const intake_value *intake_plan_value(const intake_plan *plan, size_t column, const char *text,
                                      size_t *next);

/* True when the text has a meaning in that column. */
bool intake_plan_means(const intake_plan *plan, size_t column, const char *text);

/* How the value of a reading of that name is read, in long form; NULL without memory. Borrowed
 * until the next call. */
const intake_name *intake_plan_name(intake_plan *plan, const char *text);

/* A conversion that the header or name asks for while the map's [units] say nothing of the key: the
 * header has a unit that is another than the key's and can be converted to it. Into `unit`. */
bool intake_unit_is_untold(const bt_reading_choices *choices, const intake_column *column,
                           const char *header, char unit[INTAKE_UNIT_BYTES]) BT_MUST_CHECK;

#endif
